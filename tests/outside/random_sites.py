"""Small random sites, each the same for the same number. All equipment and prices are invented.

Ports are few, budgets tight and prices odd, so that packing, rounding and the choice between ways matter.
"""

from decimal import Decimal
from random import Random
from typing import Any

from random_equipment import middling_catalog, price, small_catalog, topology_catalog

from equipsel.catalog import Catalog
from equipsel.scenario import Device, Owned, Place, Rules, Run, Scenario

Pair = tuple[Scenario, Catalog]
WATTS = ("3.5", "6.49", "7", "12.95", "13.37", "25.5", "31.2", "38.2", "51", "60", "71.3")


def small(number: int) -> Pair:
    """Up to six devices in one or two places, about three builds, injectors."""
    rng = Random(f"small {number}")
    places = ("hall", "loft")[: rng.choice((1, 1, 2))]
    catalog = small_catalog(rng, switches=rng.choice((1, 2, 2)), injectors=rng.choice((0, 1, 1, 2)), strong=rng.random() < 0.7)
    devices = _devices(rng, rng.randint(1, 6), places, reach=100)
    runs = _alternatives(rng, devices, places, reach=100) if rng.random() < 0.4 else ()
    return _scenario(rng, _places(rng, places), devices, runs), catalog


def with_extenders(number: int) -> Pair:
    """Up to four devices, some on runs of up to 330 m, with one or two models of extender."""
    rng = Random(f"extenders {number}")
    places = ("hut", "shed")[: rng.choice((1, 1, 2))]
    catalog = small_catalog(rng, switches=1, injectors=rng.choice((1, 1, 2)), extenders=rng.choice((1, 2)), strong=True)
    devices = _devices(rng, rng.randint(1, 4), places, reach=330, most_w=8)
    runs = _alternatives(rng, devices, places, reach=250) if rng.random() < 0.5 else ()
    return _scenario(rng, _places(rng, places), devices, runs, max_extenders=rng.choice((1, 2, 3, 3))), catalog


def topology(number: int) -> Pair:
    """Two rooms and a mast that is fed from them; alternatives, owned equipment, N+1 supplies, batteries, critical devices."""
    rng = Random(f"topology {number}")
    places = ("room", "store", "mast") if rng.random() < 0.5 else ("room", "mast")
    catalog = topology_catalog(rng)
    total = rng.randint(1, 5)
    devices = _devices(rng, total, (*places, "mast"), reach=90, most_w=7, strong=(4,))
    runs = _alternatives(rng, devices, places, reach=100) if rng.random() < 0.6 else ()
    rows = (*_places(rng, places[:-1], plain=0.8), _mast(rng))
    backup = rng.choice((0, 0, 0, 30))
    rules = {
        "max_cascade": rng.choice((1, 1, 1, 2, 0)) if total <= 3 else rng.choice((1, 1, 1, 0)),
        "redundant_supplies": rng.random() < 0.3,
        "max_critical_share_pct": rng.choice((100, 100, 50)),
        "max_models": rng.choice((None, None, None, 2)),
        "backup_minutes": backup,
        "max_extenders": 1,
        "spare_ports_pct": rng.choice((0, 0, 20)) if total <= 3 else 0,
        **rng.choice(({}, {}, {"energy_price_kwh": "0.31", "years": 3})),
    }
    owned = tuple(owned_rows(rng, catalog, places)) if rng.random() < 0.5 else ()
    return _scenario(rng, rows, devices, (*runs, *_feeds(rng, places)), owned=owned, **rules), catalog


def _devices(
    rng: Random, total: int, places: tuple[str, ...], reach: int, most_w: int = len(WATTS), strong: tuple[int, ...] = (4, 6, 8)
) -> tuple[Device, ...]:
    rows: list[Device] = []
    while total:
        count = min(total, rng.choice((1, 1, 2, 3)))
        total -= count
        watts = rng.choice(("0", *WATTS[:most_w], *WATTS[:most_w]))
        number = rng.choice((None, None, None, *strong)) if Decimal(watts) and Decimal(watts) <= Decimal("25.5") else None
        rows.append(
            Device(
                device=f"d{len(rows)}", count=count, kind=rng.choice(("", "cam")), watts=watts, place=rng.choice(places),
                run_m=rng.randint(5, reach) if rng.random() < 0.8 else price(rng, 500, 9900), existing_cable=rng.random() < 0.15,
                mbps=rng.choice((0, "2.5", 12, 40)), port_mbps=rng.choice((10, 100, 100, 1000)), backup=rng.random() < 0.4,
                priority=rng.choice(("critical", "low", "low")), **{"class": number},
            )
        )  # fmt: skip
    return tuple(rows)


def _alternatives(rng: Random, devices: tuple[Device, ...], places: tuple[str, ...], reach: int) -> tuple[Run, ...]:
    rows = []
    for device in devices:
        other = rng.choice(places)
        if other != device.place and rng.random() < 0.7:
            rows.append(Run(to=other, run_m=rng.randint(5, reach), existing=rng.choice((0, 0, 1)), **{"from": device.device}))
    return tuple(rows)


def _feeds(rng: Random, places: tuple[str, ...]) -> list[Run]:
    rows = [Run(to=to, run_m=rng.randint(20, 110), existing=rng.choice((0, 1, 1)), **{"from": "mast"}) for to in places[:-1]]
    if rng.random() < 0.3:
        rows.append(Run(to="mast", run_m=rng.randint(5, 40), **{"from": "mast"}))
    if len(places) == 3 and rng.random() < 0.3:
        rows.append(Run(to="room", run_m=rng.randint(20, 90), **{"from": "store"}))
    return rows


def _places(rng: Random, names: tuple[str, ...], plain: float = 0.6) -> tuple[Place, ...]:
    if rng.random() < plain:
        return tuple(Place(place=name, open_cost=rng.choice((0, 0, "31.5"))) for name in names)
    return tuple(
        Place(
            place=name, ip=rng.choice((None, (2, 0), (4, 4))), high_c=rng.choice((None, 40)), rack_u=rng.choice((None, 2)),
            outlets=rng.choice((None, 2, 3)), circuit_a=rng.choice((None, 1)), circuit_v=rng.choice((None, 230)),
            open_cost=rng.choice((0, "12.34")),
        )
        for name in names
    )  # fmt: skip


def _mast(rng: Random) -> Place:
    return Place(
        place="mast", mains=rng.random() < 0.15, ip=rng.choice((None, (6, 5))), low_c=rng.choice((None, -20)), open_cost=rng.choice((0, 9))
    )


def owned_rows(rng: Random, catalog: Catalog, places: tuple[str, ...]) -> list[Owned]:
    models = [row.model for row in (*catalog.switches, *catalog.supplies, *catalog.injectors)]
    return [Owned(model=rng.choice(models), place=rng.choice(places), count=rng.choice((1, 1, 2))) for _ in range(rng.randint(1, 2))]


def _scenario(
    rng: Random, places: tuple[Place, ...], devices: tuple[Device, ...], runs: tuple[Run, ...], owned: tuple[Owned, ...] = (), **rules: Any
) -> Scenario:
    stated: dict[str, Any] = {
        "budget_basis": rng.choice(("class", "class", "stated", "granted")), "spare_watts_pct": rng.choice((0, 0, 10, 20)),
        "spare_ports_pct": rng.choice((0, 0, 10, 25)), "uplink_share_pct": rng.choice((70, 70, 40)),
        "piece_cost": rng.choice((0, 0, "2.5")),
        "cable_c": rng.choice((20, 45)), "run_slack_pct": rng.choice((0, 0, 5)), "run_extra_m": rng.choice((0, 0, 2)),
        "derate_reach": rng.random() < 0.1, **rules,
    }  # fmt: skip
    return Scenario(rules=Rules(**stated), places=places, devices=devices, runs=runs, owned=owned)


def middling(number: int) -> Pair:
    """Up to 60 devices of a few kinds over up to three places, with injectors, extenders, alternatives, supplies, owned ones.

    Prices and lengths are such that every cable costs whole cents.
    """
    rng = Random(f"middling {number}")
    places = ("north", "middle", "south")[: rng.choice((1, 2, 3))]
    catalog = middling_catalog(rng)
    devices = _middling_devices(rng, places, far=bool(catalog.extenders))
    rows = []
    for device in devices:
        if len(places) > 1 and rng.random() < 0.4:
            to = rng.choice([place for place in places if place != device.place])
            rows.append(Run(to=to, run_m=rng.randint(20, 140), existing=rng.choice((0, 0, 2)), **{"from": device.device}))
    owned = tuple(owned_rows(rng, catalog, places)) if rng.random() < 0.4 else ()
    opened = tuple(
        Place(
            place=name,
            open_cost=rng.choice((0, "31.50")),
            outlets=rng.choice((None, None, None, 12)),
            rack_u=rng.choice((None, None, None, 6)),
        )
        for name in places
    )
    rules = Rules(
        budget_basis=rng.choice(("class", "class", "stated", "granted")), spare_watts_pct=rng.choice((0, 0, 10, 20)),
        spare_ports_pct=rng.choice((0, 0, 10)), max_extenders=rng.choice((1, 2)), piece_cost=rng.choice((0, "2.50")),
        cable_c=rng.choice((20, 45)), max_cascade=0,
    )  # fmt: skip
    return Scenario(rules=rules, places=opened, devices=devices, runs=tuple(rows), owned=owned), catalog


def _middling_devices(rng: Random, places: tuple[str, ...], far: bool) -> tuple[Device, ...]:
    rows = []
    for number in range(rng.randint(3, 7)):
        watts = rng.choice(("0", "6.49", "12.95", "12.95", "25.5", "25.5", "51", "60"))
        reach = (10, 25, 40, 60, 60, 85, 130, 180) if far and Decimal(watts) <= 13 else (10, 25, 40, 60, 60, 85)
        rows.append(
            Device(
                device=f"d{number}", count=rng.choice((1, 2, 4, 8, 12)), watts=watts, place=rng.choice(places), run_m=rng.choice(reach),
                mbps=rng.choice((1, 8, 20)), port_mbps=rng.choice((100, 100, 1000)) if rng.random() < 0.3 else 100,
                existing_cable=rng.random() < 0.2,
            )
        )  # fmt: skip
    return tuple(rows)
