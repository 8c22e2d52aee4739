"""Why each bought line is there: what it does, and what the cheapest kit without it costs more, found by solving again."""

from collections.abc import Iterator

from equipsel.console import amount, number, ranges
from equipsel.explain.again import Again, Difference
from equipsel.kit import Kit, Line, LineReason, Unit
from equipsel.program.restriction import Restriction
from equipsel.site import Site

REMOVABLE = ("switch", "supply", "injector", "extender", "backup", "place")
"""Kinds of lines that are chosen: a kit may do without them. The others follow from what is chosen or must be there."""

MOST_NAMES = 8
"""Devices named for one line at most (our own limit)."""


def line_reasons(again: Again) -> Iterator[LineReason]:
    """Every bought line, those that are chosen first, the dearest of them first; each as soon as it is worked out."""
    site, kit = again.site, again.kit
    for line in sorted(_bought(kit), key=lambda row: (row.kind not in REMOVABLE, -row.cost)):
        text = Words(site, kit).why(line)
        if line.kind not in REMOVABLE:
            yield LineReason(model=line.model, place=line.place, kind=line.kind, text=text, without_text=_follows(line))
            continue
        place = line.place or ""
        if line.kind == "place":
            found = again.without(place, Restriction(closed=frozenset({place})))
        else:
            found = again.without(place, Restriction(unbought_at=frozenset({(place, line.model)})))
        if found is not None:
            yield _reason(line, text, found, kit.currency)


def _bought(kit: Kit) -> list[Line]:
    return [line for line in kit.lines or () if line.count and line.cost]


def _reason(line: Line, text: str, found: Difference, currency: str) -> LineReason:
    cost = None if found.more_cents is None else float(found.money)
    return LineReason(
        model=line.model, place=line.place, kind=line.kind, text=text, without_cost=cost, exact=found.exact,
        without_text=_without(line, cost, found.exact, currency),
    )  # fmt: skip


def _without(line: Line, cost: float | None, exact: bool, currency: str) -> str:
    what = f"if nothing stands in {line.place}" if line.kind == "place" else f"without {line.model} in {line.place}"
    if cost is None:
        return f"there is no kit {what}"
    if not cost:
        return f"a kit {what} costs the same" if exact else f"whether a kit {what} costs more is not known"
    return f"{what} the cheapest kit costs {currency} {'' if exact else 'at least '}{amount(cost)} more"


def _follows(line: Line) -> str:
    """Why a line that is not chosen by itself cannot be left out alone."""
    if line.kind == "cable":
        return "every device needs its run"
    if line.kind == "energy":
        return "what the chosen units lose over the years"
    return "follows from what it is counted by"


class Words:
    """What the lines of a kit do, in words."""

    def __init__(self, site: Site, kit: Kit) -> None:
        """Know the kit and its site."""
        self.site, self.kit = site, kit

    def why(self, line: Line) -> str:
        """What a line does."""
        if line.kind in {"switch", "injector"}:
            return "; ".join(self._unit(unit) for unit in self._units(line))
        by_kind = {"supply": self._supply, "extender": self._extender, "backup": self._battery, "place": self._place}
        if line.kind in by_kind:
            return by_kind[line.kind](line)
        return f"{number(line.count)} m on the runs in use" if self._by_metre(line) else self._counted(line)

    def _by_metre(self, line: Line) -> bool:
        cable = self.site.catalog.cable_models.get(line.model)
        return line.kind == "cable" and (cable is None or not cable.sold_m)

    def _counted(self, line: Line) -> str:
        """What a line is counted by, where that is one row of the catalog."""
        by = {(row.per, row.for_) for row in self.site.catalog.extras if row.item == line.model}
        per, of = by.pop() if line.kind == "extra" and len(by) == 1 else ("", None)
        return f"{number(line.count)}" + (f", one each {per}" if per else "") + (f" ({of})" if of else "")

    def _units(self, line: Line) -> list[Unit]:
        return [unit for unit in self.kit.units if (unit.model, unit.place) == (line.model, line.place)]

    def _unit(self, unit: Unit) -> str:
        devices = [one.device for one in self.kit.connections if (one.injector or one).unit == unit.unit]
        fed = [one.unit for one in self.kit.units if one.fed_by and (one.fed_by.injector or one.fed_by).unit == unit.unit]
        names = _listed([*ranges(devices), *fed])
        data = sum(1 for one in self.kit.connections if one.injector and one.unit == unit.unit)
        lead = f", and carries the data of {data} device{'' if data == 1 else 's'} on injectors" if data else ""
        watts = f" ({number(unit.reserved_w)} of {number(unit.budget_w)} W)" if unit.budget_w else ""
        return f"{unit.unit} serves {names or 'no device'}{watts}{lead}"

    def _supply(self, line: Line) -> str:
        on = [unit.unit for unit in self.kit.units if unit.place == line.place and line.model in unit.supplies]
        watts = self.site.catalog.supply[line.model].watts
        return f"gives {watts:f} W to {_listed(on)}"

    def _extender(self, line: Line) -> str:
        runs = [one for one in self.kit.connections if one.place == line.place]
        at = {unit.unit: unit.place for unit in self.kit.units}
        feeds = [(unit.unit, unit.fed_by) for unit in self.kit.units if unit.fed_by and at[unit.fed_by.unit] == line.place]
        far = {one.device: one.run_m for one in runs if any(step.model == line.model for step in one.extenders)}
        far |= {name: feed.run_m for name, feed in feeds if any(step.model == line.model for step in feed.extenders)}
        reach = max((metres or 0 for metres in far.values()), default=0)
        return f"carries {_listed(ranges(far))} over up to {number(reach)} m"

    def _battery(self, line: Line) -> str:
        drawn = sum(unit.mains_w or 0 for unit in self.kit.units if unit.place == line.place)
        return f"holds {number(drawn)} W in {line.place} for {self.site.rules.backup_minutes:f} minutes"

    def _place(self, line: Line) -> str:
        count = sum(unit.place == line.place for unit in self.kit.units)
        return f"{count} unit{'' if count == 1 else 's'} stand{'s' if count == 1 else ''} in {line.place}"


def _listed(names: list[str]) -> str:
    more = len(names) - MOST_NAMES
    return ", ".join(names[:MOST_NAMES]) + (f" and {more} more" if more > 0 else "")
