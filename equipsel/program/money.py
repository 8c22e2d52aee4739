"""The objective: what everything costs, line by line as the bill is rounded, in integer cents.

Where an earlier stage has bought things, it is what has been paid by the end of this stage: nothing bought is given back.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import ceil, lcm

from equipsel.catalog import Injector, Supply, Switch
from equipsel.feeds.builds import Build
from equipsel.heat import HOURS_A_YEAR
from equipsel.program.bins import Bin
from equipsel.program.counts import NewCable, any_of, counted, key_of_run, new_cable, run_of
from equipsel.program.model import Model, Plug, Way
from equipsel.program.paid import EQUIPMENT, Key, price_of
from equipsel.program.rows import Counted, Terms, Variable
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
        self.held: dict[Key, Counted] = {}
        self.terms: Terms = []
        self.fixed_cents = 0
        self._lines: dict[tuple[str, str, str], _Line] = defaultdict(_Line)
        for price in (self._units, self._extenders, self._cables, self._extras, self._places, self._batteries, self._energy):
            price()
        self._not_offered()
        for key, line in self._lines.items():
            self._close("_".join(key), line)

    def _hold(self, key: Key, count: Counted) -> Counted:
        """How many of something have been bought by now: where an earlier stage bought any, never fewer than it did."""
        if self.model.paid is not None:
            count = self._kept(key, count, self.model.paid.counts.get(key, Counted()), frozen=self.model.paid.frozen)
        self.held[key] = count
        return count

    def _not_offered(self) -> None:
        """What was bought before and this program does not offer (it may hold only some builds) stays paid for."""
        for key, before in self._left_over(cable=False):
            kind, model, place = key[0], key[1] if len(key) > 1 else "", key[2] if len(key) > 2 else ""
            self._pay(kind, model, place, price_of(key, self.model.site), before.terms, before.always)

    def _left_over(self, *, cable: bool) -> Iterator[tuple[Key, Counted]]:
        """Cable, or everything else, bought before of which this program knows nothing; it does from now on."""
        paid = {} if self.model.paid is None else self.model.paid.counts
        for key, before in paid.items():
            if key not in self.held and (key[0] == "cable") == cable:
                self.held[key] = before
                yield key, before

    def _kept(self, key: Key, count: Counted, before: Counted, *, frozen: bool) -> Counted:
        name = "_".join(key)
        if frozen and key[0] in EQUIPMENT:
            self.model.rows.at_most(f"{name}-frozen", count.terms, before.always - count.always)
            return before
        if not before.terms and not count.terms:
            return Counted([], max(before.always, count.always))
        if not before.terms and not before.always:
            return count
        kept = self.model.rows.variable(f"by_now_{name}")
        for least in (before, count):
            if least.terms or least.always:
                self.model.rows.at_least(f"{name}-by_now", [(1, kept), *((-factor, one) for factor, one in least.terms)], least.always)
        return Counted([(1, kept)])

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
                bought = self._hold(("unit", name, place), Counted(self._bought(place, name, terms)))
                self._pay("unit", name, place, rows[name].price + rows[name].install_cost + piece, bought.terms, bought.always)

    def _bought(self, place: str, name: str, used: Terms) -> Terms:
        owned = self.owned[place, name]
        if not owned:
            return used
        bought = self.model.rows.variable(f"buy_{place}_{name}")
        self.model.rows.at_least(f"{place}-{name}-bought", [(1, bought), *((-factor, variable) for factor, variable in used)], -owned)
        return [(1, bought)]

    def _extenders(self) -> None:
        """Every extender along the runs in use; it stays on its run."""
        along: dict[Key, Terms] = defaultdict(list)
        for plug in self.model.plugs:
            run = run_of(self.model, plug)
            if run is not None:
                route, feed = run
                for extender in feed.chain:
                    key = ("extender", extender.model, plug.bin.build.place, *key_of_run(_start(self.model, plug), route))
                    along[key].append((1, plug.count))
        for key, terms in along.items():
            extender = self.model.site.catalog.extender[key[1]]
            price = extender.price + extender.install_cost + self.model.site.rules.piece_cost
            bought = self._hold(key, Counted(terms))
            self._pay("extender", extender.model, key[2], price, bought.terms, bought.always)

    def _cables(self) -> None:
        """New cable by the metre, one line a kind; boxes are whole over the site and pulling is paid by the metre."""
        metres: dict[str, _Line] = defaultdict(_Line)
        kinds = {}
        for new in self._new_cable():
            cable, run_m = new.route.cable, Fraction(new.route.run_m)
            kinds[cable.model] = cable
            metres[cable.model].terms += [(factor * run_m, variable) for factor, variable in new.number.terms if run_m]
            metres[cable.model].fixed += new.number.always * run_m
        for key, before in self._left_over(cable=True):
            kinds[key[4]] = self.model.site.catalog.cable(key[4] if self.model.site.catalog.cables else None)
            metres[key[4]].terms += [(factor * Fraction(key[3]), variable) for factor, variable in before.terms]
            metres[key[4]].fixed += before.always * Fraction(key[3])
        for name, cable in kinds.items():
            line, price = metres[name], cable.price_per_m
            if cable.sold_m:
                boxes = self._boxes(name, line, Fraction(cable.sold_m))
                self._pay("boxes", name, "", price * cable.sold_m, boxes.terms, boxes.always)
                price = Decimal(0)
            self._pay("cable", name, "", price + cable.install_cost_per_m, line.terms, line.fixed)

    def _boxes(self, name: str, line: _Line, box_m: Fraction) -> Counted:
        """Whole boxes of a kind of cable; a number where nothing that is chosen bears on its length."""
        if not line.terms:
            return Counted([], Fraction(ceil(line.fixed / box_m)))
        boxes = self.model.rows.variable(f"boxes_{name}")
        lacking: Terms = [(-factor, variable) for factor, variable in line.terms]
        self.model.rows.at_least(f"{name}-boxes", [(box_m, boxes), *lacking], line.fixed)
        return Counted([(1, boxes)])

    def _new_cable(self) -> Iterator[NewCable]:
        """New cable over each run, what an earlier stage pulled included."""
        runs: dict[Key, NewCable] = {}
        for new in new_cable(self.model):
            known = runs.setdefault(new.key, NewCable(new.start, new.route, Counted()))
            number = Counted([*known.number.terms, *new.number.terms], known.number.always + new.number.always)
            runs[new.key] = NewCable(new.start, new.route, number)
        for key, new in runs.items():
            yield NewCable(new.start, new.route, self._hold(key, new.number))

    def _extras(self) -> None:
        for number, extra in enumerate(self.model.site.catalog.extras):
            found = self._hold(("extra", str(number)), counted(self.model, extra, number))
            self._pay("extra", extra.item, str(number), extra.price + extra.install_cost, found.terms, found.always)

    def _places(self) -> None:
        for place, bins in self.model.at.items():
            cost = self.model.site.scenario.place[place].open_cost
            if cost:
                opened = any_of(self.model, f"open_{place}", [(item.count, item.most) for item in bins])
                self._open_for_each(place, opened)
                paid = self._hold(("place", place), Counted([(1, opened)]))
                self._pay("place", "opening", place, cost, paid.terms, paid.always)

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
                bought = self._hold(("backup", name, place), Counted([(1, count)]))
                self._pay("backup", name, place, battery.price + battery.install_cost, bought.terms, bought.always)

    def _energy(self) -> None:
        """Own draw and conversion loss of every unit over the years: kWh to the thousandth, rounded up, at its price."""
        rules = self.model.site.rules
        if rules.energy_price_kwh and rules.years:
            hours = Fraction(rules.years) * HOURS_A_YEAR
            watt_hours: Variable = self.model.rows.variable("energy_wh")
            used: Terms = [(-factor * hours / 1000, variable) for factor, variable in heat_terms(self.model)]
            self.model.rows.at_least("energy-used", [(1, watt_hours), *used])
            paid = self._hold(("energy",), Counted([(1, watt_hours)]))
            self._pay("energy", "energy", "", Fraction(rules.energy_price_kwh) / 1000, paid.terms, paid.always)


def _start(model: Model, plug: Plug) -> str:
    """Where the run from a plug starts: its device, or the place of the fed switch."""
    if isinstance(plug.payload, Way):
        return model.groups[plug.payload.group].first.device.device
    assert isinstance(plug.payload, Bin), "a data lead has no run"
    return plug.payload.build.place


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
