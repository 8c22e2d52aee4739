"""Why a kit is as it is: what is said of lines, limits, devices and cheaper requests is right, and read as it should."""

from decimal import Decimal
from typing import Any

import pytest
from cases import numbers
from random_sites import small
from sketch import Row, catalog, device, ports, run, scenario, solved, supplied, switch

from equipsel.catalog import Catalog
from equipsel.compare.ask import without
from equipsel.console import why_text
from equipsel.explain.again import Again
from equipsel.explain.lines import REMOVABLE
from equipsel.explain.why import with_why
from equipsel.kit import Kit, LineReason, Status, Why
from equipsel.scenario import Scenario
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit

S = switch("s", 50, 62, ports(4, 30))
BIG = switch("big", 90, 124, ports(8, 30))
BOX: Row = {"model": "box", "price": 45, "ports": 1, "port_w": 60}


def told(described: Scenario, bought: Catalog, seconds: float = 30) -> Why:
    """Why the cheapest kit of a site is as it is."""
    why = with_why(solved(described, bought), Site(described, bought), seconds).why
    assert why is not None
    return why


def line(why: Why, model: str, place: str | None = "hall") -> LineReason:
    return next(one for one in why.lines if (one.model, one.place) == (model, place))


def test_a_line_says_what_it_does_and_what_the_kit_costs_without_it() -> None:
    why = told(scenario(device("cam", 5, count=3)), catalog(S, BIG))
    assert why.complete
    one = line(why, "s")
    assert (one.without_cost, one.exact) == (40, True)
    assert one.text == "hall-1 serves cam.1-3 (46.2 of 62 W)"
    assert one.without_text == "without s in hall the cheapest kit costs EUR 40.00 more"


def test_a_line_that_no_kit_can_do_without_says_so() -> None:
    one = line(told(scenario(device("cam", 5)), catalog(S)), "s")
    assert (one.without_cost, one.without_text) == (None, "there is no kit without s in hall")


def test_a_line_is_left_out_in_its_place_alone() -> None:
    rows = [device("cam", 5), device("dome", 5, "loft")]
    why = told(scenario(*rows, places=[{"place": "hall"}, {"place": "loft", "open_cost": 30}]), catalog(S, BIG))
    assert [line(why, "s", place).without_cost for place in ("hall", "loft")] == [40, 40]
    opening = line(why, "opening", "loft")
    assert opening.without_cost is None
    assert opening.without_text == "there is no kit if nothing stands in loft"
    assert opening.text == "1 unit stands in loft"


def test_a_place_that_can_be_done_without() -> None:
    rows = scenario(device("cam", 5), device("dome", 5, "loft", 90), runs=[run("dome", "hall", 99)], places=[
        {"place": "hall"}, {"place": "loft", "open_cost": 1}])  # fmt: skip
    cheap = catalog(switch("one", 10, 60, ports(1, 30)), cables=[{"model": "c", "price_per_m": 1, "awg": 24}])
    assert line(told(rows, cheap), "opening", "loft").without_cost == 8


def test_supplies_extenders_and_batteries_are_lines_too() -> None:
    bought = catalog(
        supplied("d", 9, 2, ports(4, 60)),
        supplies=[{"model": f"p{watts}", "price": watts, "fit": "dc", "watts": watts} for watts in (60, 90)],
        extenders=[{"model": "ext", "price": 40, "own_w": 1, "in_class": 4, "port_w": 15.4}],
        backups=[{"model": f"b{watts}", "price": watts, "watts": watts, "watt_hours": 500} for watts in (100, 200)],
    )
    why = told(scenario(device("cam", 5, run_m=150, backup=True), rules={"backup_minutes": 10}), bought)
    assert line(why, "p60").without_cost == 30
    assert line(why, "p60").text == "gives 60 W to hall-1"
    assert line(why, "ext").without_text == "there is no kit without ext in hall"
    assert line(why, "ext").text == "carries cam over up to 150 m"
    assert line(why, "b100").without_cost == 100
    assert line(why, "b100").text == "holds 7.8 W in hall for 10 minutes"


def test_what_is_already_there_is_no_bought_line_and_stays_usable() -> None:
    owned = [{"model": "s", "place": "hall", "count": 1}]
    why = told(scenario(device("cam", 5, count=6), owned=owned), catalog(S, BIG))
    assert [(one.model, one.without_cost) for one in why.lines if one.kind == "switch"] == [("s", 40)]


def test_lines_that_follow_from_others_say_so() -> None:
    bought = catalog(S, cables=[{"model": "c", "price_per_m": 1, "awg": 24}], extras=[{"item": "cord", "price": 2, "per": "port"}])
    why = told(scenario(device("cam", 5)), bought)
    assert (line(why, "c", None).text, line(why, "c", None).without_text) == ("30 m on the runs in use", "every device needs its run")
    assert line(why, "cord", None).text == "1, one each port"


@pytest.mark.parametrize(
    ("rules", "place", "what", "used", "limit"),
    [
        ({}, {}, "powered ports", 4, 4),
        ({}, {}, "watts reserved", 61.6, 62),
        ({"spare_watts_pct": 0, "spare_ports_pct": 0}, {"outlets": 2}, "outlets", 1, 2),
        ({}, {"rack_u": 3}, "rack", 1, 3),
        ({}, {"circuit_a": 1, "circuit_v": 230}, "circuit", 68.444, 184),
        ({"max_models": 2}, {}, "models (max_models)", 1, 2),
        ({"uplink_share_pct": 50}, {}, "traffic on its uplink", 32, 500),
    ],
)
def test_limits_say_how_close_they_are(rules: Row, place: Row, what: str, used: float, limit: float) -> None:
    described = scenario(device("cam", 5, count=4, mbps=8), rules=rules, places=[{"place": "hall", **place}])
    found = [one for one in told(described, catalog({**S, "rack_u": 1}), 0).binding if one.what == what]
    assert [(one.used, one.limit, one.pct) for one in found] == [(used, limit, round(100 * used / limit, 1))]


def test_the_closest_limit_comes_first_and_spare_is_counted() -> None:
    described = scenario(device("cam", 5, count=3), rules={"spare_watts_pct": 10, "spare_ports_pct": 10})
    binding = told(described, catalog(S), 0).binding
    assert [(one.what, one.used, one.limit) for one in binding] == [
        ("powered ports less the spare", 3, 3), ("watts reserved, 10 % kept spare", 46.2, 55.8), ("powered ports", 3, 4)]  # fmt: skip


def test_devices_say_why_not_a_plainer_way() -> None:
    bought = catalog(S, injectors=[BOX], extenders=[{"model": "ext", "price": 9, "own_w": 1, "in_class": 4, "port_w": 15.4}])
    rows = scenario(device("cam", 5), device("dome", 5), device("lamp", 51), device("far", 5, run_m=150), runs=[run("cam", "loft", 60)])
    assert {one.device: one.text for one in told(rows, bought, 0).devices} == {
        "cam": "class 0, 15.4 W reserved of a 30 W port in hall; it could also go to loft (60 m), which stays empty",
        "dome": "class 0, 15.4 W reserved of a 30 W port in hall",
        "lamp": "class 6, 60 W reserved of a 60 W port in hall; a 30 W port at 50 V does not carry class 6 (60 W)",
        "far": "class 0, 7 W reserved of a 30 W port in hall; 1 extender: a run of 150 m is longer than one span",
    }


def test_cheaper_requests_save_what_they_say() -> None:
    described = scenario(device("cam", 5, count=5), device("door", 5), rules={"spare_watts_pct": 30})
    why = told(described, catalog(S, BIG))
    assert [one.text for one in why.cheaper] == [
        "5 % less spare watts (25 %) saves EUR 50.00",
        "1 cam fewer saves EUR 50.00",
        "1 door fewer saves EUR 50.00",
    ]
    with_less = scenario(device("cam", 5, count=5), device("door", 5), rules={"spare_watts_pct": 25})
    assert solved(with_less, catalog(S, BIG)).cost == 90
    assert solved(scenario(device("cam", 5, count=5), device("door", 5), rules={"spare_watts_pct": 26}), catalog(S, BIG)).cost == 140


def test_rules_that_cost_money_are_named() -> None:
    bought = catalog(S, backups=[{"model": "b", "price": 70, "watts": 200, "watt_hours": 500}])
    why = told(scenario(device("cam", 5, backup=True), rules={"backup_minutes": 10}), bought)
    assert next(one.text for one in why.cheaper) == "no minutes on battery saves EUR 70.00"


def test_what_looks_odd_is_explained() -> None:
    wide = switch("wide", 60, 300, ports(12, 30))
    rows = scenario(device("cam", 5, count=5), device("lamp", 51), runs=[run("lamp", "loft", 60)], places=[
        {"place": "hall", "outlets": 2}, {"place": "loft", "open_cost": 100}])  # fmt: skip
    assert list(told(rows, catalog(S, wide, injectors=[BOX])).odd) == [
        "box in hall looks dear (45.00 beside 60.00 for a whole wide): without box in hall the cheapest kit costs EUR 150.00 more",
        "hall-1 (wide) uses 6 of 12 powered ports: without wide in hall the cheapest kit costs EUR 190.00 more",
        "loft stays unused, opening it costs 100.00: 1 device could be cabled there",
    ]


def test_no_time_gives_what_needs_no_search() -> None:
    why = told(scenario(device("cam", 5)), catalog(S), 0)
    assert not why.complete
    assert not why.cheaper
    assert not [one for one in why.lines if one.kind in REMOVABLE]
    assert why.binding
    assert why.devices


def test_ctrl_c_keeps_what_is_confirmed(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []
    ask = Again.without

    def once(self: Again, *args: Any) -> Any:
        asked.append(args)
        if len(asked) > 1:
            raise KeyboardInterrupt
        return ask(self, *args)

    monkeypatch.setattr(Again, "without", once)
    rows = scenario(device("cam", 5), device("lamp", 51))
    why = told(rows, catalog(S, BIG, injectors=[BOX]))
    assert len(why.lines) == 1
    assert not why.complete


def test_a_kit_that_is_none_has_no_why() -> None:
    none = Kit(status=Status.INFEASIBLE)
    assert with_why(none, Site(scenario(device("cam", 5)), catalog(S)), 1) is none


def test_progress_counts_the_questions() -> None:
    described, bought, seen = scenario(device("cam", 5)), catalog(S, BIG), []
    with_why(solved(described, bought), Site(described, bought), 30, seen.append)
    assert seen == list(range(1, len(seen) + 1))
    assert len(seen) >= 2


def test_the_console_shows_it_in_blocks() -> None:
    blocks = list(why_text(told(scenario(device("cam", 5, count=3)), catalog(S, BIG)), 100))
    assert [block[0] for block in blocks] == ["Why each line is there", "Why devices hang where they do"]
    assert "costs EUR 40.00 more" in " ".join(" ".join(blocks[0]).split())
    late = list(why_text(told(scenario(device("cam", 5)), catalog(S), 0), 100))
    assert "Not everything was looked at" in late[-1][1]


@pytest.mark.parametrize("cases", numbers(10, 1), ids=str)
def test_costs_without_a_line_are_those_of_a_catalog_without_it(cases: range) -> None:
    seen = 0
    for number in cases:
        site = Site(*small(number))
        if len(site.scenario.place) > 1:
            continue
        kit = cheapest_kit(site.scenario, site.catalog, Limits(reasons_s=0))
        why = with_why(kit, site, 60, cheaper=False).why
        for one in why.lines if why else ():
            if one.kind in REMOVABLE and one.kind != "place":
                changed, kept = without(site, frozenset({one.model}))
                again = cheapest_kit(changed.scenario, changed.catalog, Limits(reasons_s=0), kept)
                more = None if again.cost is None else Decimal(str(again.cost)) - Decimal(str(kit.cost))
                assert more == (None if one.without_cost is None else Decimal(str(one.without_cost))), (number, one)
                seen += 1
    assert seen
