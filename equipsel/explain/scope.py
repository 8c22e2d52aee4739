"""Parts of a site that a question can be asked about alone."""

from collections.abc import Iterable

from equipsel.scenario import Device
from equipsel.site import Site
from equipsel.variants import with_tables, with_values


def alone(site: Site, device: Device) -> Site:
    """The site with one of a row of devices and nothing else to power; only the places it needs, by whatever switches feed others."""
    one = lacking(site, (row for row in site.scenario.devices if row.device != device.device))
    one = with_tables(one, devices=(with_values(device, count=1),))
    return _within(one, fed_from(site, _routes(site)[device.device]))


def neighbourhoods(site: Site) -> list[frozenset[str]]:
    """Each place with those that switches in it may be fed from, where that is not all of the site."""
    found = dict.fromkeys(fed_from(site, {name}) for name in site.scenario.place)
    return [places for places in found if len(places) < len(site.scenario.place)]


def captive(site: Site, places: frozenset[str]) -> Site:
    """Some places of a site with the devices that can be cabled to nowhere else: where these have no kit, the site has none."""
    routes = _routes(site)
    return _within(lacking(site, (row for row in site.scenario.devices if not routes[row.device] <= places)), places)


def fed_from(site: Site, places: Iterable[str]) -> frozenset[str]:
    """Places, and those that switches in them may be fed from, over and over."""
    reached = set(places)
    while more := {row.to for row in site.scenario.runs if row.from_ in reached} - reached:
        reached |= more
    return frozenset(reached)


def _routes(site: Site) -> dict[str, set[str]]:
    """The places each row of devices can be cabled to."""
    found = {row.device: {row.place} for row in site.scenario.devices}
    for row in site.scenario.runs:
        if row.from_ in found:
            found[row.from_].add(row.to)
    return found


def _within(site: Site, places: frozenset[str]) -> Site:
    """A site whose devices are cabled to some places only, without the other places."""
    scenario = site.scenario
    return with_tables(
        site,
        runs=tuple(row for row in scenario.runs if row.to in places and (row.from_ in places or row.from_ in scenario.device)),
        places=tuple(row for row in scenario.places if row.place in places),
        owned=tuple(row for row in scenario.owned if row.place in places),
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
