"""The cheapest kit as a whole: how a search may end, what it repeats, rules of the site, and laws that every price list obeys."""

import json
import os
import signal
import subprocess
import sys
import time
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from sketch import Row, catalog, changed, device, fed, lines, models, ports, refused, ruled, run, scenario, solved, spread, supplied, switch

from equipsel import solve
from equipsel.catalog import Catalog
from equipsel.kit import Finding, Kit, Severity, Status
from equipsel.scenario import Scenario
from equipsel.solve import AuditFailed, Limits, Progress, cheapest_kit, write_lp

SWITCH = switch("s", 50, 60, ports(4, 15.4))
LARGE = (12, 30)
LARGE_COST = 4119.99
"""Cost of the cheapest kit of `spread(*LARGE)`, proven once in 15 s."""

# How it ends


def test_a_kit_that_cannot_be_proven_in_time_is_feasible_with_a_true_bound() -> None:
    kit = cheapest_kit(*spread(*LARGE), Limits(time_limit_s=1.5))
    assert kit.status is Status.FEASIBLE
    assert kit.cost is not None
    assert kit.lower_bound is not None
    assert kit.gap is not None
    assert 0 < kit.lower_bound <= LARGE_COST <= kit.cost
    assert kit.gap == pytest.approx((kit.cost - kit.lower_bound) / kit.cost, abs=1e-6)
    assert not [finding for finding in kit.findings if finding.severity is Severity.ERROR]


def test_out_of_time_before_there_is_a_kit_is_stopped() -> None:
    kit = cheapest_kit(*spread(*LARGE), Limits(time_limit_s=0.0))
    assert (kit.status, kit.cost, kit.units, kit.reasons) == (Status.STOPPED, None, (), ())


def test_within_an_asked_gap_it_is_optimal_and_tells_the_gap() -> None:
    exact, rough = cheapest_kit(*spread(5, 6)), cheapest_kit(*spread(5, 6), Limits(gap=Decimal("0.9")))
    assert (exact.status, exact.gap, rough.status) == (Status.OPTIMAL, 0, Status.OPTIMAL)
    assert exact.cost is not None
    assert rough.cost is not None
    assert rough.lower_bound is not None
    assert rough.lower_bound <= exact.cost <= rough.cost
    assert rough.gap == pytest.approx((rough.cost - rough.lower_bound) / rough.cost, abs=1e-6)
    assert rough.gap <= 0.9


def test_the_rules_give_the_limits_that_are_not_given() -> None:
    site, bought = spread(*LARGE)
    quick = ruled(site, time_limit_s="0.001")
    assert cheapest_kit(quick, bought).status is Status.STOPPED
    assert cheapest_kit(quick, bought, Limits(time_limit_s=1.5)).status is Status.FEASIBLE


SCRIPT = """
import sys
sys.path[:0] = sys.argv[1:3]
from sketch import spread
from equipsel.solve import Limits, cheapest_kit
print("started", flush=True)
print(cheapest_kit(*spread(int(sys.argv[3]), int(sys.argv[4])), Limits(time_limit_s=float(sys.argv[5]))).to_json())
"""


def in_another_process(places: int, rows: int, seconds: float, **environment: str) -> "subprocess.Popen[str]":
    here = Path(__file__).parent
    arguments = [sys.executable, "-c", SCRIPT, str(here), str(here.parent), str(places), str(rows), str(seconds)]
    return subprocess.Popen(arguments, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env={**os.environ, **environment})


def test_ctrl_c_gives_the_best_kit_so_far() -> None:
    with in_another_process(*LARGE, 120) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "started\n"
        time.sleep(2.5)
        pressed = time.monotonic()
        process.send_signal(signal.SIGINT)
        told, wrong = process.communicate(timeout=30)
    assert process.returncode == 0, wrong
    kit = json.loads(told)
    assert kit["status"] == "feasible"
    assert kit["lower_bound"] <= LARGE_COST <= kit["cost"]
    assert len(kit["connections"]) > 30
    assert time.monotonic() - pressed < 15


def test_same_input_same_bytes_but_for_the_seconds() -> None:
    texts = []
    for seed in ("1", "2"):
        with in_another_process(5, 4, 60, PYTHONHASHSEED=seed) as process:
            told, wrong = process.communicate(timeout=60)
        assert process.returncode == 0, wrong
        kit = json.loads(told.removeprefix("started\n"))
        assert kit["status"] == "optimal"
        assert kit.pop("seconds") >= 0
        texts.append(json.dumps(kit))
    here = json.loads(cheapest_kit(*spread(5, 4)).to_json())
    del here["seconds"]
    assert texts[0] == texts[1] == json.dumps(here)


def test_progress_is_told_in_money() -> None:
    told: list[Progress] = []
    kit = cheapest_kit(*spread(*LARGE), Limits(time_limit_s=1.5, progress=told.append))
    assert told
    assert kit.cost is not None
    costs = [item.cost for item in told if item.cost is not None]
    assert costs == sorted(costs, reverse=True)
    assert all(item.bound is None or item.bound <= Decimal(str(LARGE_COST)) for item in told)
    assert [item.seconds for item in told] == sorted(item.seconds for item in told)


def test_nothing_to_power_costs_nothing() -> None:
    kit = solved(scenario(), catalog(SWITCH))
    assert (kit.cost, kit.units, kit.lines) == (0, (), ())


def test_a_kit_that_fails_its_own_re_check_is_told_as_a_bug(monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = Finding(rule="budget", severity=Severity.ERROR, where="unit hall-1", message="too much")
    monkeypatch.setattr(solve, "audit", lambda *_: [wrong])
    with pytest.raises(AuditFailed, match="too much") as failed:
        cheapest_kit(scenario(device("d", 5)), catalog(SWITCH))
    assert failed.value.findings == [wrong]
    assert failed.value.kit.cost == 50


def test_warnings_of_the_re_check_stand_in_the_kit(monkeypatch: pytest.MonkeyPatch) -> None:
    note = Finding(rule="heat", severity=Severity.WARNING, where="place hall", message="warm")
    monkeypatch.setattr(solve, "audit", lambda *_: [note])
    assert cheapest_kit(scenario(device("d", 5)), catalog(SWITCH)).findings == (note,)


def test_the_program_is_written_for_other_solvers(tmp_path: Path) -> None:
    write_lp(scenario(device("d", 5)), catalog(SWITCH), tmp_path / "kit.lp")
    text = (tmp_path / "kit.lp").read_text()
    assert "Minimize" in text
    assert "group0_served" in text


# Rules of the site


def test_n_plus_one_needs_a_supply_more() -> None:
    rows = [{"model": "dc", "price": 20, "fit": "dc", "watts": 60}]
    core = supplied("core", 50, 4, ports(8, 15.4), own_w=5)
    site = scenario(device("d", 5, count=7))  # 107.8 W and 5 W: two supplies, and one more
    assert lines(solved(site, catalog(core, supplies=rows)))["supply", "dc"][0] == 2
    safe = changed(site, rules=site.rules.model_copy(update={"redundant_supplies": True}))
    assert lines(solved(safe, catalog(core, supplies=rows)))["supply", "dc"][0] == 3


def test_supplies_are_mixed_where_that_is_cheapest() -> None:
    rows = [
        {"model": name, "price": price, "fit": "dc", "watts": watts}
        for name, price, watts in (("s", 20, 40), ("m", 27, 70), ("l", 60, 150))
    ]
    kit = solved(scenario(device("d", 5, count=7)), catalog(supplied("core", 50, 2, ports(8, 15.4)), supplies=rows))
    assert kit.units[0].supplies == ("s", "m")  # 107.8 W of 110 W for 47; 70 + 70 for 54


@pytest.mark.parametrize(
    ("place", "count"),
    [({}, 3), ({"rack_u": 3}, 3), ({"outlets": 3}, 3), ({"circuit_a": 1, "circuit_v": 193}, 3)],
)
def test_room_outlets_and_circuit_just_suffice(place: Row, count: int) -> None:
    # 8 devices of 15.4 W: three switches of 60 W, 1 U and 5 W own draw: (15 + 123.2) / 0.9 = 153.6 W of 154.4 W
    bought = catalog(switch("s", 50, 60, ports(4, 15.4), rack_u=1, own_w=5))
    assert len(solved(scenario(device("d", 5, count=8), places=[{"place": "hall", **place}]), bought).units) == count


@pytest.mark.parametrize("place", [{"rack_u": "2.9"}, {"outlets": 2}, {"circuit_a": 1, "circuit_v": 191}])
def test_room_outlets_and_circuit_bind(place: Row) -> None:
    bought = catalog(switch("s", 50, 60, ports(4, 15.4), rack_u=1, own_w=5))
    assert "cannot be served" in refused(scenario(device("d", 5, count=8), places=[{"place": "hall", **place}]), bought)


@pytest.mark.parametrize(("pct", "units"), [(0, 1), (25, 1), (26, 2), (50, 2)])
def test_spare_ports_are_a_whole_number_of_the_place(pct: int, units: int) -> None:
    # three of four ports used: 25 % of 4 is one; 26 % is two; of eight 26 % are three
    bought = catalog(switch("s", 50, 100, ports(4, 15.4)))
    assert len(solved(scenario(device("d", 5, count=3), rules={"spare_ports_pct": pct}), bought).units) == units


def test_traffic_counts_on_every_switch_it_passes() -> None:
    # the root carries 5 and 6 Mb/s, the mast 6; 70 % of 10 is 7
    places = [{"place": "hall"}, {"place": "mast", "mains": False}]
    pole = fed("pole", 30, 4, ports(2, 15.4), uplink_mbps=10)
    rows = (device("a", 5, mbps=5), device("b", 5, "mast", mbps=6))
    for uplink, units in ((16, 2), (15, 3)):
        root = switch("root", 50, 100, ports(3, 30), uplink_mbps=uplink)
        assert len(solved(scenario(*rows, places=places, runs=[run("mast", "hall", 10)]), catalog(root, pole)).units) == units


def test_fractions_of_traffic_pass_a_fed_switch() -> None:
    places = [{"place": "hall"}, {"place": "mast", "mains": False}]
    pole = fed("pole", 30, 4, ports(2, 15.4), uplink_mbps=10)
    kit = solved(
        scenario(device("a", 5, "mast", mbps="4.5"), device("b", 5, mbps=50), places=places, runs=[run("mast", "hall", 10)]),
        catalog(switch("root", 50, 100, ports(3, 30)), pole),
    )
    assert sorted(unit.traffic_mbps or 0 for unit in kit.units) == [4.5, 54.5]


@pytest.mark.parametrize(("pct", "units"), [(100, 1), (50, 2), (49, 4), (25, 4)])
def test_critical_devices_are_spread_over_units(pct: int, units: int) -> None:
    bought = catalog(switch("s", 50, 100, ports(6, 15.4)))
    rows = (device("door", 5, count=4, priority="critical"), device("desk", 5, count=2))
    assert len(solved(scenario(*rows, rules={"max_critical_share_pct": pct}), bought).units) == units


@pytest.mark.parametrize(("most", "cost"), [(None, 110), (2, 110), (1, 140)])
def test_fewer_models_may_cost_more(most: int | None, cost: float) -> None:
    bought = catalog(switch("weak", 40, 100, ports(4, 15.4)), switch("strong", 70, 100, ports(4, 30)))
    rows = (device("cam", 5, "hall"), device("lamp", 20, "loft"))
    assert solved(scenario(*rows, rules={"max_models": most} if most else {}), bought).cost == cost


def test_a_battery_holds_the_place_that_feeds_the_mast() -> None:
    places = [{"place": "hall"}, {"place": "mast", "mains": False}]
    bought = catalog(
        switch("root", 50, 100, ports(3, 30), own_w=3),
        fed("pole", 30, 4, ports(2, 15.4)),
        backups=[{"model": "ups", "price": 70, "watts": 50, "watt_hours": 100}],
    )
    for backup, cost in ((True, 150), (False, 80)):
        rows = device("cam", 5, "mast", backup=backup)
        kit = solved(scenario(rows, places=places, runs=[run("mast", "hall", 10)], rules={"backup_minutes": 20}), bought)
        assert kit.cost == cost
        assert [line.place for line in kit.lines or () if line.kind == "backup"] == (["hall"] if backup else [])


def test_a_place_with_mains_holds_what_hangs_on_a_switch_there_that_is_fed_from_elsewhere() -> None:
    # the lamp's switch draws 65 W in the loft: two batteries there, so that nothing is saved by feeding the camera's switch from the hall
    bought = catalog(
        switch("root", 50, 100, ports(2, 30), own_w=3),
        switch("strong", 90, 60, ports(1, 60), own_w=5, efficiency=1),
        fed("pole", 30, 4, ports(2, 15.4)),
        backups=[{"model": "ups", "price": 70, "watts": 50, "watt_hours": 1000}],
    )
    rows = (device("cam", 5, "loft", backup=True), device("lamp", 45, "loft"))
    places = [{"place": "hall"}, {"place": "loft"}]
    kit = solved(scenario(*rows, places=places, runs=[run("loft", "hall", 10)], rules={"backup_minutes": 20}), bought)
    assert (kit.cost, models(kit)) == (280, ["root", "strong"])
    assert [(line.place, line.count) for line in kit.lines or () if line.kind == "backup"] == [("loft", 2)]


def test_only_places_that_must_hold_get_batteries() -> None:
    # three switches of 60 W own draw in a place that need not hold: 217 W of mains and no battery
    hungry = switch("s", 50, 16, ports(1, 15.4, "p"), ports(2, 0, "d"), own_w=60, uplink_mbps=143)
    bought = catalog(hungry, backups=[{"model": "ups", "price": 1000, "watts": 500, "watt_hours": 1000}])
    rows = (device("b", 5, "b", mbps=1), device("d", 0, "b", count=3, mbps=60), device("a", 5, "a", backup=True))
    kit = solved(scenario(*rows, rules={"backup_minutes": 10}), bought)
    assert (kit.cost, models(kit)) == (1200, ["s"] * 4)


def pole_at_stated_draw(place: Row, backups: list[Row]) -> tuple[Scenario, Catalog]:
    """A camera on a mast switch over 100 m: the mains of the hall carry 14.424 W."""
    places = [{"place": "hall", **place}, {"place": "mast", "mains": False}]
    rules = {"budget_basis": "stated", "backup_minutes": 10 if backups else 0, "circuit_load_pct": 100}
    row = device("m", 12.9, "mast", backup=bool(backups))
    pole = fed("f", 30, 6, ports(4, 15.4), efficiency=1, own_w=1, volts=50)
    root = switch("s", 50, 60, ports(1, 60), efficiency=1, volts=50)
    return scenario(row, places=places, runs=[run("mast", "hall", 100)], rules=rules), catalog(root, pole, backups=backups)


def test_a_battery_that_a_fed_switch_overloads_by_a_tenth_of_a_watt_is_not_taken() -> None:
    rows = [{"model": name, "price": price, "watts": watts, "watt_hours": 1000} for name, price, watts in (("u", 10, 14.4), ("v", 30, 99))]
    assert solved(*pole_at_stated_draw({}, rows)).cost == 100  # or two of the small ones


def test_a_circuit_that_a_fed_switch_overloads_by_a_tenth_of_a_watt_is_not_used() -> None:
    refused(*pole_at_stated_draw({"circuit_a": "0.144", "circuit_v": 100}, []))


# Laws


PRICES = st.integers(100, 30_000).map(lambda value: Decimal(value) / 100)
PORT_W = st.sampled_from(("15.4", "30", "60"))


@st.composite
def price_lists(draw: st.DrawFn) -> Catalog:
    """Two or three switches, an injector, a cable."""
    rows = [
        switch(f"s{number}", draw(PRICES), draw(st.integers(15, 120)), ports(draw(st.integers(1, 4)), draw(PORT_W)))  # type: ignore[arg-type]
        for number in range(draw(st.integers(2, 3)))
    ]
    injector = {"model": "i", "price": draw(PRICES), "ports": 1, "port_w": draw(PORT_W)}
    return catalog(*rows, injectors=[injector], cables=[{"model": "c", "price_per_m": Decimal(draw(st.integers(0, 90))) / 100, "awg": 24}])


@st.composite
def sites(draw: st.DrawFn) -> Scenario:
    """One to five devices in two places."""
    watts, metres = st.sampled_from((0, 4, 9, 12.95, 20, 38)), st.integers(1, 90)
    place = st.sampled_from(("hall", "loft"))
    rows: list[Any] = [
        device(f"d{number}", draw(watts), draw(place), run_m=draw(metres), count=draw(st.integers(1, 2)))
        for number in range(draw(st.integers(1, 3)))
    ]
    runs = [run(row["device"], "loft", draw(metres)) for row in rows if draw(st.booleans())]
    return scenario(*rows, runs=runs, places=[{"place": "hall"}, {"place": "loft", "open_cost": draw(st.integers(0, 90))}])


def cost(site: Scenario, bought: Catalog) -> float:
    """Cost of the cheapest kit; infinite where there is none."""
    kit: Kit = cheapest_kit(site, bought, Limits(time_limit_s=30))
    assert kit.status in {Status.OPTIMAL, Status.INFEASIBLE}
    return float("inf") if kit.cost is None else kit.cost


LAW = settings(max_examples=15, deadline=None)


@LAW
@given(sites(), price_lists(), st.integers(0, 2), PRICES)
def test_a_dearer_row_never_lowers_the_cost(site: Scenario, bought: Catalog, row: int, more: Decimal) -> None:
    switches = list(bought.switches)
    index = row % len(switches)
    switches[index] = switches[index].model_copy(update={"price": switches[index].price + more})
    assert cost(site, changed(bought, switches=tuple(switches))) >= cost(site, bought)


@LAW
@given(sites(), price_lists())
def test_another_row_never_raises_the_cost(site: Scenario, bought: Catalog) -> None:
    fewer = changed(bought, switches=bought.switches[:-1], ports=bought.ports[:-1])
    assert cost(site, bought) <= cost(site, fewer)


@LAW
@given(sites(), price_lists(), st.integers(0, 40), st.integers(0, 40), st.sampled_from(("spare_watts_pct", "spare_ports_pct")))
def test_more_spare_never_lowers_the_cost(site: Scenario, bought: Catalog, less: int, more: int, rule: str) -> None:
    less, more = sorted((less, more))
    costs = [cost(ruled(site, **{rule: pct}), bought) for pct in (less, more)]
    assert costs[0] <= costs[1]


@LAW
@given(sites(), price_lists(), st.integers(2, 7))
def test_prices_times_a_whole_number_are_the_cost_times_that_number(site: Scenario, bought: Catalog, factor: int) -> None:
    before = cost(site, bought)
    assume(before < float("inf"))
    dear = {
        name: tuple(row.model_copy(update={"price": row.price * factor}) for row in getattr(bought, name))
        for name in ("switches", "injectors")
    }
    cables = tuple(row.model_copy(update={"price_per_m": row.price_per_m * factor}) for row in bought.cables)
    places = tuple(row.model_copy(update={"open_cost": row.open_cost * factor}) for row in site.places)
    scaled = cost(changed(site, places=places), changed(bought, **dear, cables=cables))
    assert scaled == pytest.approx(factor * before, abs=1e-9)
