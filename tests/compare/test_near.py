"""Kits nearly as cheap: how ties are counted, and what is told where a search proves nothing."""

from contextlib import suppress
from decimal import Decimal

import pytest
from sketch import catalog, device, ports, scenario, switch

from equipsel.compare.ask import Question, Unproven
from equipsel.compare.near import MOST_TIES, NearKit, NearKits
from equipsel.compare.stepwise import Searches, worked_out
from equipsel.kit import Kit, Status
from equipsel.site import Site

SAME = [switch(f"s{number}", 50, 62, ports(4, 30)) for number in range(4)]
SITE = Site(scenario(device("cam", 9, count=3)), catalog(*SAME, switch("dear", 51, 62, ports(4, 30))))


def test_kits_of_one_cost_are_counted_beyond_those_shown() -> None:
    """By hand: four models alike at 50, one at 51 (2 % more); two of anything would be a bill that buys all of a cheaper one."""
    found = worked_out(NearKits(Question(SITE), 2, Decimal(0)))
    assert (len(found.kits), found.ties, found.counted, found.complete) == (2, 4, True, False)
    found = worked_out(NearKits(Question(SITE), 9, Decimal(2)))
    assert [float(one.cost) for one in found.kits] == [50, 50, 50, 50, 51]
    assert (found.ties, found.counted, found.complete) == (4, True, True)
    assert len({tuple(one.bought) for one in found.kits}) == 5


@pytest.mark.parametrize(("proven", "ties", "counted"), [(10**6, MOST_TIES, False), (3, 3, False), (0, 0, False)])
def test_counting_ends(proven: int, ties: int, counted: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    def another(study: NearKits) -> Searches[NearKit | None]:
        yield from ()
        if len(study.kits) >= proven:
            raise Unproven
        return NearKit(Decimal(50), {f"model {len(study.kits)}": 1}, Kit(status=Status.OPTIMAL))

    monkeypatch.setattr(NearKits, "_next", another)
    study = NearKits(Question(SITE), 2, Decimal(5))
    with suppress(Unproven):
        assert list(study.searches()) == []
    found = study.found
    assert (len(found.kits), found.ties, found.counted, found.complete) == (min(2, ties), ties, counted, False)
