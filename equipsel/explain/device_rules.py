"""What one row of devices asks for as named rules: its watts, its run, its cable, its volts, its bundle, its path."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from equipsel.catalog import Cable
from equipsel.columns import show
from equipsel.explain.rules import Change, Ease, Rule, Step, changed_rows, one
from equipsel.scenario import Device
from equipsel.site import Site
from equipsel.standard import CLASSES, LOWEST_PD_V
from equipsel.variants import with_tables

IDEAL = Cable(model="a cable without loss", price_per_m=Decimal(0), ohm_per_100m=Decimal("0.0001"), mbps=Decimal(100_000))
"""What lifts the rule of a device's cable."""

PD_W = tuple(sorted({row.pd_w for row in CLASSES.values()}, reverse=True))
"""The most a device may draw, by class (IEEE 802.3 clauses 33 and 145)."""


def device_rules(device: Device, site: Site) -> Iterator[Rule]:
    """What a row of devices asks for; lifting all of it leaves nothing that could stop it."""
    yield from _length(device, site)
    yield from _watts(device)
    yield from _volts(device)
    yield from _cable(device, site)
    yield from _bundle(device, site)
    yield from _path(device)
    yield from _speed(device)


def of_device(device: Device, **values: Any) -> Change:
    """A change of one row of devices."""
    return changed_rows("devices", lambda row: row.device == device.device, lambda _: values)


def _length(device: Device, site: Site) -> Iterator[Rule]:
    """Its own run, and its other runs with it."""
    name, shortest = device.device, Decimal(1)
    if device.run_m > shortest:
        metres = range(int(device.run_m) - (1 if device.run_m == int(device.run_m) else 0), 0, -1)
        steps = [Step(f"a run of {at} m for {name} instead of {device.run_m:f} m", of_device(device, run_m=Decimal(at))) for at in metres]
        rows = changed_rows("runs", lambda row: row.from_ == name and row.run_m > shortest, lambda _: {"run_m": shortest})
        own = of_device(device, run_m=shortest)
        lift: Change = own if not any(row.from_ == name for row in site.scenario.runs) else lambda changed: rows(own(changed))
        yield Rule(f"the run of {device.run_m:f} m of {name}", lift, (Ease(steps),), wanted=True)


def _watts(device: Device) -> Iterator[Rule]:
    if device.number is None:
        return
    now, name = device.pd_w, device.device
    steps = [Step(f"at most {watts:f} W for {name} instead of {now:f} W", _drawing(device, watts)) for watts in PD_W if watts < now]
    weakest = _drawing(device, Decimal(0))
    yield Rule(f"the {now:f} W (class {device.number}) of {name}", weakest, (Ease(steps),) if steps else (), wanted=True)


def _drawing(device: Device, watts: Decimal) -> Change:
    """So many watts, in the class that they call for."""
    return of_device(device, watts=watts, class_=None)


def _volts(device: Device) -> Iterator[Rule]:
    now = device.min_volts
    if now is not None and now > Decimal(str(LOWEST_PD_V)):
        tenths = range(int(now * 10) - 1, int(LOWEST_PD_V * 10) - 1, -1)
        steps = [
            Step(f"{Decimal(at) / 10} V for {device.device} instead of {now:f} V", _at_volts(device, Decimal(at) / 10)) for at in tenths
        ]
        yield Rule(f"the {now:f} V that {device.device} needs (min_volts)", _at_volts(device, Decimal(str(LOWEST_PD_V))), (Ease(steps),))


def _at_volts(device: Device, volts: Decimal) -> Change:
    return of_device(device, min_volts=volts)


def _cable(device: Device, site: Site) -> Iterator[Rule]:
    now = site.catalog.cable(device.cable)
    others = [row for row in site.catalog.cables if row.model != now.model]
    eases = tuple(
        one(f"cable {row.model} for {device.device} instead of {now.model}", of_device(device, cable=row.model)) for row in others
    )

    def lift(changed: Site) -> Site:
        known = with_tables(changed, cables=(*changed.catalog.cables, IDEAL)) if IDEAL not in changed.catalog.cables else changed
        return of_device(device, cable=IDEAL.model)(known)

    yield Rule(f"cable {now.model} of {device.device}", lift, eases)


def _bundle(device: Device, site: Site) -> Iterator[Rule]:
    if device.bundle > 1 and site.catalog.bundles:
        sizes = sorted({row.cables_up_to for row in site.catalog.bundles if row.cables_up_to < device.bundle} | {1}, reverse=True)
        steps = [
            Step(f"a bundle of {size} cables for {device.device} instead of {device.bundle}", of_device(device, bundle=size))
            for size in sizes
        ]
        yield Rule(f"the bundle of {device.bundle} cables around {device.device}", of_device(device, bundle=1), (Ease(steps),))


def _path(device: Device) -> Iterator[Rule]:
    given = (device.path_ip, device.path_low_c, device.path_high_c)
    if any(value is not None for value in given):
        free = of_device(device, path_ip=(0, 0), path_low_c=Decimal(20), path_high_c=Decimal(20))
        code = f"{show(device.path_ip)} and the ambient" if device.path_ip else "the ambient"
        yield Rule(f"{code} along the run of {device.device}", free, (one(f"a dry and mild path for {device.device}", free),))


def _speed(device: Device) -> Iterator[Rule]:
    now = device.link_mbps
    steps = [
        Step(f"a {mbps} Mb/s link for {device.device} instead of {now:f}", of_device(device, port_mbps=mbps, mbps=min(device.mbps, mbps)))
        for mbps in (10000, 5000, 2500, 1000, 100, 10)
        if mbps < now
    ]
    if steps:
        yield Rule(f"the {now:f} Mb/s link of {device.device}", steps[-1].change, (Ease(steps),))
