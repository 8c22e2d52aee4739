"""The bill of materials that a kit's units and connections lead to."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from equipsel.audit.extras import count_extra
from equipsel.audit.facts import Facts
from equipsel.audit.network import Node
from equipsel.catalog import Battery, Cable, Extender, Injector, Supply, Switch
from equipsel.quantities import cents


@dataclass(frozen=True, slots=True)
class Item:
    """A line that must be on the bill: place is None over the whole site; cost in cents."""

    kind: str
    model: str
    place: str | None
    count: Fraction
    unit_cost: Decimal

    @property
    def cost_cents(self) -> int:
        """Count times unit cost, to the cent."""
        return cents(self.count * Fraction(self.unit_cost))


def expected_bill(facts: Facts) -> list[Item]:
    """Every line that follows from the units, the connections and (for batteries) the lines themselves."""
    return [
        *_units(facts),
        *_supplies(facts),
        *_extenders(facts),
        *_cables(facts),
        *_batteries(facts),
        *_extras(facts),
        *_openings(facts),
        *_energy(facts),
    ]


def _bought(row: Switch | Supply | Injector | Extender | Battery, piece_cost: Decimal) -> Decimal:
    return row.price + row.install_cost + piece_cost


def _units(facts: Facts) -> Iterator[Item]:
    counted = Counter((_kind(fact.node), fact.node.unit.model, fact.node.unit.place, fact.node.unit.owned) for fact in facts.units.values())
    for (kind, model, place, owned), count in counted.items():
        row = facts.catalog.switch.get(model) or facts.catalog.injector[model]
        yield Item(kind, model, place, Fraction(count), Decimal(0) if owned else _bought(row, facts.rules.piece_cost))


def _kind(node: Node) -> str:
    return "switch" if node.switch else "injector"


def _supplies(facts: Facts) -> Iterator[Item]:
    used = Counter((supply.model, node.unit.place) for node in facts.network.nodes.values() for supply in node.supplies)
    for (model, place), count in used.items():
        free = min(count, owned_count(facts, model, place))
        if free:
            yield Item("supply", model, place, Fraction(free), Decimal(0))
        if count > free:
            yield Item("supply", model, place, Fraction(count - free), _bought(facts.catalog.supply[model], Decimal(0)))


def owned_count(facts: Facts, model: str, place: str) -> int:
    """How many of a model are already there in a place."""
    return sum(row.count for row in facts.site.scenario.owned if (row.model, row.place) == (model, place))


def _extenders(facts: Facts) -> Iterator[Item]:
    counted = Counter(extender.model for link in facts.network.links for extender in link.chain)
    for model, count in counted.items():
        yield Item("extender", model, None, Fraction(count), _bought(facts.catalog.extender[model], facts.rules.piece_cost))


def new_cable_m(facts: Facts) -> dict[str, Decimal]:
    """Metres of new cable by model: of each run, what is not already there."""
    metres: dict[str, Decimal] = {}
    used: Counter[int] = Counter()
    for link in facts.network.links:
        route = link.route
        if route is None or route.existing is None:
            continue
        if route.row is not None:
            used[route.row] += 1
        if route.row is None or used[route.row] > route.existing:
            metres[route.cable.model] = metres.get(route.cable.model, Decimal(0)) + route.run_m
    return metres


def _cables(facts: Facts) -> Iterator[Item]:
    cables = {link.route.cable.model: link.route.cable for link in facts.network.links if link.route}
    for model, metres in new_cable_m(facts).items():
        if metres:
            yield from _cable(cables[model], Fraction(metres))


def _cable(cable: Cable, metres: Fraction) -> Iterator[Item]:
    if not cable.sold_m:
        yield Item("cable", cable.model, None, metres, cable.price_per_m + cable.install_cost_per_m)
        return
    boxes = -(-metres // Fraction(cable.sold_m))
    yield Item("cable", cable.model, None, Fraction(boxes), cable.sold_m * cable.price_per_m)
    yield Item("cable", f"{cable.model} (pulling)", None, metres, cable.install_cost_per_m)


def _batteries(facts: Facts) -> Iterator[Item]:
    for place, batteries in facts.batteries.items():
        for model, count in Counter(battery.model for battery in batteries).items():
            yield Item("backup", model, place, Fraction(count), _bought(facts.catalog.battery[model], Decimal(0)))


def _extras(facts: Facts) -> Iterator[Item]:
    for row in facts.catalog.extras:
        count = count_extra(row, facts)
        if count:
            yield Item("extra", row.item, None, Fraction(count), row.price + row.install_cost)


def _openings(facts: Facts) -> Iterator[Item]:
    for name in facts.by_place:
        place = facts.site.places.get(name)
        if place and place.open_cost:
            yield Item("place", "opening", name, Fraction(1), place.open_cost)


def _energy(facts: Facts) -> Iterator[Item]:
    if facts.rules.energy_price_kwh and facts.energy_kwh:
        yield Item("energy", "energy", None, facts.energy_kwh, facts.rules.energy_price_kwh)
