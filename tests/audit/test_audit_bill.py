"""Bills worked out by hand, line by line: the re-check takes each of them, and no other. The good kit's own bill costs 1993."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from good_kit import COST, Case, Table, _line

from equipsel.audit.bill import expected_bill
from equipsel.audit.facts import build_facts
from equipsel.catalog import Catalog
from equipsel.kit import Kit
from equipsel.scenario import Scenario


def stated() -> Case:
    case = Case()
    case.state_everything()
    return case


def charge(case: Case, kind: str, model: str, **figures: Any) -> None:
    """Change a line, and the kit's cost with it."""
    line = case.line(kind, model)
    before = line["cost"]
    line.update(figures)
    line["cost"] = round(line["count"] * line["unit_cost"], 2)
    case.kit["cost"] = round(case.kit["cost"] + line["cost"] - before, 2)


def add(case: Case, *line: Any) -> None:
    case.kit["lines"].append(_line(*line))
    case.kit["cost"] = round(case.kit["cost"] + case.kit["lines"][-1]["cost"], 2)


def bill(case: Case) -> list[tuple[Any, ...]]:
    tables = Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog)
    return [(item.kind, item.model, item.place, item.count, item.unit_cost) for item in expected_bill(build_facts(*tables))]


def extra(case: Case, per: str, for_: str = "") -> Table:
    row = {"item": "label", "price": 1.5, "install_cost": 0.5, "per": per, **({"for": for_} if for_ else {})}
    case.catalog["extras"].append(row)
    return row


def test_every_piece_but_supplies_and_batteries_takes_the_cost_of_a_piece() -> None:
    case = stated()
    case.rules["piece_cost"] = 7
    for kind, model, price in (("switch", "core", 227), ("switch", "mast switch", 157), ("injector", "inj90", 67), ("extender", "ext", 97)):
        charge(case, kind, model, unit_cost=price)
    assert case.kit["cost"] == COST + 7 * 6
    assert case.broken() == {}


def test_supplies_take_their_fitting_and_those_already_there_cost_nothing() -> None:
    case = stated()
    case.model("supplies", "dc120")["install_cost"] = 5
    case.unit("hut-1").update(supplies=["dc120", "dc120"], budget_w=230)
    case.scenario["owned"].append({"model": "dc120", "place": "hut", "count": 1})
    case.kit["lines"].remove(case.line("supply", "dc240"))
    case.kit["cost"] -= 80
    charge(case, "supply", "dc120", unit_cost=55)
    add(case, "supply", "dc120", "hut", 1, 0)
    assert case.broken() == {}
    assert [item for item in bill(case) if item[0] == "supply"] == [
        ("supply", "dc120", "hut", 1, 0), ("supply", "dc120", "hut", 1, 55),
    ]  # fmt: skip


def test_a_supply_already_there_makes_one_line_and_one_that_stands_elsewhere_none() -> None:
    case = stated()
    case.scenario["owned"] += [{"model": "dc120", "place": "hut", "count": 2}, {"model": "dc240", "place": "shop", "count": 1}]
    charge(case, "supply", "dc120", unit_cost=0)
    assert case.broken() == {}
    assert [item for item in bill(case) if item[0] == "supply"] == [("supply", "dc240", "hut", 1, 80), ("supply", "dc120", "hut", 1, 0)]


@pytest.mark.parametrize(("there", "metres"), [(0, 485 - 40 + 160), (1, 485 - 40 + 80), (2, 485 - 40), (3, 485 - 40)])
def test_cable_already_on_a_run_is_not_bought(there: int, metres: int) -> None:
    """Both readers in the shop, over 80 m each instead of 20."""
    case = stated()
    case.scenario["runs"][1]["existing"] = there
    for number in (1, 2):
        case.row(f"reader.{number}").update(place="shop", unit="shop-1", group="all", port=2 + number)
    charge(case, "cable", "cat6", count=metres)
    found = case.broken()
    assert set(found) <= {"unit figures"}
    assert ("cable", "cat6", None, metres, Decimal("1.80")) in bill(case)


def test_cable_by_the_box_and_its_pulling() -> None:
    """485 m are two boxes of 305 m; 610 m would be two as well, 611 m three."""
    case = stated()
    case.model("cables", "cat6")["sold_m"] = 305
    case.kit["lines"].remove(case.line("cable", "cat6"))
    case.kit["cost"] -= 873
    add(case, "cable", "cat6", None, 2, 244)
    add(case, "cable", "cat6 (pulling)", None, 485, 1)
    assert case.broken() == {}
    case.device("light")["run_m"] = 50 + 125
    assert ("cable", "cat6", None, 2, 244) in bill(case)
    case.device("light")["run_m"] = 50 + 126
    assert ("cable", "cat6", None, 3, 244) in bill(case)


def test_battery_units_are_on_the_bill_by_place_and_model() -> None:
    case = stated()
    case.model("backups", "ups")["install_cost"] = 12
    case.catalog["backups"].append({"model": "ups small", "price": 100, "watts": 100, "watt_hours": 90})
    case.rules.update(backup_minutes=10, piece_cost=0)
    case.device("reader")["backup"] = True
    add(case, "backup", "ups", "hut", 2, 312)
    add(case, "backup", "ups small", "hut", 1, 100)
    add(case, "backup", "ups", "shop", 1, 312)
    assert case.broken() == {}
    assert [item for item in bill(case) if item[0] == "backup"] == [
        ("backup", "ups", "hut", 2, 312), ("backup", "ups small", "hut", 1, 100), ("backup", "ups", "shop", 1, 312),
    ]  # fmt: skip


def test_energy_of_the_years_is_on_the_bill() -> None:
    """By hand: heat of 24 1/3, 7 2/9, 7 8/9 and 9 7/9 W, 49.2222 W over 2 years of 8760 h: 862.3734 kWh, up to a Wh."""
    case = stated()
    case.rules.update(energy_price_kwh=0.25, years=2)
    add(case, "energy", "energy", None, 862.374, 0.25)
    assert case.broken() == {}
    assert bill(case)[-1] == ("energy", "energy", None, Fraction(862_374, 1000), Decimal("0.25"))


def test_only_places_where_something_stands_are_opened() -> None:
    case = stated()
    case.place("mast")["open_cost"] = 15
    case.scenario["places"].append({"place": "attic", "open_cost": 99})
    add(case, "place", "opening", "mast", 1, 15)
    assert case.broken() == {}


@pytest.mark.parametrize(
    ("per", "for_", "count"),
    [
        ("port", "", 11), ("port", "core", 5), ("port", "inj90", 1), ("port", "camera", 5), ("port", "desk", 2), ("port", "ext", 0),
        ("device", "", 9), ("device", "camera", 4), ("device", "core", 3), ("device", "inj90", 1), ("device", "mast switch", 3),
        ("unit", "", 4), ("unit", "desk", 1), ("unit", "camera", 0), ("unit", "dc240", 0),
        ("place", "", 3), ("place", "desk", 1), ("place", "camera", 2), ("place", "light", 1), ("place", "ext", 0),
        ("extender", "", 3), ("extender", "ext", 3), ("extender", "camera", 3), ("extender", "light", 0),
        ("run", "", 10), ("run", "core", 4), ("run", "inj90", 1), ("run", "cat6", 10), ("run", "ext", 1), ("run", "camera", 4),
        ("run", "light", 1), ("run", "thin", 0),
    ],
)  # fmt: skip
def test_extras_by_whatever_they_are_counted(per: str, for_: str, count: int) -> None:
    """By hand: light, reader x 2, far (injector, its data on the core), cam x 3 on the mast, phone x 2 in the shop, the mast's feed."""
    case = stated()
    extra(case, per, for_)
    if count:
        add(case, "extra", "label", None, count, 2)
    assert case.broken() == {}
    assert [item[3] for item in bill(case) if item[1] == "label"] == ([count] if count else [])
