"""More devices shared out over rows of devices: each next one goes to the row that has grown least."""

from collections import Counter
from collections.abc import Mapping
from fractions import Fraction


def spread(counts: Mapping[str, int], more: int) -> dict[str, int]:
    """So many more devices over rows by their counts today: shares stay as they are as nearly as whole devices allow.

    The next one goes to the row with the smallest (added + 1) / count, the first of those that are equal (highest averages, after
    Jefferson), so that the first n of more devices are the same whatever comes after them.
    """
    added: Counter[str] = Counter()
    for _ in range(more):
        added[min(counts, key=lambda name: Fraction(added[name] + 1, counts[name]))] += 1
    return {name: added[name] for name in counts if added[name]}
