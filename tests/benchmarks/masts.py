"""Invented campuses with masts: places without mains, whose switches are fed through a cable from a room or from another mast.

The rooms are those of `campus`. Every third mast stands behind another one, and can be fed from it or, over an extender, from
a far room: cascades of two. Some mast devices may be cabled straight to the room instead. Frozen; everything is invented.
"""

from random import Random

from campus import Row, Site, alternatives, catalog_tables, device_rows, priced

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario

KINDS = (("mast camera", "12.95", 3, "6"), ("mast sensor", "6.49", 2, "1"), ("mast radio", "25.5", 4, "30"))
POLES = (
    {"model": "pole 4", "feed": "port", "in_class": 6, "own_w": "3.5", "budget_w": 45, "min_volts": 42, "uplink_mbps": 1000},
    {"model": "pole 8", "feed": "port", "in_class": 8, "own_w": 4, "efficiency": "0.92", "min_volts": 41, "uplink_mbps": 1000},
)
POLE_PORTS = (
    {"model": "pole 4", "group": "30 W", "count": 4, "port_w": 30},
    {"model": "pole 8", "group": "60 W", "count": 2, "port_w": 60},
    {"model": "pole 8", "group": "30 W", "count": 6, "port_w": 30},
)


def masts(places: int, devices: int, masts: int, seed: int, *, odd: bool = False, basis: str = "class") -> Site:
    """So many rooms with so many devices each, 30 % of the groups with a choice, and so many masts of two to five devices."""
    rng = Random(f"masts {places} {devices} {masts} {seed}")
    rooms, poles = [f"p{number}" for number in range(places)], [f"mast{number}" for number in range(masts)]
    rows = [row for name in rooms for row in device_rows(rng, name, devices)]
    runs = alternatives(rng, rooms, rows, 0.3, odd) if places > 1 else []
    homes = [rng.choice(rooms) for _ in poles]
    for number, (pole, home) in enumerate(zip(poles, homes, strict=True)):
        fresh = _mast_devices(rng, pole)
        rows += fresh
        runs += _feeds(rng, poles, homes, number) + _straight(rng, fresh, home)
    stands = [{"place": name} for name in rooms] + [{"place": name, "mains": False} for name in poles]
    tables = {"rules": {"budget_basis": basis, "max_cascade": 2}, "places": stands, "devices": rows, "runs": runs}
    return Scenario.model_validate(tables), Catalog.model_validate(_with_poles(catalog_tables(odd), odd))


def _mast_devices(rng: Random, pole: str) -> list[Row]:
    kinds = rng.sample(KINDS, rng.choice((1, 2)))
    return [
        {"device": f"{pole} {kind}", "kind": kind, "count": rng.choice((1, 2, 2, 3)), "watts": watts, "class": number, "mbps": mbps,
         "place": pole, "run_m": rng.randrange(4, 12), "existing_cable": True}
        for kind, watts, number, mbps in kinds
    ]  # fmt: skip


def _feeds(rng: Random, poles: list[str], homes: list[str], number: int) -> list[Row]:
    """How a mast can be fed: from its room over a cable that is there or a new one; every third from the mast before it too."""
    near = {"from": poles[number], "to": homes[number], "run_m": rng.randrange(40, 95, 5), "existing": rng.choice((0, 1, 1))}
    if number % 3 != 2:
        return [near]
    behind = {"from": poles[number], "to": poles[number - 1], "run_m": rng.randrange(20, 60, 5)}
    return [behind, near | {"run_m": rng.randrange(110, 180, 10), "existing": 0}]


def _straight(rng: Random, rows: list[Row], home: str) -> list[Row]:
    """A third of the rows may be cabled straight to the room of their mast, each device over a cable of its own."""
    return [{"from": row["device"], "to": home, "run_m": rng.randrange(60, 100, 5)} for row in rows if rng.random() < 1 / 3]


def _with_poles(tables: Row, odd: bool) -> Row:
    cents = Random("odd cents of poles")
    prices = {"pole 4": 260, "pole 8": 390}
    switches = [row | {"price": priced(prices[row["model"]], odd, cents)} for row in POLES]
    extenders = [{"model": "repeater", "price": priced(150, odd, cents), "own_w": 3, "in_class": 8, "port_w": 60}]
    return tables | {"switches": tables["switches"] + switches, "ports": [*tables["ports"], *POLE_PORTS], "extenders": extenders}
