from typing import Any

import pytest
from sketch import Row, catalog, device, ports, scenario, site, supplied, switch

from equipsel.feeds.builds import mains_builds
from equipsel.feeds.dominance import worthwhile


def kept(*supplies: Row, slots: int = 1, useful: int | None = None, priced: bool = True, **tables: Any) -> list[str]:
    rows = [{"fit": "dc", **row} for row in supplies]
    where = site(scenario(device("d", 5), **tables), catalog(supplied("s", 1, slots, ports(4, 30)), supplies=rows))
    builds = mains_builds(where.scenario.place["hall"], where)
    most = None if useful is None else {"hall": useful}
    return [" ".join(supply.model for supply in build.supplies) for build in worthwhile(builds, where, most, priced=priced)]


def supply(model: str, price: float, watts: float, **more: Any) -> Row:
    return {"model": model, "price": price, "watts": watts, **more}


def test_a_dearer_and_weaker_set_is_dropped() -> None:
    assert kept(supply("weak", 21, 60), supply("strong", 20, 120)) == ["strong"]
    assert kept(supply("strong", 20, 120), supply("weak", 21, 60)) == ["strong"]


def test_a_cheaper_one_stays() -> None:
    assert kept(supply("weak", 10, 60), supply("strong", 20, 120)) == ["weak", "strong"]


@pytest.mark.parametrize("more", [{"rack_u": 1}, {"install_cost": 2}, {"efficiency": "0.8"}])
def test_the_stronger_one_does_not_beat_what_it_is_worse_in(more: Row) -> None:
    assert kept(supply("weak", 21, 60), supply("strong", 20, 120, **more)) == ["weak", "strong"]


def test_two_supplies_take_another_outlet_than_one() -> None:
    # a pair of 120 W for 20 beats nothing that takes one outlet
    assert kept(supply("half", 10, 60), supply("whole", 25, 120), slots=2) == ["half", "whole", "half half", "half whole", "whole whole"]


def test_budget_beyond_all_that_could_be_plugged_in_is_worth_nothing() -> None:
    assert kept(supply("weak", 10, 60), supply("strong", 20, 120), useful=50_000) == ["weak"]
    assert kept(supply("weak", 10, 60), supply("strong", 20, 120), useful=60_001) == ["weak", "strong"]


def test_supplies_already_there_are_not_judged_by_their_price() -> None:
    owned = [{"model": "weak", "place": "hall", "count": 1}]
    assert kept(supply("weak", 21, 60), supply("strong", 20, 120), owned=owned) == ["weak", "strong"]


def test_switches_with_built_in_supplies_all_stay() -> None:
    where = site(scenario(device("d", 5)), catalog(switch("a", 1, 60, ports(4, 30)), switch("b", 2, 30, ports(4, 30))))
    assert len(worthwhile(mains_builds(where.scenario.place["hall"], where), where)) == 2


def test_where_cost_does_not_matter_only_what_it_can_do_does() -> None:
    weak, strong = supply("weak", 10, 60), supply("strong", 20, 120)
    owned = [{"model": "weak", "place": "hall", "count": 1}]
    assert kept(weak, strong, priced=False) == kept(strong, weak, priced=False) == ["strong"]
    assert kept(weak, strong, priced=False, owned=owned) == ["strong"]
    assert kept(weak, supply("strong", 20, 120, rack_u=1), priced=False) == ["weak", "strong"]
    assert kept(weak, {**weak, "model": "same"}, priced=False) == ["weak"]
