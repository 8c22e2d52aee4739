"""Small random sites, each the same for the same number. All equipment and prices are invented.

Ports are few, budgets tight and prices odd, so that packing, rounding and the choice between ways matter.
"""

from decimal import Decimal
from random import Random
from typing import Any

from equipsel.catalog import Battery, Cable, Catalog, Extender, Extra, Injector, PortGroup, Supply, Switch
from equipsel.scenario import Device, Owned, Place, Rules, Run, Scenario

Pair = tuple[Scenario, Catalog]
WATTS = ("3.5", "6.49", "7", "12.95", "13.37", "25.5", "31.2", "38.2", "51", "60", "71.3")
PORT_W = ("15.4", "30", "30", "60", "90", "90")


def small(seed: int) -> Pair:
    """Up to six devices in one or two places, about three builds, injectors."""
    rng = Random(f"small {seed}")
    places = ("hall", "loft")[: rng.choice((1, 1, 2))]
    catalog = _catalog(rng, switches=rng.choice((1, 2, 2)), injectors=rng.choice((0, 1, 1, 2)), strong=rng.random() < 0.7)
    devices = _devices(rng, rng.randint(1, 6), places, reach=100)
    runs = _alternatives(rng, devices, places, reach=100) if rng.random() < 0.4 else ()
    return _scenario(rng, _places(rng, places), devices, runs), catalog


def with_extenders(seed: int) -> Pair:
    """Up to four devices, some on runs of up to 330 m, with one or two models of extender."""
    rng = Random(f"extenders {seed}")
    places = ("hut", "shed")[: rng.choice((1, 1, 2))]
    catalog = _catalog(rng, switches=1, injectors=rng.choice((1, 1, 2)), extenders=rng.choice((1, 2)), strong=True)
    devices = _devices(rng, rng.randint(1, 4), places, reach=330, most_w=8)
    runs = _alternatives(rng, devices, places, reach=250) if rng.random() < 0.5 else ()
    return _scenario(rng, _places(rng, places), devices, runs, max_extenders=rng.choice((1, 2, 3, 3))), catalog


def topology(seed: int) -> Pair:
    """Two rooms and a mast that is fed from them; alternatives, owned equipment, N+1 supplies, batteries, critical devices."""
    rng = Random(f"topology {seed}")
    places = ("room", "store", "mast") if rng.random() < 0.5 else ("room", "mast")
    catalog = _topology_catalog(rng)
    total = rng.randint(1, 5)
    devices = _devices(rng, total, (*places, "mast"), reach=90, most_w=7, strong=(4,))
    runs = _alternatives(rng, devices, places, reach=100) if rng.random() < 0.6 else ()
    rows = tuple(place for place in _places(rng, places[:-1], plain=0.8)) + (_mast(rng),)
    backup = rng.choice((0, 0, 0, 30))
    rules = {
        "max_cascade": rng.choice((1, 1, 1, 2, 0)),
        "redundant_supplies": rng.random() < 0.3,
        "max_critical_share_pct": rng.choice((100, 100, 50)),
        "max_models": rng.choice((None, None, None, 2)),
        "backup_minutes": backup,
        "max_extenders": 1,
        "spare_ports_pct": rng.choice((0, 0, 20)) if total <= 3 else 0,
        **rng.choice(({}, {}, {"energy_price_kwh": "0.31", "years": 3})),
    }
    owned = tuple(_owned(rng, catalog, places)) if rng.random() < 0.5 else ()
    return _scenario(rng, rows, devices, (*runs, *_feeds(rng, places)), owned=owned, **rules), catalog


def _topology_catalog(rng: Random) -> Catalog:
    catalog = _catalog(rng, switches=1, injectors=rng.choice((0, 1)), strong=True, slots=2)
    fed, ports = _fed_switch(rng, "f")
    extras: tuple[Extra, ...] = ()
    if rng.random() < 0.2:
        extras = (Extra(item="cord", price=_price(rng, 100, 900), per=rng.choice(("port", "run", "unit", "place")), **{"for": rng.choice((None, "f"))}),)
    batteries = tuple(
        Battery(model=f"b{number}", price=_price(rng, 5000, 20000), watts=rng.choice((90, 150, 400)), watt_hours=rng.choice((70, 150, 300)))
        for number in range(2)
    )
    long = () if rng.random() < 0.7 else (_extender(rng, 0),)
    update = {"switches": (*catalog.switches, fed), "ports": (*catalog.ports, *ports), "backups": batteries, "extenders": long, "extras": extras}
    return catalog.model_copy(update=update)


def _price(rng: Random, low: int, high: int) -> Decimal:
    return Decimal(rng.randrange(low, high)) / 100


def _switch(rng: Random, name: str, strong: bool, slots: int) -> tuple[Switch, list[PortGroup], list[Supply]]:
    groups = []
    for number in range(rng.choice((1, 1, 2))):
        port_w = rng.choice(("90", "60") if strong and number == 0 else (*PORT_W, "0"))
        group_w = rng.choice((None, None, None, "61.5", "96"))
        groups.append(
            PortGroup(
                model=name, group=f"g{number}", count=rng.randint(1, 4), port_w=port_w, pairs=rng.choice((2, 2, 4)),
                group_w=group_w, port_mbps=rng.choice((100, 1000, 1000)),
            )
        )  # fmt: skip
    most = max(sum(group.count * group.port_w for group in groups), Decimal(20))
    budget = (most * rng.choice((35, 50, 61, 75, 90)) / 100).quantize(Decimal("0.1"))
    common: dict[str, Any] = {
        "model": name, "price": _price(rng, 2000, 20000), "own_w": rng.choice(("0", "2.3", "5")), "uplink_mbps": rng.choice((100, 1000, 1000)),
        "volts": rng.choice((None, None, 54, "55.5")), "install_cost": rng.choice((0, 0, "7.77")), "rack_u": rng.choice((0, 1)),
        "ip": (4, 4), "low_c": -10, "high_c": 50,
    }  # fmt: skip
    if rng.random() < 0.55:
        return Switch(**common, budget_w=budget), groups, []
    supplies = [
        Supply(model=f"{name}p{number}", price=_price(rng, 800, 8000), fit=name, watts=max(budget * share / 100, Decimal(6)),
               efficiency=rng.choice(("0.85", "0.9")), ip=(4, 4), low_c=-10, high_c=rng.choice((50, 50, 35)))
        for number, share in enumerate(rng.sample((30, 45, 70, 110), 2))
    ]  # fmt: skip
    fed = {"feed": "supply", "supply_fit": name, "supply_slots": rng.randint(1, slots), "budget_w": rng.choice((None, budget))}
    return Switch(**common, **fed), groups, supplies


def _fed_switch(rng: Random, name: str) -> tuple[Switch, list[PortGroup]]:
    switch = Switch(
        model=name, price=_price(rng, 3000, 9000), feed="port", in_class=rng.choice((4, 6, 8, 8)), own_w=rng.choice(("1.5", "3")),
        min_volts=rng.choice((37, 42)), volts=rng.choice((None, None, 54)), budget_w=rng.choice((None, None, "60")),
        uplink_mbps=rng.choice((100, 1000)), ip=(6, 6), low_c=-40, high_c=60,
    )  # fmt: skip
    groups = [PortGroup(model=name, group="out", count=rng.randint(1, 4), port_w=rng.choice(("15.4", "30", "30", "60")))]
    return switch, groups


def _injector(rng: Random, number: int, strong: bool) -> Injector:
    ports = rng.choice((1, 1, 1, 2, 3))
    port_w = Decimal(rng.choice(("90", "60") if strong else PORT_W))
    budget = None if ports == 1 or rng.random() < 0.4 else (ports * port_w * rng.choice((50, 70)) / 100)
    return Injector(
        model=f"i{number}", price=_price(rng, 1500, 6000), ports=ports, port_w=port_w, pairs=rng.choice((2, 2, 4)), budget_w=budget,
        port_mbps=rng.choice((100, 1000, 1000)), own_w=rng.choice((0, 1)), volts=rng.choice((None, None, 55)),
        ip=(4, 4), low_c=-10, high_c=50,
    )  # fmt: skip


def _extender(rng: Random, number: int) -> Extender:
    return Extender(
        model=f"e{number}", price=_price(rng, 2000, 9000), own_w=rng.choice(("1.9", "3")), span_m=rng.choice((100, 100, 150)),
        in_class=rng.choice((4, 6, 8)), port_w=rng.choice(("30", "60", "90")), port_mbps=rng.choice((100, 1000)),
        ip=(6, 6), low_c=-40, high_c=60,
    )  # fmt: skip


def _catalog(rng: Random, *, switches: int, injectors: int, extenders: int = 0, strong: bool = False, slots: int = 2) -> Catalog:
    made = [_switch(rng, f"s{number}", strong, slots) for number in range(switches)]
    kinds = [
        Cable(model="indoor", price_per_m=_price(rng, 20, 90), awg=24, install_cost_per_m=rng.choice((0, "0.5"))),
        Cable(model="heavy", price_per_m=_price(rng, 60, 150), awg=23, sold_m=rng.choice((0, 0, 50))),
    ]
    extras = (Extra(item="bracket", price=_price(rng, 300, 2000), per="device", **{"for": rng.choice((None, "cam"))}),) if rng.random() < 0.15 else ()
    return Catalog(
        switches=tuple(switch for switch, _, _ in made),
        ports=tuple(group for _, groups, _ in made for group in groups),
        supplies=tuple(supply for _, _, supplies in made for supply in supplies),
        injectors=tuple(_injector(rng, number, strong) for number in range(injectors)),
        extenders=tuple(_extender(rng, number) for number in range(extenders)),
        cables=tuple(kinds[: rng.choice((0, 1, 2, 2))]),
        extras=extras,
    )


def _devices(rng: Random, total: int, places: tuple[str, ...], reach: int, most_w: int = len(WATTS), strong: tuple[int, ...] = (4, 6, 8)) -> tuple[Device, ...]:
    rows: list[Device] = []
    while total:
        count = min(total, rng.choice((1, 1, 2, 3)))
        total -= count
        watts = rng.choice(("0", *WATTS[:most_w], *WATTS[:most_w]))
        number = rng.choice((None, None, None, *strong)) if Decimal(watts) and Decimal(watts) <= Decimal("25.5") else None
        rows.append(
            Device(
                device=f"d{len(rows)}", count=count, kind=rng.choice(("", "cam")), watts=watts, place=rng.choice(places),
                run_m=rng.randint(5, reach) if rng.random() < 0.8 else _price(rng, 500, 9900), existing_cable=rng.random() < 0.15,
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
    return Place(place="mast", mains=rng.random() < 0.15, ip=rng.choice((None, (6, 5))), low_c=rng.choice((None, -20)), open_cost=rng.choice((0, 9)))


def _owned(rng: Random, catalog: Catalog, places: tuple[str, ...]) -> list[Owned]:
    models = [row.model for row in (*catalog.switches, *catalog.supplies, *catalog.injectors)]
    return [Owned(model=rng.choice(models), place=rng.choice(places), count=rng.choice((1, 1, 2))) for _ in range(rng.randint(1, 2))]


def _scenario(
    rng: Random, places: tuple[Place, ...], devices: tuple[Device, ...], runs: tuple[Run, ...], owned: tuple[Owned, ...] = (), **rules: Any
) -> Scenario:
    stated: dict[str, Any] = {
        "budget_basis": rng.choice(("class", "class", "stated", "granted")), "spare_watts_pct": rng.choice((0, 0, 10, 20)),
        "spare_ports_pct": rng.choice((0, 0, 10, 25)), "uplink_share_pct": rng.choice((70, 70, 40)), "piece_cost": rng.choice((0, 0, "2.5")),
        "cable_c": rng.choice((20, 45)), "run_slack_pct": rng.choice((0, 0, 5)), "run_extra_m": rng.choice((0, 0, 2)),
        "derate_reach": rng.random() < 0.1, **rules,
    }  # fmt: skip
    return Scenario(rules=Rules(**stated), places=places, devices=devices, runs=runs, owned=owned)


def middling(seed: int) -> Pair:
    """Up to 60 devices of a few kinds over up to three places, with injectors, extenders, alternatives, supplies, owned ones.

    Prices and lengths are such that every cable costs whole cents.
    """
    rng = Random(f"middling {seed}")
    places = ("north", "middle", "south")[: rng.choice((1, 2, 3))]
    catalog = _middling_catalog(rng)
    devices = _middling_devices(rng, places, far=bool(catalog.extenders))
    rows = []
    for device in devices:
        if len(places) > 1 and rng.random() < 0.4:
            to = rng.choice([place for place in places if place != device.place])
            rows.append(Run(to=to, run_m=rng.randint(20, 140), existing=rng.choice((0, 0, 2)), **{"from": device.device}))
    owned = tuple(_owned(rng, catalog, places)) if rng.random() < 0.4 else ()
    opened = tuple(
        Place(place=name, open_cost=rng.choice((0, "31.50")), outlets=rng.choice((None, None, None, 12)), rack_u=rng.choice((None, None, None, 6))) for name in places
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


def _middling_catalog(rng: Random) -> Catalog:
    switches, ports, supplies = [], [], []
    for number, count in enumerate(rng.sample((4, 8, 16, 24), rng.choice((2, 2, 3)))):
        name, strong = f"s{number}", rng.choice((0, 0, 2, count // 2))
        groups = [("strong", strong, "90"), ("plain", count - strong, "30")]
        ports += [PortGroup(model=name, group=group, count=many, port_w=port_w) for group, many, port_w in groups if many]
        most = 90 * strong + 30 * (count - strong)
        common: dict[str, Any] = {"model": name, "price": 30 + 9 * count + 14 * strong + _price(rng, 0, 6000), "rack_u": 1, "own_w": 4}
        if rng.random() < 0.6:
            switches.append(Switch(**common, budget_w=most * rng.choice((45, 60, 80)) // 100))
        else:
            switches.append(Switch(**common, feed="supply", supply_fit=name, supply_slots=rng.choice((1, 2))))
            for at, share in enumerate((35, 70)):
                supplies.append(Supply(model=f"{name}p{at}", price=15 + _price(rng, 0, 5000) + share // 2, fit=name, watts=max(20, most * share // 100)))
    return Catalog(
        switches=tuple(switches), ports=tuple(ports), supplies=tuple(supplies),
        injectors=tuple(_injector(rng, number, strong=True) for number in range(rng.choice((1, 2)))),
        extenders=(_extender(rng, 0),) if rng.random() < 0.7 else (),
        cables=(Cable(model="indoor", price_per_m=_price(rng, 20, 90), awg=24, install_cost_per_m="0.50"),),
    )  # fmt: skip
