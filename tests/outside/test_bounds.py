"""No bound above the cheapest kit of an exhaustive search, whatever stopped the program's search and whichever way it searched.

Random small sites with rooms to choose from and fed switches, under limits from almost nothing to enough; once as they are, once
made to go through windows and prices as large sites do. EQUIPSEL_CASES=10 runs ten times as many.
"""

import pytest
from cases import numbers
from exhaustive import cheapest_cost
from random_sites import small, topology

from equipsel.program import coupled
from equipsel.solve import Limits, cheapest_kit

SECONDS = (0.02, 0.1, 0.3, 20.0)
HARD = frozenset({522, 604})
"""Topologies that the exhaustive search itself is slow on."""


def wrong(family, cases):
    found = {}
    for number in cases:
        if number in HARD:
            continue
        best = cheapest_cost(*family(number))
        kit = cheapest_kit(*family(number), Limits(time_limit_s=SECONDS[number % len(SECONDS)], reasons_s=0))
        if kit.cost is None:
            good = kit.status in ("infeasible" if best is None else "stopped", "stopped")
        else:
            good = best is not None and round(kit.lower_bound * 100) <= best <= round(kit.cost * 100)
            good = good and (kit.status != "optimal" or best == round(kit.cost * 100))
        if not good:
            found[f"{family.__name__} {number}"] = (best, kit.status, kit.lower_bound, kit.cost)
    return found


@pytest.mark.parametrize("cases", numbers(9, 3), ids=str)
@pytest.mark.parametrize("decomposed", [False, True])
@pytest.mark.parametrize("family", [small, topology])
def test_no_bound_is_above_the_optimum(family, decomposed, cases, monkeypatch):
    if decomposed:
        monkeypatch.setattr(coupled, "FEWEST_CHOICES", 1)
        monkeypatch.setattr(coupled, "FEWEST_BLOCKS", 2)
    assert wrong(family, cases) == {}
