"""Parts of a site that a question can be asked about alone."""

from collections.abc import Iterable

from equipsel.scenario import Device
from equipsel.site import Site
from equipsel.variants import with_tables, with_values


def alone(site: Site, device: Device) -> Site:
    """The site with one of a row of devices and nothing else to power; only the places it needs, by whatever switches feed others."""
    runs = tuple(row for row in site.scenario.runs if row.from_ == device.device)
    between = tuple(row for row in site.scenario.runs if row.from_ in site.scenario.place and row.to in site.scenario.place)
    reached = {device.place, *(row.to for row in runs)}
    while more := {row.to for row in between if row.from_ in reached} - reached:
        reached |= more
    return with_tables(
        site,
        devices=(with_values(device, count=1),),
        runs=(*runs, *(row for row in between if row.from_ in reached)),
        places=tuple(row for row in site.scenario.places if row.place in reached),
        owned=tuple(row for row in site.scenario.owned if row.place in reached),
    )


def lacking(site: Site, devices: Iterable[Device]) -> Site:
    """The site without some rows of devices."""
    gone = {row.device for row in devices}
    return with_tables(
        site,
        devices=tuple(row for row in site.scenario.devices if row.device not in gone),
        runs=tuple(row for row in site.scenario.runs if row.from_ not in gone),
    )


def many(site: Site) -> int:
    """How many devices a site has."""
    return sum(row.count for row in site.scenario.devices)
