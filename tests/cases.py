"""How many random cases a test runs: EQUIPSEL_CASES scales the default number (10 = ten times as many)."""

import os
from itertools import pairwise


def numbers(default: int, parts: int) -> list[range]:
    """Numbers 0 to default (scaled) cut into parts, so that several workers share them."""
    total = max(parts, round(default * float(os.environ.get("EQUIPSEL_CASES", "1"))))
    edges = [total * part // parts for part in range(parts + 1)]
    return [range(low, high) for low, high in pairwise(edges)]
