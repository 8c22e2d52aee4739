"""An invented site of 150 devices in eight places: five rooms with mains, three masts without, fed in up to two steps.

N+1 supplies, energy over five years, rooms to choose from for a third of the rows. Made by a frozen random number, so always
the same. All equipment and prices are invented.
"""

from random import Random
from typing import Any

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario

Row = dict[str, Any]

ROOMS = ("office", "stores", "works", "pump house", "gate house")
MASTS = ("north mast", "ridge mast", "south mast")
KINDS: tuple[tuple[str, str, int, str], ...] = (
    ("phone", "3.84", 1, "0.1"),
    ("reader", "6.49", 2, "0.1"),
    ("camera", "12.95", 3, "6"),
    ("access point", "25.5", 4, "40"),
    ("turning camera", "51", 6, "12"),
    ("screen", "71.3", 8, "2"),
)
MAST_KINDS = (("mast camera", "12.95", 3, "6"), ("mast radio", "6.49", 2, "20"))

SWITCHES: tuple[Row, ...] = (
    {"model": "desk 8", "price": 149, "budget_w": 120, "own_w": 7, "efficiency": 0.88},
    {"model": "desk 16", "price": 295, "budget_w": 250, "own_w": 14, "efficiency": 0.89},
    {"model": "rack 24", "price": 445, "budget_w": 370, "own_w": 22, "efficiency": 0.91, "uplink_mbps": 10000},
    {"model": "strong 12", "price": 545, "budget_w": 480, "own_w": 18, "efficiency": 0.91, "uplink_mbps": 10000},
    {"model": "frame 24", "price": 520, "feed": "supply", "supply_fit": "frame", "supply_slots": 3, "own_w": 30, "uplink_mbps": 10000},
    {"model": "rail 8", "price": 230, "feed": "supply", "supply_fit": "rail", "supply_slots": 2, "own_w": 8},
    {"model": "pole 4", "price": 215, "feed": "port", "in_class": 6, "own_w": 3.5, "budget_w": 40, "min_volts": 42.5},
    {"model": "pole 8", "price": 285, "feed": "port", "in_class": 8, "own_w": 4, "efficiency": 0.92, "budget_w": 62},
)
PORTS: tuple[Row, ...] = (
    {"model": "desk 8", "group": "power", "count": 8, "port_w": 30},
    {"model": "desk 16", "group": "power", "count": 16, "port_w": 30},
    {"model": "rack 24", "group": "power", "count": 24, "port_w": 30},
    {"model": "strong 12", "group": "high", "count": 4, "port_w": 90},
    {"model": "strong 12", "group": "mid", "count": 8, "port_w": 60},
    {"model": "frame 24", "group": "high", "count": 8, "port_w": 90, "group_w": 560},
    {"model": "frame 24", "group": "power", "count": 16, "port_w": 30},
    {"model": "rail 8", "group": "high", "count": 2, "port_w": 90},
    {"model": "rail 8", "group": "power", "count": 6, "port_w": 30},
    {"model": "pole 4", "group": "power", "count": 4, "port_w": 30},
    {"model": "pole 8", "group": "high", "count": 2, "port_w": 60},
    {"model": "pole 8", "group": "power", "count": 6, "port_w": 30},
)
SUPPLIES: tuple[Row, ...] = (
    {"model": "frame supply 400", "price": 145, "fit": "frame", "watts": 400, "efficiency": 0.91},
    {"model": "frame supply 750", "price": 215, "fit": "frame", "watts": 750, "efficiency": 0.93},
    {"model": "rail supply 120", "price": 72, "fit": "rail", "watts": 120, "efficiency": 0.89},
    {"model": "rail supply 240", "price": 109, "fit": "rail", "watts": 240, "efficiency": 0.91},
)
INJECTORS: tuple[Row, ...] = (
    {"model": "single 60", "price": 36, "ports": 1, "port_w": 60, "own_w": 1.5, "efficiency": 0.88},
    {"model": "single 90", "price": 66, "ports": 1, "port_w": 90, "own_w": 2, "efficiency": 0.9, "volts": 55},
)


def valley(in_rooms: int = 126, on_masts: int = 24, basis: str = "class") -> tuple[Scenario, Catalog]:
    """The site with so many devices in rooms and on masts; `basis` is the budget basis."""
    rng = Random("valley 1")
    rooms, masts = _room_devices(rng, in_rooms), _mast_devices(rng, on_masts)
    rules = {
        "budget_basis": basis, "max_cascade": 2, "redundant_supplies": True, "energy_price_kwh": "0.28", "years": 5, "spare_watts_pct": 10,
        "spare_ports_pct": 10,
    }  # fmt: skip
    places = [{"place": name, "open_cost": 60} for name in ROOMS] + [{"place": name, "mains": False} for name in MASTS]
    tables: Row = {"rules": rules, "places": places, "devices": rooms + masts, "runs": _neighbours(rng, rooms) + _feeds()}
    return Scenario.model_validate(tables), _catalog()


def _catalog() -> Catalog:
    cables = [{"model": "cable", "price_per_m": "0.55", "awg": 23, "install_cost_per_m": "1.2"}]
    extenders = [{"model": "repeater", "price": 120, "own_w": 3, "in_class": 8, "port_w": 60}]
    return Catalog.model_validate(
        {"switches": SWITCHES, "ports": PORTS, "supplies": SUPPLIES, "injectors": INJECTORS, "cables": cables, "extenders": extenders}
    )


def _room_devices(rng: Random, total: int) -> list[Row]:
    rows: list[Row] = []
    while total:
        kind, watts, number, mbps = rng.choice(KINDS[:4] * 2 + KINDS)
        count = min(total, rng.randint(2, 7))
        total -= count
        rows.append(
            {"device": f"{kind} {len(rows) + 1}", "kind": kind, "count": count, "watts": watts, "class": number, "mbps": mbps,
             "place": rng.choice(ROOMS), "run_m": rng.randint(10, 90)}
        )  # fmt: skip
    return rows


def _mast_devices(rng: Random, total: int) -> list[Row]:
    rows: list[Row] = []
    while total:
        kind, watts, number, mbps = rng.choice(MAST_KINDS)
        count = min(total, rng.randint(2, 4))
        total -= count
        rows.append(
            {"device": f"{kind} {len(rows) + 1}", "kind": kind, "count": count, "watts": watts, "class": number, "mbps": mbps,
             "place": MASTS[len(rows) % 3], "run_m": rng.randint(3, 12)}
        )  # fmt: skip
    return rows


def _neighbours(rng: Random, rows: list[Row]) -> list[Row]:
    """Another room a third of the rows could be cabled to."""
    found = []
    for row in rows:
        if rng.random() < 1 / 3:
            other = rng.choice([room for room in ROOMS if room != row["place"]])
            found.append({"from": row["device"], "to": other, "run_m": rng.randint(40, 99)})
    return found


def _feeds() -> list[Row]:
    """The north mast hangs on the gate house, the ridge mast on the north mast or (far) the works, the south mast on the works."""
    return [
        {"from": "north mast", "to": "gate house", "run_m": 70, "existing": 1},
        {"from": "ridge mast", "to": "north mast", "run_m": 45},
        {"from": "ridge mast", "to": "works", "run_m": 160},
        {"from": "south mast", "to": "works", "run_m": 55, "existing": 1},
        {"from": "south mast", "to": "ridge mast", "run_m": 60},
    ]
