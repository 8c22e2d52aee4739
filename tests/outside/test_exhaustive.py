"""The program's cost against a search that tries every arrangement, on random small sites.

The search is written from the rules alone (exhaustive.py, oracle_feeds.py) and shares with the program only the tables,
the classes and the solver of one ladder. All cases are invented. EQUIPSEL_CASES=10 runs ten times as many.
"""

from decimal import Decimal

import pytest
from cases import numbers
from exhaustive import cheapest, cheapest_cost
from late import Late, within
from random_columns import filled
from random_sites import small, topology, with_extenders

from equipsel.catalog import Cable, Catalog, Injector, PortGroup, Supply, Switch
from equipsel.scenario import Device, Place, Rules, Run, Scenario
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit
from equipsel.variants import with_rules


def program_cost(scenario, catalog):
    """Cost the program proves, in cents; None where it proves that there is no kit; else the status it stopped with."""
    kit = cheapest_kit(scenario, catalog, Limits(reasons_s=0))
    if kit.status == "infeasible":
        return None
    return round(Decimal(str(kit.cost)) * 100) if kit.status == "optimal" else str(kit.status)


def disagreements(family, cases):
    found = {}
    for number in cases:
        scenario, catalog = family(number)
        want, got = cheapest_cost(scenario, catalog), program_cost(scenario, catalog)
        if want != got:
            found[f"{family.__name__} {number}"] = (want, got)
    return found


@pytest.mark.parametrize("cases", numbers(240, 6), ids=str)
def test_small_sites(cases):
    assert disagreements(small, cases) == {}


@pytest.mark.parametrize("cases", numbers(100, 2), ids=str)
def test_small_sites_with_extenders(cases):
    assert disagreements(with_extenders, cases) == {}


@pytest.mark.parametrize("cases", numbers(42, 3), ids=str)
def test_small_topologies(cases):
    assert disagreements(topology, cases) == {}


def with_more_columns(number):
    site = filled(number, (small, with_extenders)[number % 2])
    return site.scenario, site.catalog


@pytest.mark.parametrize("cases", numbers(80, 2), ids=str)
def test_small_sites_with_more_columns(cases):
    assert disagreements(with_more_columns, cases) == {}


@pytest.mark.slow
@pytest.mark.parametrize(("family", "cases"), [(small, range(300, 1000)), (with_extenders, range(500))])
def test_many_sites(family, cases):
    assert disagreements(family, cases) == {}


@pytest.mark.slow
def test_two_thousand_topologies():
    """Cases that take the exhaustive search over 25 s are left out (16 of the first 2,000 where this was written), and more taken on."""
    compared, number, found = 0, 0, {}
    while compared < 2000:
        site, number = topology(number), number + 1
        try:
            with within(25):
                want = cheapest_cost(*site)
        except Late:
            continue
        compared, got = compared + 1, program_cost(*site)
        if want != got:
            found[number - 1] = (want, got)
    print(f"\n{compared} compared, {number - compared} took too long")
    assert found == {}
    assert number < 2200


def test_families_are_neither_hopeless_nor_trivial():
    for family in (small, with_extenders, topology, with_more_columns):
        costs = [cheapest_cost(*family(number)) for number in range(16)]
        assert 5 <= sum(cost is not None for cost in costs) < 16
        assert len(set(costs)) > 5


def site(devices, runs=(), places=(), **rules):
    return Scenario(rules=Rules(cable_c=20, **rules), devices=devices, runs=runs, places=places)


def boxes(name, price, budget_w, **groups):
    """A mains switch whose groups are written plain=(4, 30): four ports of 30 W."""
    ports = [PortGroup(model=name, group=group, count=count, port_w=port_w) for group, (count, port_w) in groups.items()]
    return Switch(model=name, price=price, budget_w=budget_w), ports


def catalog(*switches, **tables):
    return Catalog(switches=tuple(row for row, _ in switches), ports=tuple(port for _, ports in switches for port in ports), **tables)


def agree(scenario, equipment, want):
    assert cheapest_cost(scenario, equipment) == want
    assert program_cost(scenario, equipment) == want


def test_three_loads_of_60_w_on_switches_that_hand_out_90_w_need_three():
    """By hand: two of them would take 120 W from one switch; pooled, 180 W would seem to need only two."""
    load = Device(device="lamp", count=3, watts=60, class_=8, place="hall", run_m=0)
    switch = boxes("s", "13.37", 90, strong=(4, 90))
    agree(site((load,), budget_basis="stated"), catalog(switch), 3 * 1337)


FOUR_PORTS = (
    Switch(model="four", price="100", feed="supply", supply_fit="brick"),
    [PortGroup(model="four", group="strong", count=2, port_w=90), PortGroup(model="four", group="plain", count=2, port_w=30)],
)
BRICKS = tuple(
    Supply(model=f"brick {watts}", price=price, fit="brick", watts=watts) for watts, price in ((120, "30"), (180, "40"), (240, "50"))
)
MIXED = (
    Device(device="panel", watts="51", place="hall", run_m=10),
    Device(device="lamp", watts="71.3", place="hall", run_m=10),
    Device(device="camera", count=2, watts="12.95", place="hall", run_m=10),
)


@pytest.mark.parametrize(
    ("rules", "want"),
    [
        ({"budget_basis": "class"}, 15000),  # 60 + 90 + 2 x 15.4 = 180.8 W: not from 180 W
        ({"budget_basis": "stated"}, 14000),  # 51.6 + 72.3 + 2 x 13.1 = 150 W
        ({"budget_basis": "stated", "spare_watts_pct": 20}, 15000),  # not from 0.8 x 180 = 144 W
    ],
)
def test_mixed_ports_with_external_supplies(rules, want):
    agree(site(MIXED, **rules), catalog(FOUR_PORTS, supplies=BRICKS), want)


def two_rooms(price_per_m):
    near = Device(device="a", count=4, watts="12.95", place="east", run_m=10)
    far = Device(device="b", count=4, watts="12.95", place="west", run_m=10)
    runs = (Run(to="east", run_m=60, **{"from": "b"}),)
    cables = (Cable(model="c", price_per_m=price_per_m, awg=24),)
    equipment = catalog(boxes("four", 100, 65, plain=(4, 30)), boxes("eight", 150, 130, plain=(8, 30)), cables=cables)
    return site((near, far), runs=runs), equipment


@pytest.mark.parametrize(("price_per_m", "want"), [("0.24", 21_720), ("0.25", 22_000), ("0.26", 22_080)])
def test_one_large_switch_against_two_small_ones(price_per_m, want):
    """By hand: 4 x 50 m more cable save 50, so the two are equal at 0.25 a metre: 150 + 280 p against 200 + 80 p."""
    agree(*two_rooms(price_per_m), want)


def mast(in_class, budget_basis, **rules):
    fed = Switch(model="fed", price="60", feed="port", in_class=in_class, budget_w="60", own_w=2)
    ports = [PortGroup(model="fed", group="out", count=4, port_w=30)]
    cameras = Device(device="camera", count=4, watts="12.95", place="mast", run_m=5, existing_cable=True)
    places = (Place(place="room"), Place(place="mast", mains=False))
    runs = (Run(to="room", run_m=80, existing=1, **{"from": "mast"}),)
    cables = (Cable(model="c", price_per_m=1, awg=24),)
    equipment = catalog(boxes("main", 100, 240, strong=(4, 90)), (fed, ports), cables=cables)
    return site((cameras,), runs=runs, places=places, budget_basis=budget_basis, **rules), equipment


def test_a_mast_with_one_old_cable():
    """By hand: four cameras take 52 W as stated, within 60 W; by class 61.6 W, so two switches and one new cable of 80 m."""
    agree(*mast(8, "stated"), 10_000 + 6_000)
    agree(*mast(8, "class"), 10_000 + 2 * 6_000 + 8_000)
    agree(*mast(8, "stated", max_cascade=0), None)


def test_an_injector_needs_a_data_port_and_a_switch_may_lack_it():
    """By hand: one port of 90 W; the second lamp gets an injector and the data port, the third another switch or nothing."""
    switch = boxes("s", 50, 90, strong=(1, 90), data=(1, 0))
    injector = Injector(model="i", price="20", ports=1, port_w=90)
    lamps = Device(device="lamp", count=2, watts=60, place="hall", run_m=5)
    agree(site((lamps,)), catalog(switch, injectors=(injector,)), 7000)
    agree(site((lamps.model_copy(update={"count": 3}),)), catalog(switch, injectors=(injector,)), 12000)


def test_the_search_says_what_it_chose():
    load = Device(device="lamp", watts=60, place="hall", run_m=0)
    best = cheapest(site((load,)), catalog(boxes("s", 50, 90, strong=(1, 90))))
    assert best is not None
    assert any("lamp" in line for line in best.words)


def test_a_draw_made_exact_for_one_fed_switch_is_none_too_high_for_another():
    """Once a bound was a cent above the optimum here: energy is paid for, and a draw was reckoned a milliwatt too high."""
    scenario, catalog = topology(137)
    scenario = scenario.model_copy(update={"rules": scenario.rules.model_copy(update={"spare_watts_pct": Decimal(18)})})
    assert program_cost(scenario, catalog) == cheapest_cost(scenario, catalog) == 79162


def test_what_no_port_above_can_feed_is_known_before_any_search():
    """Two devices of 25.5 W on a mast that is fed from switches of 16.8 W; with spare ports asked for, the search found no end."""
    scenario, equipment = topology(380501)
    scenario = with_rules(Site(scenario, equipment), spare_ports_pct=40).scenario
    assert cheapest_kit(scenario, equipment, Limits(time_limit_s=5, reasons_s=0)).status == "infeasible"
    assert cheapest_cost(scenario, equipment) is None
