"""Rows of a restriction: models that are not bought, and bills that a kit must differ from."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from equipsel.program.counts import run_of
from equipsel.program.model import Model
from equipsel.program.restriction import Bought
from equipsel.program.rows import Term, Terms


@dataclass
class _Count:
    """How many of a model are bought: terms, and the most they can come to."""

    terms: Terms = field(default_factory=list)
    most: int = 0


def define_restriction(model: Model) -> None:
    """Bought of an unbought model <= 0; of every listed bill, at least one model is bought less often."""
    restriction = model.restriction
    _define_places(model)
    if not restriction.of_site:
        return
    counts = _bought(model)
    for name in sorted(restriction.unbought):
        model.rows.at_most(f"unbought-{name}", counts.get(name, _Count()).terms)
    for number, bill in enumerate(restriction.bills):
        _differ(model, f"bill{number}", bill, counts)


def _define_places(model: Model) -> None:
    """Bought of a model in a place where it is not bought <= 0; units in a closed place <= 0."""
    for place, name in sorted(model.restriction.unbought_at):
        used = _used(model, place).get(name)
        terms = _beyond_owned(model, place, name, used)[0] if used else []
        chains = [(plug, run[1].chain) for plug in model.plugs if plug.bin.build.place == place and (run := run_of(model, plug))]
        terms += [(1, plug.count) for plug, chain in chains if name in {extender.model for extender in chain}]
        terms += [(1, count) for battery, count in model.batteries[place].items() if battery == name]
        model.rows.at_most(f"unbought-{place}-{name}", terms)
    for place in sorted(model.restriction.closed):
        model.rows.at_most(f"closed-{place}", [(1, item.count) for item in model.at[place]])


def _differ(model: Model, name: str, bill: Bought, counts: dict[str, _Count]) -> None:
    """Some model with n on the bill has at most n - 1: bought + (most - n + 1) z <= most, z binary, the sum of z >= 1."""
    fewer: Terms = []
    for spot, (part, number) in enumerate(sorted(bill.items())):
        count = counts.get(part, _Count())
        less = model.rows.variable(f"{name}-less{spot}", 0, 1)
        slack = max(0, count.most - number + 1)
        model.rows.at_most(f"{name}-{part}", [*count.terms, (slack, less)], max(count.most, number - 1))
        fewer.append((1, less))
    model.rows.at_least(f"{name}-differs", fewer, 1)


def _bought(model: Model) -> dict[str, _Count]:
    """What is bought of each model, all places together."""
    found: dict[str, _Count] = {}
    for place in model.at:
        for name, used in _used(model, place).items():
            _add(found, name, *_beyond_owned(model, place, name, used))
    for plug in model.plugs:
        run = run_of(model, plug)
        for extender in run[1].chain if run else ():
            _add(found, extender.model, [(1, plug.count)], max(model.demand.values()))
    return found


def _used(model: Model, place: str) -> dict[str, _Count]:
    used: dict[str, _Count] = {}
    for item in model.at[place]:
        for row in (item.build.model, *item.build.supplies):
            _add(used, row.model, [(1, item.count)], item.most)
    return used


def _beyond_owned(model: Model, place: str, name: str, used: _Count) -> tuple[Terms, int]:
    owned = model.site.owned()[place, name]
    if not owned:
        return used.terms, used.most
    bought = model.rows.variable(f"more_{place}_{name}")
    model.rows.at_least(f"{place}-{name}-more", [(1, bought), *((-factor, variable) for factor, variable in used.terms)], -owned)
    return [(1, bought)], used.most


def _add(found: dict[str, _Count], name: str, terms: Iterable[Term], most: int) -> None:
    count = found.setdefault(name, _Count())
    count.terms += terms
    count.most += most
