"""The objective: what everything costs, line by line as the bill is rounded, in integer cents."""

from collections import defaultdict
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import lcm

from equipsel.catalog import Injector, Supply, Switch
from equipsel.feeds.builds import Build
from equipsel.heat import HOURS_A_YEAR
from equipsel.program.counts import any_of, counted, new_cable, run_of
from equipsel.program.model import Model, Way
from equipsel.program.rows import Terms, Variable
from equipsel.program.unit_rules import loads
from equipsel.quantities import cents


@dataclass
class _Line:
    """A line of the bill in exact cents: terms, and what is paid whatever is chosen."""

    terms: Terms = field(default_factory=list)
    fixed: Fraction = Fraction(0)


class Money:
    """The cost of a kit as terms of an objective in cents, and what is paid whatever is chosen."""

    def __init__(self, model: Model) -> None:
        """Price everything in a model; adds the rows that say what is bought, opened and pulled."""
        self.model, self.owned = model, model.site.owned()
        self.terms: Terms = []
        self.fixed_cents = 0
        self._lines: dict[tuple[str, str, str], _Line] = defaultdict(_Line)
        for price in (self._units, self._extenders, self._cables, self._extras, self._places, self._batteries, self._energy):
            price()
        for key, line in self._lines.items():
            self._close("_".join(key), line)

    def _pay(self, kind: str, model: str, place: str, price: Decimal | Fraction, terms: Terms, always: Fraction = Fraction(0)) -> None:
        line = self._lines[kind, model, place]
        exact = Fraction(price) * 100
        line.terms += [(factor * exact, variable) for factor, variable in terms if exact]
        line.fixed += always * exact

    def _close(self, name: str, line: _Line) -> None:
        """Round a line half up to the cent: by an integer variable where its total may be broken."""
        factors = [Fraction(factor) for factor, _ in line.terms]
        if all(factor.denominator == 1 for factor in factors):
            self.terms += [(int(factor), variable) for factor, (_, variable) in zip(factors, line.terms, strict=True)]
            self.fixed_cents += cents(line.fixed / 100)
            return
        rounded = self.model.rows.variable(f"cents_{name}")
        finest = Fraction(1, lcm(2, line.fixed.denominator, *(factor.denominator for factor in factors)))
        lacking: Terms = [(-factor, variable) for factor, variable in line.terms]
        self.model.rows.at_least(f"{name}-rounded", [(1, rounded), *lacking], line.fixed - Fraction(1, 2) + finest)
        self.terms.append((1, rounded))

    def _units(self) -> None:
        """Units and supplies in use less those already there, in each place, at price, installation and piece cost."""
        for place, bins in self.model.at.items():
            used: dict[str, Terms] = {}
            rows: dict[str, Switch | Injector | Supply] = {}
            for item in bins:
                for row in (item.build.model, *item.build.supplies):
                    used.setdefault(row.model, []).append((1, item.count))
                    rows[row.model] = row
            for name, terms in used.items():
                piece = Decimal(0) if isinstance(rows[name], Supply) else self.model.site.rules.piece_cost
                bought = self._bought(place, name, terms)
                self._pay("unit", name, place, rows[name].price + rows[name].install_cost + piece, bought)

    def _bought(self, place: str, name: str, used: Terms) -> Terms:
        owned = self.owned[place, name]
        if not owned:
            return used
        bought = self.model.rows.variable(f"buy_{place}_{name}")
        self.model.rows.at_least(f"{place}-{name}-bought", [(1, bought), *((-factor, variable) for factor, variable in used)], -owned)
        return [(1, bought)]

    def _extenders(self) -> None:
        """Every extender along the runs in use."""
        for plug in self.model.plugs:
            run = run_of(self.model, plug)
            for extender in run[1].chain if run else ():
                price = extender.price + extender.install_cost + self.model.site.rules.piece_cost
                self._pay("extender", extender.model, plug.bin.build.place, price, [(1, plug.count)])

    def _cables(self) -> None:
        """New cable by the metre, one line a kind; boxes are whole over the site and pulling is paid by the metre."""
        metres: dict[str, _Line] = defaultdict(_Line)
        kinds = {}
        for new in new_cable(self.model):
            kinds[new.cable.model] = new.cable
            metres[new.cable.model].terms += new.metres.terms
            metres[new.cable.model].fixed += new.metres.always
        for name, cable in kinds.items():
            line, price = metres[name], cable.price_per_m
            if cable.sold_m:
                boxes = self.model.rows.variable(f"boxes_{name}")
                lacking: Terms = [(-factor, variable) for factor, variable in line.terms]
                self.model.rows.at_least(f"{name}-boxes", [(Fraction(cable.sold_m), boxes), *lacking], line.fixed)
                self._pay("boxes", name, "", price * cable.sold_m, [(1, boxes)])
                price = Decimal(0)
            self._pay("cable", name, "", price + cable.install_cost_per_m, line.terms, line.fixed)

    def _extras(self) -> None:
        for number, extra in enumerate(self.model.site.catalog.extras):
            found = counted(self.model, extra, number)
            self._pay("extra", extra.item, str(number), extra.price + extra.install_cost, found.terms, found.always)

    def _places(self) -> None:
        for place, bins in self.model.at.items():
            cost = self.model.site.scenario.place[place].open_cost
            if cost:
                opened = any_of(self.model, f"open_{place}", [(item.count, item.most) for item in bins])
                self._open_for_each(place, opened)
                self._pay("place", "opening", place, cost, [(1, opened)])

    def _open_for_each(self, place: str, opened: Variable) -> None:
        """Devices of a group in a place <= its count x open: follows from the units there, and sharpens the bound."""
        there: dict[int, Terms] = defaultdict(list)
        for item in self.model.at[place]:
            for plug in self.model.of(item):
                if isinstance(plug.payload, Way):
                    there[plug.payload.group].append((1, plug.count))
        for group, terms in there.items():
            self.model.rows.at_most(f"open_{place}-group{group}", [*terms, (-self.model.groups[group].count, opened)])

    def _batteries(self) -> None:
        for place, counts in self.model.batteries.items():
            for name, count in counts.items():
                battery = self.model.site.catalog.battery[name]
                self._pay("backup", name, place, battery.price + battery.install_cost, [(1, count)])

    def _energy(self) -> None:
        """Own draw and conversion loss of every unit over the years: kWh to the thousandth, rounded up, at its price."""
        rules = self.model.site.rules
        if rules.energy_price_kwh and rules.years:
            hours = Fraction(rules.years) * HOURS_A_YEAR
            watt_hours: Variable = self.model.rows.variable("energy_wh")
            used: Terms = [(-factor * hours / 1000, variable) for factor, variable in heat_terms(self.model)]
            self.model.rows.at_least("energy-used", [(1, watt_hours), *used])
            self._pay("energy", "energy", "", Fraction(rules.energy_price_kwh) / 1000, [(1, watt_hours)])


def heat_terms(model: Model) -> Terms:
    """mW that units turn into heat: own draw, and what conversion loses of what they reserve."""
    found: Terms = []
    for item in model.bins:
        found.append((item.build.own_mw / item.build.efficiency, item.count))
        lost = 1 / item.build.efficiency - 1
        found += [(factor * lost, variable) for factor, variable in loads(model.of(item))]
    return found


def heat_mw(build: Build, handed_mw: int) -> Fraction:
    """mW a unit turns into heat when it reserves handed_mw: its own draw, and what conversion loses."""
    return (build.own_mw + handed_mw) / build.efficiency - handed_mw
