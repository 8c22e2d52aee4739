"""A kit that must do without a model in one place, or without a place. Costs are worked out by hand."""

import pytest
from sketch import Row, catalog, device, ports, run, scenario, site, switch

from equipsel.compare.ask import Question
from equipsel.kit import Kit, Status
from equipsel.program.of_site import powered
from equipsel.program.parts import parts
from equipsel.program.restriction import FREE, Restriction

S, BIG = switch("s", 50, 62, ports(4, 30)), switch("big", 90, 124, ports(8, 30))
TWO = [device("cam", 5), device("dome", 5, "loft")]


def kit(restriction: Restriction, *rows: Row, **tables: list[Row]) -> Kit:
    return Question(site(scenario(*rows, **tables), catalog(S, BIG)), restriction, reasons_s=0).kit()


def at(place: str, model: str) -> Restriction:
    return Restriction(unbought_at=frozenset({(place, model)}))


def test_a_model_is_left_out_in_its_place_alone() -> None:
    assert kit(FREE, *TWO).cost == 100
    found = kit(at("loft", "s"), *TWO)
    assert found.cost == 140
    assert [(unit.model, unit.place) for unit in found.units] == [("s", "hall"), ("big", "loft")]


def test_what_is_already_there_may_still_be_used() -> None:
    owned = [{"model": "s", "place": "hall", "count": 1}]
    assert kit(at("hall", "s"), device("cam", 5, count=4), owned=owned).cost == 0
    assert kit(at("hall", "s"), device("cam", 5, count=5), owned=owned).cost == 90


def test_a_closed_place_holds_nothing() -> None:
    closed = Restriction(closed=frozenset({"loft"}))
    assert kit(closed, *TWO).status is Status.INFEASIBLE
    assert kit(closed, *TWO, runs=[run("dome", "hall", 60)]).cost == 50


@pytest.mark.parametrize(("restriction", "number"), [(at("loft", "s"), 2), (Restriction(unbought=frozenset({"s"})), 1)])
def test_what_is_about_one_place_leaves_the_parts_apart(restriction: Restriction, number: int) -> None:
    found = parts(powered(site(scenario(*TWO), catalog(S, BIG)), restriction).problem())
    assert len(found) == number
    if number == 2:
        assert [part.problem.restriction.any for part in found] == [False, True]
