"""Which parts of a site have nothing to do with each other, and that solving them apart changes no cost."""

from typing import Any

import pytest
from sketch import Row, catalog, device, fed, ports, problem, run, scenario, site, switch

from equipsel.program.adapter import Stop
from equipsel.program.answer import Answer
from equipsel.program.parts import alike, parts
from equipsel.program.search import Search
from equipsel.program.whole import Terms, Whole, better
from equipsel.solve import Limits, cheapest_kit

SWITCHES = [switch("four", 50, 60, ports(4, 15.4)), switch("eight", 90.01, 120, ports(8, 15.4))]
CABLE: Row = {"model": "cat", "price_per_m": 1, "awg": 24}
DEVICES = [device("a", 5, "hall", count=3), device("b", 5, "loft", count=5), device("c", 5, "shed", count=2)]


def split(
    *devices: Row, switches: list[Row] | None = None, rules: Row | None = None, bought: Row | None = None, **tables: Any
) -> list[set[str]]:
    described = scenario(*devices, rules=rules, **tables)
    found = parts(problem(site(described, catalog(*(switches or SWITCHES), **(bought or {})))))
    return [set(part.problem.site.scenario.place) for part in found]


def test_places_without_anything_in_common_are_parts() -> None:
    assert split(*DEVICES) == [{"hall"}, {"loft"}, {"shed"}]


def test_a_choice_of_places_and_a_feed_hold_places_together() -> None:
    assert split(*DEVICES, runs=[run("a", "loft", 40)]) == [{"hall", "loft"}, {"shed"}]
    pole = fed("pole", 30, 3, ports(2, 15.4))
    places: list[Row] = [{"place": "hall"}, {"place": "loft"}, {"place": "shed", "mains": False}]
    strong = switch("s", 50, 60, ports(2, 30))
    assert split(*DEVICES, switches=[strong, pole], places=places, runs=[run("shed", "hall", 50)]) == [{"hall", "shed"}, {"loft"}]


@pytest.mark.parametrize(
    ("rules", "bought"),
    [
        ({"max_models": 1}, {}),
        ({"energy_price_kwh": "0.3", "years": 5}, {}),
        ({}, {"extras": [{"item": "label", "price": "0.005", "per": "unit"}]}),
    ],
)
def test_what_looks_at_the_whole_site_holds_all_of_it_together(rules: Row, bought: Row) -> None:
    assert split(*DEVICES, rules=rules, bought=bought) == [{"hall", "loft", "shed"}]


@pytest.mark.parametrize(("cable", "apart"), [(CABLE, True), (CABLE | {"sold_m": 100}, False), (CABLE | {"price_per_m": "0.0001"}, False)])
def test_cable_that_is_rounded_over_the_site_holds_together_what_may_use_it(cable: Row, apart: bool) -> None:
    found = split(*DEVICES, runs=[run("a", "loft", 33)], bought={"cables": [cable]})
    assert found == ([{"hall", "loft"}, {"shed"}] if apart else [{"hall", "loft", "shed"}])


def test_a_place_without_devices_is_no_part() -> None:
    assert split(*DEVICES[:2], places=[{"place": name} for name in ("hall", "loft", "attic")]) == [{"hall"}, {"loft"}]


def test_parts_that_differ_in_names_alone_are_alike() -> None:
    rows = [device("a", 5, "hall", count=3), device("b", 5, "loft", run_m=12, count=3), device("c", 5, "shed", count=4)]
    places: list[Row] = [{"place": "hall"}, {"place": "loft"}, {"place": "shed"}]
    keys = [alike(part) for part in parts(problem(site(scenario(*rows, places=places), catalog(*SWITCHES))))]
    assert keys[0] == keys[1] != keys[2]
    other = [*places[:1], {"place": "loft", "outlets": 9}, places[2]]
    assert len({alike(part) for part in parts(problem(site(scenario(*rows, places=other), catalog(*SWITCHES))))}) == 3


def many(places: int) -> tuple[Any, Any]:
    rows = [device(f"d{number} {watts}", watts, f"p{number}", count=1 + number % 7) for number in range(places) for watts in (5, 12.95)]
    return scenario(*rows), catalog(*SWITCHES)


def test_apart_and_together_cost_the_same() -> None:
    described, bought = many(9)
    whole = Search(problem(site(described, bought)), 0.0, 30).run()
    kit = cheapest_kit(described, bought)
    assert whole.stop is Stop.PROVEN
    assert kit.cost == kit.lower_bound == (whole.cost_cents or 0) / 100


def test_the_kit_does_not_depend_on_the_number_of_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("equipsel.program.whole.WORTH_PROCESSES", 2)
    described, bought = many(5)
    one, two = (cheapest_kit(described, bought, Limits(workers=number)) for number in (1, 2))
    assert one.model_copy(update={"seconds": 0}) == two.model_copy(update={"seconds": 0})


def test_a_part_without_a_kit_names_its_devices_alone() -> None:
    places: list[Row] = [{"place": "hall"}, {"place": "loft", "outlets": 1}]
    kit = cheapest_kit(scenario(*DEVICES[:2], device("e", 5, "loft", count=9), places=places), catalog(*SWITCHES))
    assert kit.status == "infeasible"
    assert "loft" in " ".join(kit.reasons)
    assert "hall" not in " ".join(kit.reasons)


def test_out_of_time_in_some_part_there_is_no_kit() -> None:
    assert Whole(problem(site(*many(4))), Terms(0.0, 0.0)).run().stop is Stop.LIMIT


def test_the_better_of_two_answers_is_kept_with_the_better_bound() -> None:
    first, second = Answer(Stop.LIMIT, 500, 450), Answer(Stop.LIMIT, 480, 440)
    assert (better(first, second).cost_cents, better(first, second).bound_cents) == (480, 450)
    assert better(first, Answer(Stop.LIMIT, None, 500)).stop is Stop.PROVEN
    assert better(first, Answer(Stop.INFEASIBLE)).stop is Stop.INFEASIBLE


@pytest.mark.parametrize("odd", ["1", "0.33", "0.0007"])
def test_apart_and_together_cost_the_same_whatever_the_cable_costs(odd: str) -> None:
    rows = [device(f"d{number}", 5, f"p{number}", run_m=17, count=2 + number) for number in range(4)]
    cables: list[Row] = [{"model": "cat", "price_per_m": odd, "awg": 24}]
    described = scenario(*rows, runs=[run("d1", "p0", 41), run("d3", "p2", 23)])
    bought = catalog(*SWITCHES, cables=cables)
    whole, kit = Search(problem(site(described, bought)), 0.0, 30).run(), cheapest_kit(described, bought)
    assert kit.cost == kit.lower_bound == (whole.cost_cents or 0) / 100
