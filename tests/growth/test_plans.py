"""Plans over stages: what each costs and when, by hand and by law; what was bought is never given back."""

from decimal import Decimal
from pathlib import Path

import pytest
from sketch import catalog, device, ports, run, scenario, site, supplied, switch

from equipsel.audit import audit
from equipsel.files import read_site
from equipsel.growth.ledger import bought, cost_cents, equipment, together
from equipsel.growth.plans import How, Plan, Terms, by_stage, once, planned
from equipsel.growth.stages import stages
from equipsel.growth.wishes import Wish, of_table
from equipsel.growth.words import by_model, why_ahead
from equipsel.kit import Severity
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit
from equipsel.variants import with_rules

ROOT = Path(__file__).parents[2]
TERMS = Terms(Decimal(0), 600.0)
FOUR, EIGHT = switch("four", 100, 65, ports(4, 30)), switch("eight", 150, 130, ports(8, 30))


def plans(site: Site, wishes: dict[str, list[Wish]]) -> dict[How, Plan]:
    sites = [stage.site for stage in stages(site, wishes).stages]
    kits = [cheapest_kit(one.scenario, one.catalog, Limits(Decimal(0), 600.0)) for one in sites]
    made = [once(sites, kits[-1], TERMS), by_stage(sites, kits[0], TERMS)]
    known = [plan for plan in made if plan is not None]
    ahead = planned(sites, kits, known, TERMS)
    assert ahead is not None
    return {plan.how: plan for plan in (*known, ahead)}


def cameras(count: int, **rules: object) -> Site:
    return site(scenario(device("cam", 12.95, count=count), rules=dict(rules)), catalog(FOUR, EIGHT))


def test_by_hand_eight_ports_now_are_cheaper_than_four_twice() -> None:
    """Four cameras now, four more later: 100 + 100 stage by stage, 150 ahead."""
    found = plans(cameras(4), {"next": [Wish("cam", "4")]})
    assert found[How.BY_STAGE].payments_cents == (10_000, 10_000)
    assert found[How.TOGETHER].payments_cents == (15_000, 0)
    assert found[How.ONCE].payments_cents == (15_000, 0)
    assert all(plan.proven for plan in found.values())


def test_by_hand_a_high_discount_makes_waiting_cheaper() -> None:
    """At 99 % a stage the second four costs 100 / 1.99 = 50.25 in today's money, more than 50 for the eight; at 99 it waits."""
    next_ = {"next": [Wish("cam", "4")]}
    assert plans(cameras(4, discount_pct=99), next_)[How.TOGETHER].payments_cents == (15_000, 0)
    cheaper = catalog(switch("four", 99, 65, ports(4, 30)), EIGHT)
    waits = plans(site(scenario(device("cam", 12.95, count=4), rules={"discount_pct": 99}), cheaper), next_)[How.TOGETHER]
    assert waits.payments_cents == (9_900, 9_900)
    assert waits.total_cents == 9_900 + round(9_900 / 1.99)


def test_without_a_discount_what_can_wait_waits() -> None:
    """Nine cameras in the end take an eight and a four; the four is not bought before it is needed."""
    found = plans(cameras(4), {"next": [Wish("cam", "4")], "last": [Wish("cam", "1")]})
    assert found[How.TOGETHER].payments_cents == (15_000, 0, 10_000)
    assert found[How.ONCE].payments_cents == (25_000, 0, 0)
    assert found[How.TOGETHER].total == found[How.ONCE].total


def test_supplies_bought_before_are_kept_though_a_stronger_one_alone_beats_two() -> None:
    """40 + 40 costs more than one of 120 W at 60; with one of 40 bought already the second is the cheaper step."""
    supplies = [{"model": f"dc{watts}", "price": price, "fit": "dc", "watts": watts} for watts, price in ((60, 40), (120, 60))]
    chassis = supplied("chassis", 100, 2, ports(8, 30))
    described = scenario(device("cam", 12.95, count=3))
    found = plans(site(described, catalog(chassis, supplies=supplies)), {"next": [Wish("cam", "3")]})
    assert found[How.BY_STAGE].payments_cents == (14_000, 4_000)
    assert found[How.TOGETHER].payments_cents == (16_000, 0)


def test_cable_stays_on_its_run_and_boxes_are_used_up() -> None:
    cables = [{"model": "box", "price_per_m": 1, "awg": 24, "sold_m": 100}]
    described = scenario(device("cam", 12.95, count=2, run_m=30), runs=[run("cam", "loft", 40)])
    found = plans(site(described, catalog(EIGHT, cables=cables)), {"next": [Wish("cam", "1")], "last": [Wish("cam", "1")]})
    assert found[How.BY_STAGE].payments_cents == (15_000 + 10_000, 0, 10_000)


def test_stages_that_add_nothing_change_nothing() -> None:
    found = plans(cameras(4), {"idle": [Wish("cam", "0")], "next": [Wish("cam", "4")], "rest": [Wish("cam", "0")]})
    plain = plans(cameras(4), {"next": [Wish("cam", "4")]})
    assert {how: plan.payments_cents for how, plan in found.items()} == {how: plan.payments_cents for how, plan in plain.items()}


@pytest.fixture(scope="module")
def depot() -> dict[How, Plan]:
    read = read_site(ROOT / "scenarios" / "depot")
    return plans(read, of_table(read.scenario.growth))


def test_the_depot_gains_visibly_by_planning_ahead(depot: dict[How, Plan]) -> None:
    ahead, step, at_once = (depot[how].total_cents for how in (How.TOGETHER, How.BY_STAGE, How.ONCE))
    assert ahead < min(step, at_once)
    assert step - ahead > 5_000
    read = read_site(ROOT / "scenarios" / "depot")
    named = stages(read, of_table(read.scenario.growth)).stages
    assert why_ahead(named, depot) == (
        "Planning ahead saves 78.31 beside buying stage by stage: it buys 1 x sw16-30w-250 at counter (stage now); stage by stage buys "
        "1 x sw4-30w-65 at counter (stage second belt), 1 x sw8-30w-120 at counter (stage loading dock), "
        "1 x sw4-mix-ext at counter (stage night shift), 1 x brick-4-120 at counter (stage night shift), which the later stages outgrow."
    )


def test_nothing_bought_is_given_back_and_every_kit_stands_on_what_was_bought(depot: dict[How, Plan]) -> None:
    for plan in depot.values():
        held: dict[tuple[str, ...], int] = {}
        for kit, site_, holds in zip(plan.kits, plan.sites, plan.holds, strict=True):
            assert together(held, holds) == holds
            assert all(holds[key] >= count for key, count in bought(kit, site_).items())
            findings = audit(kit, site_.scenario, site_.catalog)
            assert not [one for one in findings if one.severity is Severity.ERROR]
            held = holds
        assert sum(plan.payments_cents) == plan.paid_cents[-1]
        assert min(plan.payments_cents) >= 0


@pytest.mark.parametrize("name", ["workshop", "depot"])
def test_what_a_kit_bought_costs_what_its_bill_says(name: str) -> None:
    read = read_site(ROOT / "scenarios" / name)
    kit = cheapest_kit(read.scenario, read.catalog)
    counts = bought(kit, read)
    assert cost_cents(counts, read) == round(100 * (kit.cost or 0))
    assert sum(by_model(counts).values()) == sum(equipment(counts).values())


def test_more_spare_never_costs_less() -> None:
    totals = [plans(with_rules(cameras(4), spare_watts_pct=pct), {"next": [Wish("cam", "3")]}) for pct in (0, 10, 30)]
    for how in How:
        costs = [found[how].total for found in totals]
        assert costs == sorted(costs) or how is How.BY_STAGE
