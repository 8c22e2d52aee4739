"""An invented site and a hand-made kit for it that breaks no rule; and the means to spoil them.

A hut with mains: a switch with two supplies, an injector that feeds a camera 305 m away over three extenders, a light of
51 W. A mast without mains: a switch fed from the hut, three cameras. A shop whose switch is already there.
"""

from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from equipsel.audit import audit
from equipsel.catalog import Catalog
from equipsel.kit import Finding, Kit, Severity
from equipsel.scenario import Scenario

Table = dict[str, Any]

OUTDOOR = {"ip": "IP66", "low_c": -40, "high_c": 60}
INDOOR = {"ip": "IP20", "low_c": 0, "high_c": 45}

CATALOG: Table = {
    "switches": [
        {
            "model": "core",
            "price": 200,
            "feed": "supply",
            "budget_w": 300,
            "supply_fit": "dc",
            "supply_slots": 2,
            "own_w": 10,
            "rack_u": 1,
            "install_cost": 20,
            **INDOOR,
        },
        {"model": "mast switch", "price": 150, "feed": "port", "in_class": 6, "own_w": 5, **OUTDOOR},
        {"model": "desk", "price": 120, "budget_w": 60, "own_w": 8},
    ],
    "ports": [
        {"model": "core", "group": "strong", "count": 4, "port_w": 90, "pairs": 4},
        {"model": "core", "group": "plain", "count": 4, "port_w": 30},
        {"model": "core", "group": "data", "count": 2, "port_w": 0},
        {"model": "mast switch", "group": "out", "count": 4, "port_w": 15.4, "port_mbps": 100},
        {"model": "desk", "group": "all", "count": 8, "port_w": 15.4},
    ],
    "supplies": [
        {"model": "dc240", "price": 80, "fit": "dc", "watts": 240, "rack_u": 1, **INDOOR},
        {"model": "dc120", "price": 50, "fit": "dc", "watts": 120, "rack_u": 1, **INDOOR},
        {"model": "ac500", "price": 90, "fit": "ac", "watts": 500, **INDOOR},
    ],
    "injectors": [{"model": "inj90", "price": 60, "ports": 1, "port_w": 90, "pairs": 4, "volts": 55, "own_w": 2, "rack_u": 1, **INDOOR}],
    "extenders": [{"model": "ext", "price": 90, "own_w": 3, "in_class": 8, "port_w": 60, **OUTDOOR}],
    "cables": [
        {"model": "cat6", "price_per_m": 0.80, "awg": 23, "install_cost_per_m": 1},
        {"model": "thin", "price_per_m": 0.20, "awg": 28, "pairs": 2, "mbps": 100},
        {"model": "clad", "price_per_m": 0.30, "awg": 24, "material": "cca"},
    ],
    "backups": [{"model": "ups", "price": 300, "watts": 500, "watt_hours": 400}],
    "extras": [{"item": "surge protector", "price": 25, "per": "run"}],
}

SCENARIO: Table = {
    "rules": {"cable_c": 20},
    "places": [
        {"place": "hut", "ip": "IP20", "low_c": 5, "high_c": 40, "rack_u": 5, "outlets": 4, "circuit_a": 10, "circuit_v": 230,
         "open_cost": 40},
        {"place": "mast", "mains": False, "ip": "IP65", "low_c": -25, "high_c": 50},
        {"place": "shop"},
    ],
    "devices": [
        {"device": "light", "kind": "light", "class": 6, "place": "hut", "run_m": 50},
        {"device": "reader", "count": 2, "watts": 5, "class": 2, "place": "hut", "run_m": 20},
        {"device": "far", "kind": "camera", "watts": 25.5, "class": 4, "place": "hut", "run_m": 305, "mbps": 8, "path_ip": "IP65",
         "path_low_c": -25, "path_high_c": 50},
        {"device": "cam", "count": 3, "kind": "camera", "class": 2, "place": "mast", "run_m": 10, "mbps": 4},
        {"device": "phone", "count": 2, "watts": 3.84, "class": 1, "place": "shop", "run_m": 30, "existing_cable": True},
    ],
    "runs": [{"from": "mast", "to": "hut", "run_m": 60}, {"from": "reader", "to": "shop", "run_m": 80}],
    "owned": [{"model": "desk", "place": "shop", "count": 1}],
}  # fmt: skip

UNITS: list[Table] = [
    {"unit": "hut-1", "model": "core", "place": "hut", "supplies": ["dc240", "dc120"]},
    {"unit": "hut-2", "model": "inj90", "place": "hut"},
    {"unit": "mast-1", "model": "mast switch", "place": "mast", "fed_by": {"unit": "hut-1", "group": "strong", "port": 2}},
    {"unit": "shop-1", "model": "desk", "place": "shop", "owned": True},
]


def _row(device: str, unit: str, group: str, port: int, **more: Any) -> Table:
    return {"device": device, "place": unit.partition("-")[0], "unit": unit, "group": group, "port": port, **more}


CONNECTIONS: list[Table] = [
    _row("light", "hut-1", "strong", 1),
    _row("reader.1", "hut-1", "plain", 1),
    _row("reader.2", "hut-1", "plain", 2),
    _row("far", "hut-1", "data", 1, injector={"unit": "hut-2", "port": 1}, extenders=[{"model": "ext"}] * 3),
    _row("cam.1", "mast-1", "out", 1),
    _row("cam.2", "mast-1", "out", 2),
    _row("cam.3", "mast-1", "out", 3),
    _row("phone.1", "shop-1", "all", 1),
    _row("phone.2", "shop-1", "all", 2),
]

FIGURES: Table = {
    "hut-1": {"budget_w": 300, "reserved_w": 119, "heat_w": 24.333, "mains_w": 143.333, "traffic_mbps": 20},
    "hut-2": {"budget_w": 90, "reserved_w": 45, "heat_w": 7.222, "mains_w": 52.222},
    "mast-1": {"budget_w": 31, "reserved_w": 21, "heat_w": 7.889, "mains_w": 0, "traffic_mbps": 12},
    "shop-1": {"budget_w": 60, "reserved_w": 8, "heat_w": 9.778, "mains_w": 17.778, "traffic_mbps": 0},
}
"""By hand: class reserves 60 + 45 + 2 x 7, 45, 3 x 7, 2 x 4 W; class 5 leaves the mast 40 x 0.9 - 5 W; (own + reserved) / 0.9."""


def _line(kind: str, model: str, place: str | None, count: float, unit_cost: float) -> Table:
    return {"kind": kind, "model": model, "place": place, "count": count, "unit_cost": unit_cost, "cost": round(count * unit_cost, 2)}


LINES = [
    _line("switch", "core", "hut", 1, 220),
    _line("switch", "mast switch", "mast", 1, 150),
    _line("switch", "desk", "shop", 1, 0),
    _line("supply", "dc240", "hut", 1, 80),
    _line("supply", "dc120", "hut", 1, 50),
    _line("injector", "inj90", "hut", 1, 60),
    _line("extender", "ext", "hut", 3, 90),
    _line("cable", "cat6", None, 485, 1.80),
    _line("extra", "surge protector", None, 10, 25),
    _line("place", "opening", "hut", 1, 40),
]
"""By hand: 50 + 2 x 20 + 305 + 3 x 10 + 60 m of new cable; a surge protector for each of ten runs."""

COST = 1993


@dataclass
class Case:
    """A site and a kit as plain tables, to be spoiled and audited."""

    catalog: Table = field(default_factory=lambda: deepcopy(CATALOG))
    scenario: Table = field(default_factory=lambda: deepcopy(SCENARIO))
    kit: Table = field(default_factory=lambda: {"units": deepcopy(UNITS), "connections": deepcopy(CONNECTIONS)})

    def unit(self, name: str) -> Table:
        return next(row for row in self.kit["units"] if row["unit"] == name)

    def row(self, device: str) -> Table:
        return next(row for row in self.kit["connections"] if row["device"] == device)

    def device(self, name: str) -> Table:
        return next(row for row in self.scenario["devices"] if row["device"] == name)

    def place(self, name: str) -> Table:
        return next(row for row in self.scenario["places"] if row["place"] == name)

    def model(self, table: str, name: str) -> Table:
        return next(row for row in self.catalog[table] if row["model"] == name)

    def group(self, name: str) -> Table:
        return next(row for row in self.catalog["ports"] if row["group"] == name)

    @property
    def rules(self) -> Table:
        return self.scenario["rules"]

    def state_everything(self) -> None:
        """Add cost, lines and figures to the kit."""
        self.kit.update(cost=COST, lines=deepcopy(LINES), currency="EUR")
        for unit in self.kit["units"]:
            unit.update(FIGURES[unit["unit"]])

    def line(self, kind: str, model: str) -> Table:
        return next(row for row in self.kit["lines"] if (row["kind"], row["model"]) == (kind, model))

    def audit(self) -> list[Finding]:
        kit, scenario, catalog = Kit.model_validate(self.kit), Scenario.model_validate(self.scenario), Catalog.model_validate(self.catalog)
        return audit(kit, scenario, catalog)

    def broken(self) -> dict[str, list[str]]:
        """Messages of the errors, by rule."""
        found: dict[str, list[str]] = {}
        for finding in self.audit():
            if finding.severity is Severity.ERROR:
                found.setdefault(finding.rule, []).append(f"{finding.where}: {finding.message}")
        return found

    def remarks(self) -> dict[str, list[Finding]]:
        """Warnings and notes by rule."""
        found: dict[str, list[Finding]] = {}
        for finding in self.audit():
            if finding.severity is not Severity.ERROR:
                found.setdefault(finding.rule, []).append(finding)
        return found
