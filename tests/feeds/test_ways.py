from typing import Any

import pytest
from sketch import Row, catalog, device, lines, ports, powered, run, scenario, site, solved, switch

from equipsel.feeds.ways import Group, fast_enough, groups, uplinks_matter

SWITCH = switch("s", 50, 120, ports(4, 30), ports(2, 15.4, "plain"))


def grouped(*devices: Row, rules: Row | None = None, extras: list[Row] | None = None, **tables: Any) -> list[list[str]]:
    where = site(scenario(*devices, rules=rules, **tables), catalog(SWITCH, extras=extras or []))
    builds, ways = powered(where)
    found: list[Group] = groups(ways, where, uplinks_matter(where, builds))
    return [[name for _, name in group.members] for group in found]


def test_devices_alike_in_all_that_bears_on_the_choice_are_one_group() -> None:
    # by class both reserve 15.4 W; their length, kind, traffic and priority change nothing here
    near = device("near", 5, run_m=10, kind="cam", mbps=4, count=2)
    assert grouped(near, device("far", 7, run_m=90, priority="critical", backup=True)) == [["near.1", "near.2", "far"]]


@pytest.mark.parametrize(
    ("other", "rules"),
    [
        ({"watts": 20}, {}),
        ({"place": "loft"}, {}),
        ({"watts": 0}, {}),
        ({"watts": 7}, {"budget_basis": "stated"}),
        ({"run_m": 90}, {"budget_basis": "stated"}),
        ({"priority": "critical"}, {"max_critical_share_pct": 50}),
        ({"backup": True}, {"backup_minutes": 10}),
        ({"port_mbps": 1000}, {}),
        ({"mbps": 800}, {}),
    ],
)
def test_whatever_bears_on_the_choice_makes_another_group(other: Row, rules: Row) -> None:
    row = {**device("b", 5), **other}
    bought = catalog(switch("s", 50, 120, ports(4, 30, port_mbps=1000), ports(2, 15.4, "plain", port_mbps=100)))
    where = site(scenario(device("a", 5), row, rules=rules), bought)
    builds, ways = powered(where)
    assert len(groups(ways, where, uplinks_matter(where, builds))) == 2


@pytest.mark.parametrize(("per", "apart"), [("port", True), ("extender", True), ("place", True), ("device", False), ("run", False)])
def test_kinds_are_told_apart_where_an_extra_of_a_kind_follows_the_choice(per: str, apart: bool) -> None:
    extras = [{"item": "x", "price": 1, "per": per, "for": "cam"}]
    assert len(grouped(device("a", 5, kind="cam"), device("b", 5, kind="phone"), extras=extras)) == (2 if apart else 1)


def test_the_length_of_a_run_counts_where_there_is_another() -> None:
    rows = (device("a", 5, run_m=10), device("b", 5, run_m=20))
    assert len(grouped(*rows)) == 1
    assert len(grouped(*rows, runs=[run("a", "loft", 30), run("b", "loft", 30)])) == 2


def test_speeds_are_alike_up_to_the_slowest_port_that_is_fast_enough() -> None:
    bought = catalog(switch("s", 1, 60, ports(1, 30, port_mbps=100), ports(1, 30, "fast", port_mbps=2500)))
    where = site(scenario(device("a", 5)), bought)
    assert [fast_enough(where, speed) for speed in (10, 100, 101, 2500, 9000)] == [100, 100, 2500, 2500, 9000]


def test_a_device_keeps_the_reasons_of_the_ways_refused() -> None:
    where = site(scenario(device("a", 40)), catalog(SWITCH))
    _, (ways,) = powered(where)
    assert not ways.possible
    assert {refusal.rule for refusal in ways.refusals} == {"class"}


def test_uplinks_matter_only_where_one_is_smaller_than_all_traffic_together() -> None:
    for mbps, matters in ((350, False), (351, True)):
        where = site(scenario(device("a", 5, mbps=mbps, count=2)), catalog(SWITCH))
        assert uplinks_matter(where, powered(where)[0]) is matters


def extender(model: str, price: float, **more: Any) -> Row:
    return {"model": model, "price": price, "own_w": 1, "in_class": 4, "port_w": 15.4, **more}


def test_a_dearer_chain_that_takes_no_less_is_dropped_and_all_stay_under_a_limit_of_models() -> None:
    rows = [extender("cheap", 10), extender("dear", 20), extender("frugal", 30, own_w="0.1")]
    for rules, kept in (({"budget_basis": "stated"}, ["cheap", "frugal"]), ({"max_models": 5}, ["cheap", "dear", "frugal"])):
        where = site(scenario(device("a", 5, run_m=150), rules=rules), catalog(SWITCH, extenders=rows))
        _, (ways,) = powered(where)
        head = next(head for head in ways.routes[0].feeds if head.port_w == 30)
        assert [feed.chain[0].model for feed in ways.routes[0].feeds[head]] == kept


@pytest.mark.parametrize("extra", [{"per": "extender"}, {"per": "run"}])
def test_what_an_extender_brings_along_counts_in_its_price(extra: Row) -> None:
    # 10 and 50 for its kit of parts, against 20
    bought = catalog(
        SWITCH, extenders=[extender("cheap", 10), extender("whole", 20)], extras=[{"item": "parts", "price": 50, "for": "cheap", **extra}]
    )
    kit = solved(scenario(device("a", 5, run_m=150)), bought)
    assert kit.cost == 70
    assert ("extender", "whole") in lines(kit)
