"""The scenario as the re-check reads it: every device by name, and every run a device or a fed switch may take."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from equipsel.catalog import Cable, Catalog
from equipsel.columns import Ip
from equipsel.scenario import Device, Place, Rules, Run, Scenario


@dataclass(frozen=True, slots=True)
class Route:
    """A run that may be used: to which place, its lengthened length in m, its cable, and what extenders on it must bear.

    row: its place in the `runs` table, None for a device's own run. existing: cables already there, None = all of them.
    """

    to: str
    run_m: Decimal
    cable: Cable
    row: int | None
    existing: int | None
    bundle: int
    ip: Ip | None
    low_c: Decimal | None
    high_c: Decimal | None

    @property
    def words(self) -> str:
        """How the run is told from others."""
        return f"{self.run_m.normalize():f} m of {self.cable.model}"

    @property
    def priced(self) -> bool:
        """Whether the first cable on it has to be bought."""
        return self.existing == 0 and self.cable.price_per_m + self.cable.install_cost_per_m > 0


@dataclass(frozen=True)
class Site:
    """A scenario and the catalog it buys from."""

    scenario: Scenario
    catalog: Catalog

    @property
    def rules(self) -> Rules:
        """The scenario's rules."""
        return self.scenario.rules

    @cached_property
    def devices(self) -> dict[str, Device]:
        """Every single device by its name; rows with a count above one are numbered."""
        return {name: row for row in self.scenario.devices for name in row.names}

    @cached_property
    def places(self) -> dict[str, Place]:
        """Every place by name."""
        return self.scenario.place

    def device_routes(self, device: Device) -> list[Route]:
        """The device's own run, then its rows of `runs`."""
        place = self.places.get(device.place) or Place(place=device.place)
        own = Route(
            device.place,
            self.rules.run_m(device.run_m),
            self.catalog.cable(device.cable),
            None,
            None if device.existing_cable else 0,
            device.bundle,
            *_path(device, place),
        )
        return [own, *(self._route(at, row, device.bundle, place) for at, row in self._rows.get(device.device, ()))]

    def feed_routes(self, name: str) -> list[Route]:
        """The rows of `runs` by which a switch in a place can be fed."""
        place = self.places.get(name)
        if place is None or name in self.scenario.device:
            return []
        return [self._route(at, row, 1, place) for at, row in self._rows.get(name, ())]

    @cached_property
    def _rows(self) -> dict[str, list[tuple[int, Run]]]:
        """Rows of `runs`, with their place in the table, by where they start."""
        found: dict[str, list[tuple[int, Run]]] = {}
        for at, row in enumerate(self.scenario.runs):
            found.setdefault(row.from_, []).append((at, row))
        return found

    def _route(self, at: int, row: Run, bundle: int, place: Place) -> Route:
        return Route(row.to, self.rules.run_m(row.run_m), self.catalog.cable(row.cable), at, row.existing, bundle, *_path(row, place))


def _path(row: Device | Run, place: Place) -> tuple[Ip | None, Decimal | None, Decimal | None]:
    return (
        place.ip if row.path_ip is None else row.path_ip,
        place.low_c if row.path_low_c is None else row.path_low_c,
        place.high_c if row.path_high_c is None else row.path_high_c,
    )
