"""The runs a device may take, and the runs that may feed a switch in a place."""

from collections.abc import Iterator
from decimal import Decimal

from equipsel.catalog import Cable, Catalog
from equipsel.feeds.lines import Refusal, Route
from equipsel.scenario import Device, DeviceColumns, Place, Run
from equipsel.site import Site


def device_routes(device: Device, site: Site) -> list[Route | Refusal]:
    """The device's own run, then its rows of the `runs` table."""
    place = site.scenario.place[device.place]
    existing = None if device.existing_cable else 0
    own = _route(device.place, device.run_m, device.cable, None, existing, _path(device, place), device.bundle, site)
    others = (
        _from_row(index, row, place, device.bundle, site) for index, row in enumerate(site.scenario.runs) if row.from_ == device.device
    )
    return [own, *others]


def feed_routes(place: str, site: Site) -> Iterator[Route]:
    """The runs by which a switch in a place can be fed from another."""
    for index, row in enumerate(site.scenario.runs):
        if row.from_ == place:
            route = _from_row(index, row, site.scenario.place[place], 1, site)
            if isinstance(route, Route):
                yield route


Path = tuple[tuple[int, int] | None, Decimal | None, Decimal | None]


def _path(row: DeviceColumns | Run, place: Place) -> Path:
    """What extenders along a run must bear: the row's own, else the place's."""
    return (
        place.ip if row.path_ip is None else row.path_ip,
        place.low_c if row.path_low_c is None else row.path_low_c,
        place.high_c if row.path_high_c is None else row.path_high_c,
    )


def _from_row(index: int, row: Run, place: Place, bundle: int, site: Site) -> Route | Refusal:
    return _route(row.to, row.run_m, row.cable, index, row.existing, _path(row, place), bundle, site)


def _route(
    place: str,
    run_m: Decimal,
    cable_model: str | None,
    row: int | None,
    existing: int | None,
    path: Path,
    bundle: int,
    site: Site,
) -> Route | Refusal:
    cable = site.catalog.cable(cable_model)
    if cable.material == "cca" and not site.rules.allow_cca:
        return Refusal("copper-clad aluminium", f"cable {cable.model} to {place} is copper-clad aluminium; allow_cca = no")
    limit = bundle_limit(cable, bundle, site.catalog)
    if isinstance(limit, Refusal):
        return limit
    return Route(place, site.rules.run_m(run_m), cable, row, existing, *path, limit)


def bundle_limit(cable: Cable, bundle: int, catalog: Catalog) -> float | Refusal | None:
    """Most amps in one conductor of a cable in a bundle, A; None where the catalog sets no limit for its gauge."""
    rows = sorted((row for row in catalog.bundles if row.awg == cable.awg), key=lambda row: row.cables_up_to)
    if not rows:
        return None
    for row in rows:
        if row.cables_up_to >= bundle:
            return float(row.amps_per_conductor)
    return Refusal("bundle", f"a bundle of {bundle} cables of {cable.awg} AWG is above the largest in `bundles` ({rows[-1].cables_up_to})")
