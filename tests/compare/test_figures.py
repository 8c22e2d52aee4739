"""Every figure of an option, reckoned anew from kit.json and the tables with nothing of the comparison's own."""

import csv
import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from sketch import catalog, device, fed, ports, run, scenario, supplied, switch

from equipsel.compare.ask import Question
from equipsel.compare.figures import CRITERIA, Criterion, best, figures
from equipsel.files import read_site
from equipsel.site import Site

ROOT = Path(__file__).parents[2]
TABLES = {"switch": "switches", "supply": "supplies", "injector": "injectors", "extender": "extenders", "backup": "backups"}


def rows(name: str) -> dict[str, dict[str, str]]:
    path = ROOT / "catalogs" / "generic" / f"{name}.csv"
    return {row["model" if "model" in row else "item"]: row for row in csv.DictReader(path.open())}


def number(text: str | None, default: float = 0) -> float:
    return float(text) if text else default


@pytest.fixture(scope="module")
def workshop() -> tuple[dict[str, Any], dict[str, float | None]]:
    site = read_site(ROOT / "scenarios" / "workshop")
    kit = Question(site).kit()
    return json.loads(kit.to_json()), figures(kit, site)


def test_money_of_the_workshop(workshop: tuple[dict[str, Any], dict[str, float | None]]) -> None:
    kit, found = workshop
    prices = {**{kind: rows(table) for kind, table in TABLES.items()}, "extra": rows("extras")}
    bought = [line for line in kit["lines"] if line["kind"] in prices]
    equipment = sum(line["count"] * number(prices[line["kind"]][line["model"]]["price"]) for line in bought)
    installation = sum(line["count"] * number(prices[line["kind"]][line["model"]]["install_cost"]) for line in bought)
    cable = sum(line["cost"] for line in kit["lines"] if line["kind"] == "cable")
    assert found["equipment"] == pytest.approx(equipment, abs=0.005)
    assert found["installation"] == pytest.approx(installation, abs=0.005)
    assert found["cable"] == pytest.approx(cable, abs=0.005)
    assert (found["energy"], found["cost"], found["gap_pct"]) == (0, kit["cost"], 0)
    assert equipment + installation + cable == pytest.approx(kit["cost"], abs=0.005)


def test_watts_ports_and_room_of_the_workshop(workshop: tuple[dict[str, Any], dict[str, float | None]]) -> None:
    kit, found = workshop
    known = {**rows("switches"), **rows("injectors")}
    powered = Counter({name: int(row["ports"]) for name, row in rows("injectors").items()})
    for row in csv.DictReader((ROOT / "catalogs" / "generic" / "ports.csv").open()):
        powered[row["model"]] += int(row["count"]) if float(row["port_w"]) else 0
    units = kit["units"]
    assert found["units"] == len(units)
    assert found["spare_w"] == pytest.approx(sum(unit["budget_w"] - unit["reserved_w"] for unit in units), abs=0.05)
    shares = [100 * (1 - unit["reserved_w"] / unit["budget_w"]) for unit in units if powered[unit["model"]] > 1]
    assert found["spare_pct"] == pytest.approx(min(shares), abs=0.05)
    data_only = [one for one in kit["connections"] if one["group"] == "data"]
    taken = sum((one not in data_only) + bool(one["injector"]) for one in kit["connections"])
    assert found["spare_ports"] == sum(powered[unit["model"]] for unit in units) - taken
    heat = sum((number(known[one["model"]]["own_w"]) + one["reserved_w"]) / number(known[one["model"]]["efficiency"]) - one["reserved_w"]
               for one in units)  # fmt: skip
    assert found["heat_w"] == pytest.approx(heat, abs=0.1)
    assert found["kwh_a_year"] == pytest.approx(heat * 8760 / 1000, abs=1)
    assert found["rack_u"] == sum(number(known[unit["model"]]["rack_u"]) for unit in units)
    assert found["models"] == found["failures"] == len({unit["model"] for unit in units})
    on = Counter(name for one in kit["connections"] for name in {one["unit"], (one["injector"] or one)["unit"]})
    assert found["devices_lost"] == max(on.values())


@pytest.mark.parametrize(("spare", "failures", "equipment"), [(False, 5, 335), (True, 3, 355)])
def test_what_a_site_of_masts_and_supplies_comes_to(spare: bool, failures: int, equipment: float) -> None:
    """By hand: a core of 2 U with two supplies of 1 U (three with N+1), a pole fed from it over an extender, a battery of 3 U.

    Points of failure: core, pole, extender, and each supply unless they are N+1. The pole's two cameras and the hall's are lost
    with the core. Equipment: core 100, supplies 20 each, pole 30, extender 40, battery 125; installed for 7, 3 and 11.
    """
    bought = catalog(
        supplied("core", 100, 4, ports(4, 60), own_w=5, rack_u=2, install_cost=7),
        fed("pole", 30, 4, ports(2, 15.4), own_w=1, install_cost=3),
        supplies=[{"model": "dc", "price": 20, "fit": "dc", "watts": 35, "rack_u": 1}],
        extenders=[{"model": "hop", "price": 40, "own_w": 1, "in_class": 6, "port_w": 60, "install_cost": 11}],
        backups=[{"model": "ups", "price": 125, "watts": 500, "watt_hours": 900, "rack_u": 3}],
    )
    site = Site(
        scenario(
            device("cam", 3, "mast", run_m=5, count=2, class_=1),
            device("door", 5, "hall", backup=True),
            places=[{"place": "hall"}, {"place": "mast", "mains": False}],
            runs=[run("mast", "hall", 150)],
            rules={"redundant_supplies": spare, "backup_minutes": 10, "years": 2, "energy_price_kwh": "0.5"},
        ),
        bought,
    )
    kit = Question(site).kit()
    found = figures(kit, site)
    assert (found["units"], found["models"], found["failures"], found["devices_lost"]) == (2, 3, failures, 3)
    assert (found["equipment"], found["installation"]) == (equipment, 21)
    assert found["rack_u"] == 2 + (3 if spare else 2) + 3
    heat = sum(unit["heat_w"] for unit in json.loads(kit.to_json())["units"])
    assert found["energy"] == pytest.approx(heat * 8.76 * 2 * 0.5, abs=0.1)
    assert found["cost"] == pytest.approx(equipment + 21 + (found["energy"] or 0), abs=0.005)


def test_the_best_is_the_least_or_the_most_and_none_where_all_are_alike() -> None:
    less, more = Criterion("heat_w", "heat"), Criterion("spare_w", "spare", "more")
    known = [{"heat_w": 3.0, "spare_w": 1.0}, {}, {"heat_w": 2.0, "spare_w": 1.0}, {"heat_w": 2.0, "spare_w": 5.0}]
    assert (best(less, known), best(more, known)) == ({2, 3}, {3})
    assert best(less, [{"heat_w": 2.0}, {"heat_w": 2.0}]) == set()
    assert {column.key for column in CRITERIA if column.better == "more"} == {"spare_w", "spare_pct", "spare_ports"}


def test_what_is_owned_is_no_equipment_and_still_fails() -> None:
    plain = switch("plain", 50, 60, ports(4, 30), rack_u=1)
    site = Site(scenario(device("cam", 5), owned=[{"model": "plain", "place": "hall", "count": 1}]), catalog(plain))
    found = figures(Question(site).kit(), site)
    assert (found["cost"], found["equipment"], found["units"], found["failures"], found["rack_u"]) == (0, 0, 1, 1, 1)
