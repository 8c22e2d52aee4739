"""Invented campuses of any size: places with mains, groups of identical devices, some with a choice of two places.

Six groups of identical devices a place out of ten kinds that take 7 to 90 W at the port; ten switches of 4 to 48 ports with
port groups of 30, 60 and 90 W and two to four supplies each: 29 ways to build one. A share of the groups may be cabled to
the next place instead, over a new cable at a small cost. Frozen: the same size and seed give the same site for ever.
All equipment and every price is invented.
"""

from decimal import Decimal
from random import Random
from typing import Any

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario

Row = dict[str, Any]
Site = tuple[Scenario, Catalog]

GROUPS = 6
KINDS: tuple[tuple[str, str, int], ...] = (
    ("sensor", "6.49", 2),
    ("door", "9", 3),
    ("camera", "12.95", 3),
    ("speaker", "18", 4),
    ("radio", "25.5", 4),
    ("light", "33", 5),
    ("screen", "40", 5),
    ("heated camera", "51", 6),
    ("panel", "62", 7),
    ("workplace", "71.3", 8),
)

SWITCHES: tuple[tuple[str, int, tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]], ...] = (
    # model, price, port groups as (count, watts), supplies as (watts, price)
    ("s4", 110, ((4, 30),), ((65, 50), (120, 85))),
    ("s8", 195, ((8, 30),), ((65, 50), (130, 90), (240, 145))),
    ("s8-mid", 270, ((4, 60), (4, 30)), ((120, 85), (240, 145), (360, 210))),
    ("s8-high", 310, ((2, 90), (6, 30)), ((150, 100), (240, 145), (360, 210))),
    ("s12-high", 590, ((4, 90), (8, 60)), ((300, 180), (480, 280), (720, 395))),
    ("s16", 370, ((16, 30),), ((150, 100), (300, 180), (480, 280))),
    ("s16-mid", 480, ((4, 60), (12, 30)), ((240, 145), (370, 220), (600, 335))),
    ("s24", 530, ((24, 30),), ((370, 220), (740, 405))),
    ("s24-high", 1060, ((8, 90), (16, 60)), ((480, 280), (740, 405), (1100, 590), (1600, 820))),
    ("s48", 1290, ((4, 90), (8, 60), (36, 30)), ((740, 405), (1100, 590), (1600, 820))),
)
ROUND_PER_M, ODD_PER_M = Decimal("0.25"), Decimal("0.27")


def campus(places: int, devices: int, share: float, seed: int, *, odd: bool = False, basis: str = "granted") -> Site:
    """So many places with so many devices each, a share of whose groups may use the next place instead.

    odd: prices and lengths that end in odd cents, not in tens and fives. basis: the budget basis; "granted" keeps the ten
    kinds apart (their watts at the port do not hang on the run), "class" makes seven of them.
    """
    rng = Random(f"campus {places} {devices} {share:g} {seed}")
    names = [f"p{number}" for number in range(places)]
    rows = [row for name in names for row in device_rows(rng, name, devices)]
    runs = alternatives(rng, names, rows, share, odd) if places > 1 else []
    tables = {"rules": {"budget_basis": basis}, "places": [{"place": name} for name in names], "devices": rows, "runs": runs}
    return Scenario.model_validate(tables), Catalog.model_validate(catalog_tables(odd))


def device_rows(rng: Random, place: str, devices: int) -> list[Row]:
    """The groups of a place; their home runs are there already."""
    groups = min(GROUPS, devices)
    cuts = sorted(rng.sample(range(1, devices), groups - 1))
    counts = [high - low for low, high in zip([0, *cuts], [*cuts, devices], strict=True)]
    kinds = rng.sample(KINDS, groups)
    return [
        {"device": f"{place} {kind}", "kind": kind, "count": count, "watts": watts, "class": number, "place": place,
         "run_m": rng.randrange(10, 60, 5), "existing_cable": True}
        for (kind, watts, number), count in zip(kinds, counts, strict=True)
    ]  # fmt: skip


def alternatives(rng: Random, places: list[str], rows: list[Row], share: float, odd: bool) -> list[Row]:
    """Runs to the next place for a share of the rows: 5 or 10 a device, or about as much in odd cents."""
    following = dict(zip(places, [*places[1:], places[0]], strict=True))
    found = []
    for row in rows:
        draw, length = rng.random(), rng.choice((20, 40)) + (rng.randrange(-3, 4) if odd else 0)
        if draw < share:
            found.append({"from": row["device"], "to": following[row["place"]], "run_m": length})
    return found


def catalog_tables(odd: bool) -> Row:
    """The ten switches with their supplies; the cable of the alternatives."""
    switches, ports, supplies = [], [], []
    cents = Random("odd cents")
    for model, price, groups, kinds in SWITCHES:
        switches.append(
            {"model": model, "price": priced(price, odd, cents), "feed": "supply", "supply_fit": model, "uplink_mbps": 10000, "rack_u": 1}
        )
        ports += [{"model": model, "group": f"{watts} W", "count": count, "port_w": watts} for count, watts in groups]
        supplies += [
            {"model": f"{model} {watts} W", "price": priced(each, odd, cents), "fit": model, "watts": watts} for watts, each in kinds
        ]
    cables = [{"model": "cable", "price_per_m": ODD_PER_M if odd else ROUND_PER_M, "awg": 23}]
    return {"switches": switches, "ports": ports, "supplies": supplies, "cables": cables}


def priced(price: int, odd: bool, cents: Random) -> Decimal:
    """A price as it is, or up to 4 % off it and in odd cents."""
    off = cents.uniform(-0.04, 0.04)
    return Decimal(round(price * 100 * (1 + off)) // 2 * 2 + 1) / 100 if odd else Decimal(price)
