"""Random sites by class with rooms and masts, each the same for the same number. All equipment and prices are invented.

One to three rooms with mains, one to three masts without; masts are fed from rooms or from one another, over cables that are
there or new ones, some long enough for an extender; devices have places to choose from; some equipment is owned; supplies may
be N+1; injectors may feed switches. Prices and lengths are such that every cable costs whole cents.
"""

from random import Random

from random_equipment import extender, injector, price
from random_sites import Pair, owned_rows

from equipsel.catalog import Cable, Catalog, PortGroup, Supply, Switch
from equipsel.scenario import Device, Place, Rules, Run, Scenario

ROOMS, MASTS = ("north", "middle", "south"), ("mast a", "mast b", "mast c")


def masted(number: int, least: int = 20, most: int = 60) -> Pair:
    """A site of `least` to `most` devices."""
    rng = Random(f"masted {number} {least} {most}")
    small = most < 10
    rooms, masts = ROOMS[: rng.choice((1, 1, 2) if small else (1, 2, 3))], MASTS[: rng.choice((1, 1, 2) if small else (1, 2, 3))]
    catalog = _catalog(rng, small)
    devices = _devices(rng, rooms, masts, rng.randint(least, most), small)
    rules = Rules(
        budget_basis="class", spare_watts_pct=rng.choice((0, 0, 10)), spare_ports_pct=rng.choice((0, 0, 0, 10)), max_extenders=1,
        piece_cost=rng.choice((0, "2.50")), cable_c=rng.choice((20, 45)), max_cascade=rng.choice((1, 2)),
        redundant_supplies=rng.random() < 0.3, uplink_share_pct=rng.choice((70, 70, 40)),
    )  # fmt: skip
    owned = tuple(owned_rows(rng, catalog, (*rooms, *masts))) if rng.random() < 0.4 else ()
    runs = (*_choices(rng, devices, rooms, masts), *_feeds(rng, rooms, masts))
    return Scenario(rules=rules, places=_places(rng, rooms, masts), devices=devices, runs=runs, owned=owned), catalog


def _places(rng: Random, rooms: tuple[str, ...], masts: tuple[str, ...]) -> tuple[Place, ...]:
    inside = [Place(place=name, open_cost=rng.choice((0, "31.50")), outlets=rng.choice((None, None, 12))) for name in rooms]
    return (*inside, *(Place(place=name, mains=False, ip=(6, 5), open_cost=rng.choice((0, 9))) for name in masts))


def _catalog(rng: Random, small: bool) -> Catalog:
    switches, ports, supplies = [], [], []
    for number, count in enumerate((4,) if small else rng.sample((4, 8, 16, 24), 2)):
        name, strong = f"s{number}", rng.choice((1, 2, 2))
        ports += [
            PortGroup(model=name, group=group, count=many, port_w=port_w)
            for group, many, port_w in (("strong", strong, "90"), ("plain", count - strong, "30"))
        ]
        most = 90 * strong + 30 * (count - strong)
        common = {"model": name, "price": 30 + 9 * count + 14 * strong + price(rng, 0, 6000), "own_w": 4, "uplink_mbps": 1000}
        if number or rng.random() < 0.5:
            switches.append(Switch(**common, feed="supply", supply_fit=name, supply_slots=2))
            supplies += [
                Supply(model=f"{name}p{at}", price=15 + price(rng, 0, 5000) + share // 2, fit=name, watts=max(35, most * share // 100))
                for at, share in enumerate((35, 70))
            ]
        else:
            switches.append(Switch(**common, budget_w=most * rng.choice((45, 60, 80)) // 100))
    for number, count in enumerate((rng.choice((2, 4)),) if small else (4, 8)):
        name = f"f{number}"
        switches.append(
            Switch(
                model=name, price=40 + 12 * count + price(rng, 0, 4000), feed="port", in_class=rng.choice((6, 8, 8)), ip=(6, 6),
                own_w=rng.choice(("1.5", "3")), volts=rng.choice((None, 54)), uplink_mbps=rng.choice((100, 1000)),
                budget_w=rng.choice((None, 60)), min_volts=rng.choice((37, 42)),
            )
        )  # fmt: skip
        ports.append(PortGroup(model=name, group="strong", count=1, port_w=rng.choice((30, 60))))
        ports.append(PortGroup(model=name, group="plain", count=count - 1, port_w=rng.choice(("15.4", 30))))
    return Catalog(
        switches=tuple(switches), ports=tuple(ports), supplies=tuple(supplies), injectors=(injector(rng, 0, strong=True),),
        extenders=(extender(rng, 0),) if rng.random() < 0.5 else (),
        cables=(Cable(model="outdoor", price_per_m=price(rng, 20, 90), awg=23, install_cost_per_m="0.50"),),
    )  # fmt: skip


def _devices(rng: Random, rooms: tuple[str, ...], masts: tuple[str, ...], total: int, small: bool) -> tuple[Device, ...]:
    rows: list[Device] = []
    while total:
        at_mast = rng.random() < (0.6 if small else 0.3)
        count = min(total, rng.choice((1, 1, 2) if small else (1, 2, 3) if at_mast else (2, 4, 8, 12)))
        total -= count
        watts = rng.choice(("0", "3.84", "6.49", "12.95", "12.95") if at_mast else ("0", "6.49", "12.95", "25.5", "25.5", "51"))
        rows.append(
            Device(
                device=f"d{len(rows)}", count=count, watts=watts, place=rng.choice(masts if at_mast else rooms),
                run_m=rng.choice((5, 10)) if at_mast else rng.choice((10, 25, 40, 60, 85)), mbps=rng.choice((1, 8, 20)),
                existing_cable=at_mast or rng.random() < 0.2,
            )
        )  # fmt: skip
    return tuple(rows)


def _choices(rng: Random, devices: tuple[Device, ...], rooms: tuple[str, ...], masts: tuple[str, ...]) -> list[Run]:
    rows = []
    for device in devices:
        others = [name for name in rooms if name != device.place]
        if others and rng.random() < (0.5 if device.place in masts else 0.3):
            rows.append(Run(to=rng.choice(others), run_m=rng.randint(20, 95), existing=rng.choice((0, 0, 1)), **{"from": device.device}))
    return rows


def _feeds(rng: Random, rooms: tuple[str, ...], masts: tuple[str, ...]) -> list[Run]:
    """Each mast from a room; the second and third from the mast before too; some from one switch to the next on the same mast."""
    rows = []
    for at, name in enumerate(masts):
        rows.append(Run(to=rng.choice(rooms), run_m=rng.choice((30, 60, 80, 95, 120)), existing=rng.choice((0, 1, 1)), **{"from": name}))
        if at:
            rows.append(Run(to=masts[at - 1], run_m=rng.randint(15, 60), **{"from": name}))
        if rng.random() < 0.2:
            rows.append(Run(to=name, run_m=2, **{"from": name}))
    return rows
