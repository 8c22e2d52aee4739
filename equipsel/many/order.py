"""One order over many sites: the lines of all their bills, like ones added up."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from equipsel.files.schedules.bill import bill_of_materials
from equipsel.kit import Kit
from equipsel.site import Site

KINDS = ("switch", "supply", "injector", "extender", "backup", "cable", "extra", "place", "energy")
"""The order in which kinds of lines are listed: what is shipped first."""

Thing = tuple[str, str, str, str, str, Decimal]


@dataclass(frozen=True, slots=True)
class Ordered:
    """So much of one thing: what it is ordered by, its unit cost and cost in its currency, and how many sites want it."""

    kind: str
    model: str
    part_no: str
    supplier: str
    currency: str
    unit_cost: Decimal
    count: Decimal
    cost: Decimal
    sites: int = 1

    @property
    def thing(self) -> Thing:
        """What must be alike in two lines for them to be added up."""
        return (self.kind, self.model, self.part_no, self.supplier, self.currency, self.unit_cost)


def ordered(kit: Kit, site: Site) -> tuple[Ordered, ...]:
    """What one kit orders, like lines of its places added up; what is there already is not ordered."""
    bill = bill_of_materials(kit, site)
    lines = (dict(zip(bill.columns, row, strict=True)) for row in bill.rows)
    there = {(place, model) for place, model in site.owned()}
    wanted = (_line(cells) for cells in lines if cells["unit_cost"] or (cells["place"], cells["model"]) not in there)
    order = Order()
    order.add(wanted)
    return tuple(replace(line, sites=1) for line in order.lines())


def _line(cells: dict[str, str | int | float | None]) -> Ordered:
    return Ordered(
        kind=str(cells["kind"]),
        model=str(cells["model"]),
        part_no=str(cells.get("part_no") or ""),
        supplier=str(cells.get("supplier") or ""),
        currency=str(cells["currency"]),
        unit_cost=_decimal(cells["unit_cost"]),
        count=_decimal(cells["count"]),
        cost=_decimal(cells["cost"]),
    )


def _decimal(cell: str | int | float | None) -> Decimal:
    return Decimal(str(cell))


class Order:
    """The lines of many bills, like ones added up as they come; the same whatever their order."""

    def __init__(self) -> None:
        """Start with nothing ordered."""
        self._found: dict[Thing, Ordered] = {}

    def add(self, lines: Iterable[Ordered]) -> None:
        """Order these as well."""
        for line in lines:
            known = self._found.get(line.thing)
            self._found[line.thing] = line if known is None else _together(known, line)

    def lines(self) -> list[Ordered]:
        """Everything ordered, by currency, kind and name."""
        return sorted(self._found.values(), key=_place_in_order)

    def totals(self) -> dict[str, Decimal]:
        """What it all costs, by currency."""
        found: dict[str, Decimal] = {}
        for line in self.lines():
            found[line.currency] = found.get(line.currency, Decimal(0)) + line.cost
        return found


def _together(one: Ordered, other: Ordered) -> Ordered:
    return replace(one, count=one.count + other.count, cost=one.cost + other.cost, sites=one.sites + other.sites)


def _place_in_order(line: Ordered) -> tuple[str | int | Decimal, ...]:
    kind = KINDS.index(line.kind) if line.kind in KINDS else len(KINDS)
    return (line.currency, kind, line.model, line.part_no, line.supplier, line.unit_cost)
