"""The bill of materials of a kit: lines that add up to its cost, each rounded half up to the cent."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import ceil

from equipsel.catalog import Cable, Extra, Injector, Switch
from equipsel.heat import HOURS_A_YEAR
from equipsel.kit import Connection, FedBy, Line, Unit
from equipsel.quantities import cents, money
from equipsel.scenario import Device
from equipsel.site import Site


@dataclass
class Tally:
    """Counts gathered for one line."""

    count: Fraction = Fraction(0)
    price: Decimal = Decimal(0)


@dataclass(frozen=True)
class RunInUse:
    """A cable in use: its head unit and place, its cable, whether it is new, the device on it (None: a fed switch)."""

    head: Unit
    run: Connection | FedBy
    cable: Cable
    metres: Fraction
    new: bool
    device: Device | None


@dataclass
class Bill:
    """Builds the lines of a kit from its units, its runs, the batteries it needs, and the mW its units turn into heat."""

    site: Site
    units: tuple[Unit, ...]
    runs: list[RunInUse]
    batteries: dict[tuple[str, str], int]
    heat_mw: Fraction
    tallies: dict[tuple[str, str, str, str], Tally] = field(default_factory=lambda: defaultdict(Tally))

    def __post_init__(self) -> None:
        """Index the units' models by their names."""
        self.models = {unit.unit: unit.model for unit in self.units}

    def lines(self) -> tuple[Line, ...]:
        """All lines, in the order units, extenders, cable, batteries, extras, places, energy."""
        for gather in (self._units, self._extenders, self._cable, self._batteries, self._extras, self._places, self._energy):
            gather()
        return tuple(self._line(*key[:3], tally) for key, tally in self.tallies.items() if tally.count)

    def _line(self, kind: str, model: str, place: str, tally: Tally) -> Line:
        count = int(tally.count) if tally.count.denominator == 1 else float(tally.count)
        cost = money(cents(tally.count * Fraction(tally.price)))
        return Line(model=model, kind=kind, place=place or None, count=count, unit_cost=float(tally.price), cost=float(cost))

    def _add(self, kind: str, model: str, place: str, price: Decimal, count: int | Fraction = 1, apart: str = "") -> None:
        """Count more on a line; `apart` keeps lines of the same model from each other."""
        tally = self.tallies[kind, model, place, apart]
        tally.count += count
        tally.price = price

    def _units(self) -> None:
        owned = self.site.owned()
        for unit in self.units:
            row = self.row(unit)
            price = row.price + row.install_cost + self.site.rules.piece_cost
            self._buy("injector" if isinstance(row, Injector) else "switch", unit.model, unit.place, price, owned)
            for name in unit.supplies:
                supply = self.site.catalog.supply[name]
                self._buy("supply", name, unit.place, supply.price + supply.install_cost, owned)

    def _buy(self, kind: str, model: str, place: str, price: Decimal, owned: dict[tuple[str, str], int]) -> None:
        """One more on its line; those already there come first, on a line of their own at no price."""
        if owned.get((place, model), 0) > 0:
            owned[place, model] -= 1
            self._add(kind, model, place, Decimal(0), apart="owned")
        else:
            self._add(kind, model, place, price)

    def row(self, unit: Unit) -> Switch | Injector:
        """The catalog's row of a unit."""
        return self.site.catalog.switch.get(unit.model) or self.site.catalog.injector[unit.model]

    def _extenders(self) -> None:
        for run in self.runs:
            for item in run.run.extenders:
                extender = self.site.catalog.extender[item.model]
                self._add("extender", item.model, run.head.place, extender.price + extender.install_cost + self.site.rules.piece_cost)

    def _cable(self) -> None:
        metres: dict[str, Fraction] = defaultdict(Fraction)
        kinds = {run.cable.model: run.cable for run in self.runs}
        for run in self.runs:
            metres[run.cable.model] += run.metres if run.new else 0
        for name, cable in kinds.items():
            if cable.sold_m:
                self._add("cable", name, "", cable.price_per_m * cable.sold_m, ceil(metres[name] / Fraction(cable.sold_m)))
                if cable.install_cost_per_m:
                    self._add("cable", f"{name} (pulling)", "", cable.install_cost_per_m, metres[name])
            else:
                self._add("cable", name, "", cable.price_per_m + cable.install_cost_per_m, metres[name])

    def _batteries(self) -> None:
        for (place, name), count in self.batteries.items():
            battery = self.site.catalog.battery[name]
            self._add("backup", name, place, battery.price + battery.install_cost, count)

    def _places(self) -> None:
        for place in dict.fromkeys(unit.place for unit in self.units):
            cost = self.site.scenario.place[place].open_cost
            if cost:
                self._add("place", "opening", place, cost)

    def _energy(self) -> None:
        """Heat of all units over the years: kWh to the thousandth, rounded up."""
        rules = self.site.rules
        if rules.energy_price_kwh and rules.years:
            watt_hours = ceil(self.heat_mw / 1000 * Fraction(rules.years) * HOURS_A_YEAR)
            self._add("energy", "energy", "", rules.energy_price_kwh, Fraction(watt_hours, 1000))

    def _extras(self) -> None:
        for row, extra in enumerate(self.site.catalog.extras):
            if not extra.price + extra.install_cost:
                continue
            self._add("extra", extra.item, "", extra.price + extra.install_cost, sum(self._counted(extra)), apart=str(row))

    def _counted(self, extra: Extra) -> Iterator[int]:
        wanted = extra.for_ or None
        if extra.per == "unit":
            yield sum(wanted in (None, unit.model) for unit in self.units)
        elif extra.per == "place":
            yield len(self._places_with(wanted))
        else:
            by = {"port": self._ports, "device": self._devices, "extender": self._along, "run": self._run}[extra.per]
            yield from (by(run, wanted) for run in self.runs)

    def _places_with(self, wanted: str | None) -> set[str]:
        places = {unit.place for unit in self.units if wanted in (None, unit.model)}
        return places | {run.head.place for run in self.runs if wanted is not None and run.device and run.device.kind == wanted}

    def _data_model(self, run: RunInUse) -> str | None:
        """The model of the switch that carries the data of a run fed by an injector."""
        return self.models[run.run.unit] if run.run.injector else None

    def _ports(self, run: RunInUse, wanted: str | None) -> int:
        used = [run.head.model, *([data] if (data := self._data_model(run)) else [])]
        everything = wanted is None or (run.device is not None and run.device.kind == wanted)
        return sum(everything or model == wanted for model in used)

    def _devices(self, run: RunInUse, wanted: str | None) -> int:
        return int(run.device is not None and wanted in (None, run.device.kind, run.head.model))

    def _along(self, run: RunInUse, wanted: str | None) -> int:
        everything = wanted is None or (run.device is not None and run.device.kind == wanted)
        return sum(everything or item.model == wanted for item in run.run.extenders)

    def _run(self, run: RunInUse, wanted: str | None) -> int:
        names = {run.cable.model, run.head.model, *(item.model for item in run.run.extenders)}
        return int(wanted is None or wanted in names or (run.device is not None and run.device.kind == wanted))
