"""Random equipment: switches, supplies, injectors, extenders and whole catalogs. All of it, and every price, is invented."""

from decimal import Decimal
from random import Random
from typing import Any

from equipsel.catalog import Battery, Cable, Catalog, Extender, Extra, Injector, PortGroup, Supply, Switch

PORT_W = ("15.4", "30", "30", "60", "90", "90")


def price(rng: Random, low: int, high: int) -> Decimal:
    return Decimal(rng.randrange(low, high)) / 100


def switch(rng: Random, name: str, strong: bool, slots: int) -> tuple[Switch, list[PortGroup], list[Supply]]:
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
        "model": name, "price": price(rng, 2000, 20000), "own_w": rng.choice(("0", "2.3", "5")),
        "uplink_mbps": rng.choice((100, 1000, 1000)), "volts": rng.choice((None, None, 54, "55.5")),
        "install_cost": rng.choice((0, 0, "7.77")), "rack_u": rng.choice((0, 1)), "ip": (4, 4), "low_c": -10, "high_c": 50,
    }  # fmt: skip
    if rng.random() < 0.55:
        return Switch(**common, budget_w=budget), groups, []
    supplies = [
        Supply(model=f"{name}p{number}", price=price(rng, 800, 8000), fit=name, watts=max(budget * share / 100, Decimal(6)),
               efficiency=rng.choice(("0.85", "0.9")), ip=(4, 4), low_c=-10, high_c=rng.choice((50, 50, 35)))
        for number, share in enumerate(rng.sample((30, 45, 70, 110), 2))
    ]  # fmt: skip
    fed = {"feed": "supply", "supply_fit": name, "supply_slots": rng.randint(1, slots), "budget_w": rng.choice((None, budget))}
    return Switch(**common, **fed), groups, supplies


def fed_switch(rng: Random, name: str) -> tuple[Switch, list[PortGroup]]:
    switch = Switch(
        model=name, price=price(rng, 3000, 9000), feed="port", in_class=rng.choice((4, 6, 8, 8)), own_w=rng.choice(("1.5", "3")),
        min_volts=rng.choice((37, 42)), volts=rng.choice((None, None, 54)), budget_w=rng.choice((None, None, "60")),
        uplink_mbps=rng.choice((100, 1000)), ip=(6, 6), low_c=-40, high_c=60,
    )  # fmt: skip
    groups = [PortGroup(model=name, group="out", count=rng.randint(1, 4), port_w=rng.choice(("15.4", "30", "30", "60")))]
    return switch, groups


def injector(rng: Random, number: int, strong: bool) -> Injector:
    ports = rng.choice((1, 1, 1, 2, 3))
    port_w = Decimal(rng.choice(("90", "60") if strong else PORT_W))
    budget = None if ports == 1 or rng.random() < 0.4 else (ports * port_w * rng.choice((50, 70)) / 100)
    return Injector(
        model=f"i{number}", price=price(rng, 1500, 6000), ports=ports, port_w=port_w, pairs=rng.choice((2, 2, 4)), budget_w=budget,
        port_mbps=rng.choice((100, 1000, 1000)), own_w=rng.choice((0, 1)), volts=rng.choice((None, None, 55)),
        ip=(4, 4), low_c=-10, high_c=50,
    )  # fmt: skip


def extender(rng: Random, number: int) -> Extender:
    return Extender(
        model=f"e{number}", price=price(rng, 2000, 9000), own_w=rng.choice(("1.9", "3")), span_m=rng.choice((100, 100, 150)),
        in_class=rng.choice((4, 6, 8)), port_w=rng.choice(("30", "60", "90")), port_mbps=rng.choice((100, 1000)),
        ip=(6, 6), low_c=-40, high_c=60,
    )  # fmt: skip


def small_catalog(rng: Random, *, switches: int, injectors: int, extenders: int = 0, strong: bool = False, slots: int = 2) -> Catalog:
    made = [switch(rng, f"s{number}", strong, slots) for number in range(switches)]
    kinds = [
        Cable(model="indoor", price_per_m=price(rng, 20, 90), awg=24, install_cost_per_m=rng.choice((0, "0.5"))),
        Cable(model="heavy", price_per_m=price(rng, 60, 150), awg=23, sold_m=rng.choice((0, 0, 50))),
    ]
    extras = (
        (Extra(item="bracket", price=price(rng, 300, 2000), per="device", **{"for": rng.choice((None, "cam"))}),)
        if rng.random() < 0.15
        else ()
    )
    return Catalog(
        switches=tuple(switch for switch, _, _ in made),
        ports=tuple(group for _, groups, _ in made for group in groups),
        supplies=tuple(supply for _, _, supplies in made for supply in supplies),
        injectors=tuple(injector(rng, number, strong) for number in range(injectors)),
        extenders=tuple(extender(rng, number) for number in range(extenders)),
        cables=tuple(kinds[: rng.choice((0, 1, 2, 2))]),
        extras=extras,
    )


def topology_catalog(rng: Random) -> Catalog:
    catalog = small_catalog(rng, switches=1, injectors=rng.choice((0, 1)), strong=True, slots=2)
    fed, ports = fed_switch(rng, "f")
    extras: tuple[Extra, ...] = ()
    if rng.random() < 0.2:
        extras = (
            Extra(
                item="cord",
                price=price(rng, 100, 900),
                per=rng.choice(("port", "run", "unit", "place")),
                **{"for": rng.choice((None, "f"))},
            ),
        )
    batteries = tuple(
        Battery(model=f"b{number}", price=price(rng, 5000, 20000), watts=rng.choice((90, 150, 400)), watt_hours=rng.choice((70, 150, 300)))
        for number in range(2)
    )
    long = () if rng.random() < 0.7 else (extender(rng, 0),)
    update = {
        "switches": (*catalog.switches, fed),
        "ports": (*catalog.ports, *ports),
        "backups": batteries,
        "extenders": long,
        "extras": extras,
    }
    return catalog.model_copy(update=update)


def middling_catalog(rng: Random) -> Catalog:
    switches, ports, supplies = [], [], []
    for number, count in enumerate(rng.sample((4, 8, 16, 24), rng.choice((2, 2, 3)))):
        name, strong = f"s{number}", rng.choice((0, 0, 2, count // 2))
        groups = [("strong", strong, "90"), ("plain", count - strong, "30")]
        ports += [PortGroup(model=name, group=group, count=many, port_w=port_w) for group, many, port_w in groups if many]
        most = 90 * strong + 30 * (count - strong)
        common: dict[str, Any] = {"model": name, "price": 30 + 9 * count + 14 * strong + price(rng, 0, 6000), "rack_u": 1, "own_w": 4}
        if rng.random() < 0.6:
            switches.append(Switch(**common, budget_w=most * rng.choice((45, 60, 80)) // 100))
        else:
            switches.append(Switch(**common, feed="supply", supply_fit=name, supply_slots=rng.choice((1, 2))))
            for at, share in enumerate((35, 70)):
                supplies.append(
                    Supply(model=f"{name}p{at}", price=15 + price(rng, 0, 5000) + share // 2, fit=name, watts=max(20, most * share // 100))
                )
    return Catalog(
        switches=tuple(switches), ports=tuple(ports), supplies=tuple(supplies),
        injectors=tuple(injector(rng, number, strong=True) for number in range(rng.choice((1, 2)))),
        extenders=(extender(rng, 0),) if rng.random() < 0.7 else (),
        cables=(Cable(model="indoor", price_per_m=price(rng, 20, 90), awg=24, install_cost_per_m="0.50"),),
    )  # fmt: skip
