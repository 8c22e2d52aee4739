"""A study of growth as tables: what is printed, written as CSV and shown on a page is made from these."""

from collections.abc import Iterator
from decimal import Decimal

from equipsel.files.schedules.schedule import Cell, Schedule
from equipsel.growth.headroom import UNITS, first_out, headroom
from equipsel.growth.ledger import lines
from equipsel.growth.plans import How, Plan
from equipsel.growth.study import Study
from equipsel.growth.words import added_words, by_model, pieces, step_words
from equipsel.quantities import cents, money

FIRST = "runs out first"

MONEY = frozenset({"least_cost", "lower_bound", "paid", "paid_so_far", "cost", "costs_more", "for"})
"""Columns of money."""


def tables(found: Study) -> list[Schedule]:
    """Every table that has anything in it."""
    made = [stages(found), plans(found), purchases(found), reaches(found), rooms(found), curves(found), what_if(found)]
    return [table for table in made if table.rows]


def amount(in_cents: int | None) -> float | None:
    """Money of cents."""
    return None if in_cents is None else float(money(in_cents))


def stages(found: Study) -> Schedule:
    """What each stage adds and the least a kit for it costs when all is bought then."""
    rows = []
    for at, stage in enumerate(found.stages):
        kit = found.kits.get(at)
        status = "not worked out" if kit is None else kit.status.value
        figures = (None, None) if kit is None else (kit.cost, kit.lower_bound)
        why = "; ".join(kit.reasons) if kit is not None else ""
        rows.append((at, stage.name, added_words(stage), stage.devices, *figures, status, why))
    return Schedule("stages", ("number", "stage", "added", "devices", "least_cost", "lower_bound", "status", "why_not"), tuple(rows))


def plans(found: Study) -> Schedule:
    """What each plan costs and when."""
    rows: list[tuple[Cell, ...]] = []
    for plan in in_order(found):
        for at, (paid, so_far) in enumerate(zip(plan.payments_cents, plan.paid_cents, strict=True)):
            rows.append((plan.how.value, at, found.stages[at].name, amount(paid), amount(so_far)))
        rows.append((plan.how.value, None, "all stages in today's money", amount(plan.total_cents), amount(plan.paid_cents[-1])))
    return Schedule("growth", ("plan", "number", "stage", "paid", "paid_so_far"), tuple(rows))


def in_order(found: Study) -> list[Plan]:
    """The plans known, in the order in which they are told."""
    return [found.plans[how] for how in How if how in found.plans]


def purchases(found: Study) -> Schedule:
    """What each plan buys at each stage: equipment by place, everything else by line of the bill."""
    rows = [row for plan in in_order(found) for row in _bought(found, plan)]
    return Schedule("purchases", ("plan", "stage", "kind", "model", "place", "count", "cost"), tuple(rows))


def _bought(found: Study, plan: Plan) -> Iterator[tuple[Cell, ...]]:
    before: dict[tuple[str, str, str], int] = {}
    had = by_model({})
    for at, (held, site) in enumerate(zip(plan.holds, plan.sites, strict=True)):
        now, have = lines(held, site), by_model(held)
        for (kind, model, place), cost in now.items():
            paid = cost - before.get((kind, model, place), 0)
            count = have[model, place] - had[model, place]
            if paid or count:
                spot = "" if kind == "extra" else place
                yield plan.how.value, found.stages[at].name, kind, model, spot, count or None, amount(paid)
        before, had = now, have


def reaches(found: Study) -> Schedule:
    """How far today's kit reaches, and what the next device makes necessary."""
    rows = tuple(
        (one.what, one.most, "yes" if one.proven else "no", pieces(one.buys), amount(one.extra_cents), "; ".join(one.reasons))
        for one in found.reaches.values()
    )
    return Schedule("reach", ("devices", "most_more", "proven", "the_next_needs", "for", "why_not"), rows)


def rooms(found: Study) -> Schedule:
    """What is left of each resource at each stage, in the kits of the best plan."""
    rows: list[tuple[Cell, ...]] = []
    for at, stage in enumerate(found.stages):
        kit = found.kit(at)
        if kit is None or kit.cost is None:
            continue
        all_ = headroom(kit, stage.site)
        first = first_out(all_)
        for room in all_:
            figures = tuple(_plain(one) for one in (room.used, room.limit, room.left))
            rows.append((stage.name, room.where, room.what, *figures, UNITS[room.what], FIRST if room is first else ""))
    return Schedule("headroom", ("stage", "where", "what", "used", "limit", "left", "unit", "note"), tuple(rows))


def _plain(value: object) -> Cell:
    number = round(float(str(value)) if isinstance(value, Decimal) else float(value), 3)  # type: ignore[arg-type] # a Fraction
    return int(number) if number == int(number) else number


def curves(found: Study) -> Schedule:
    """Devices added against least cost."""
    rows: list[tuple[Cell, ...]] = []
    for _, one in sorted(found.curves.items()):
        for number, point in sorted(one.points.items()):
            sure = "yes" if point.proven else "no"
            rows.append((one.question.what, number, amount(point.cost), amount(point.least), sure, step_words(one, number)))
    return Schedule("curve", ("devices", "added", "cost", "lower_bound", "proven", "step"), tuple(rows))


def what_if(found: Study) -> Schedule:
    """The least cost of each stage under each change, beside that without it."""
    rows: list[tuple[Cell, ...]] = []
    for (words, at), kit in sorted(found.changed.items(), key=lambda item: (list(found.asked.variants).index(item[0][0]), item[0][1])):
        plain = found.kits.get(at)
        more = None
        if plain is not None and plain.cost is not None and kit.cost is not None:
            more = amount(cents(Decimal(str(kit.cost))) - cents(Decimal(str(plain.cost))))
        name = found.asked.variants[words][at].name
        rows.append((words, name, kit.cost, kit.lower_bound, more, kit.status.value, "; ".join(kit.reasons)))
    return Schedule("what_if", ("change", "stage", "least_cost", "lower_bound", "costs_more", "status", "why_not"), tuple(rows))
