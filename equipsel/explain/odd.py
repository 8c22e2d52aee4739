"""What looks odd in a kit, explained before the user asks: dear injectors, half-empty switches, places to choose from left unused."""

from collections.abc import Iterator, Sequence

from equipsel.console import amount
from equipsel.kit import Binding, Kit, LineReason
from equipsel.site import Site

HALF_PCT = 50
"""Of its powered ports in use: a switch at or below this looks half empty (our own)."""


def odd_results(site: Site, kit: Kit, lines: Sequence[LineReason], binding: Sequence[Binding]) -> Iterator[str]:
    """A sentence for each."""
    told = {(line.kind, line.model, line.place): line.without_text for line in lines if line.kind in {"switch", "injector"}}
    yield from _injectors(kit, told)
    yield from _half_empty(kit, told, binding)
    yield from _unused(site, kit)


def _injectors(kit: Kit, told: dict[tuple[str, str, str | None], str]) -> Iterator[str]:
    """An injector that costs more than a port of the cheapest switch in the kit, by the bill."""
    costs = {(line.model, line.place): line.unit_cost for line in kit.lines or () if line.kind == "injector" and line.cost}
    switches = {line.model: line.unit_cost for line in kit.lines or () if line.kind == "switch" and line.cost}
    for (model, place), cost in costs.items():
        reason = told.get(("injector", model, place))
        if reason and switches and 4 * cost > min(switches.values()):
            cheapest = min(switches, key=lambda name: switches[name])
            price = f"{amount(cost)} beside {amount(switches[cheapest])} for a whole {cheapest}"
            yield f"{model} in {place} looks dear ({price}): {reason}"


def _half_empty(kit: Kit, told: dict[tuple[str, str, str | None], str], binding: Sequence[Binding]) -> Iterator[str]:
    ports = {limit.where: limit for limit in binding if limit.what == "powered ports"}
    for unit in kit.units:
        limit, reason = ports.get(unit.unit), told.get(("switch", unit.model, unit.place))
        if limit and reason and limit.limit > 1 and limit.pct <= HALF_PCT:
            yield f"{unit.unit} ({unit.model}) uses {limit.used:g} of {limit.limit:g} powered ports: {reason}"


def _unused(site: Site, kit: Kit) -> Iterator[str]:
    """Places that devices could be cabled to and where nothing stands."""
    standing = {unit.place for unit in kit.units}
    rows = [row for row in site.scenario.runs if row.from_ in site.scenario.device and row.to not in standing]
    for place in dict.fromkeys(row.to for row in rows):
        count = sum(site.scenario.device[row.from_].count for row in rows if row.to == place)
        opening = site.scenario.place[place].open_cost
        cost = f", opening it costs {amount(float(opening))}" if opening else ""
        could = f"{count} device{'' if count == 1 else 's'} could be cabled there"
        yield f"{place} stays unused{cost}: {could}"
