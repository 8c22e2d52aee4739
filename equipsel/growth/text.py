"""A study of growth as `equipsel grow` prints it: plain text that fits the terminal."""

from equipsel.console import BAR_WIDTH, CAUTIONS, INTERRUPTED, LEAST_WIDTH, amount, clean, table, wrapped
from equipsel.growth.headroom import UNITS, first_out, headroom, tightest
from equipsel.growth.points import Curve
from equipsel.growth.study import Study
from equipsel.growth.tables import in_order, what_if
from equipsel.growth.words import added_words, by_model, pieces, point_words, price, proof_words, reach_words, step_words, why_ahead


def study_text(found: Study, title: str, width: int) -> str:
    """The whole study."""
    width = max(width, LEAST_WIDTH)
    blocks = [[clean(title)], _stages(found, width), _no_kit(found, width), _plans(found, width), _purchases(found, width)]
    blocks += [_reach(found, width), _rooms(found, width), *(_curve(one, width) for _, one in sorted(found.curves.items()))]
    blocks.append(_what_if(found, width))
    if found.interrupted:
        blocks.append([INTERRUPTED])
    blocks.append(["Cautions", *(line for word in CAUTIONS for line in wrapped("- ", word, width))])
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _stages(found: Study, width: int) -> list[str]:
    rows: list[tuple[str, ...]] = []
    for at, stage in enumerate(found.stages):
        kit = found.kits.get(at)
        cost = "-" if kit is None or kit.cost is None else amount(kit.cost)
        sure = "not worked out" if kit is None else "no kit" if kit.cost is None else "proven" if not kit.gap else f"gap {kit.gap:.2%}"
        rows.append((stage.name, added_words(stage), str(stage.devices), cost, sure))
    head = ("stage", "added", "devices", f"cheapest kit {found.stages[0].site.scenario.currency}", "")
    return [
        "Stages, and the cheapest kit of each if all of it were bought then",
        *table(head, rows, (False, False, True, True, False), width),
    ]


def _no_kit(found: Study, width: int) -> list[str]:
    """At which stage growth ends, and why."""
    lines: list[str] = []
    for at, stage in enumerate(found.stages):
        kit = found.kits.get(at)
        if kit is not None and kit.cost is None:
            when = "before it was stopped" if found.interrupted else "in the time allowed"
            why = kit.reasons or (f"no kit was found {when}; one may exist",)
            lines += [f"No kit from stage {clean(stage.name)} on; the stages before it stand."]
            return lines + [line for reason in why for line in wrapped("- ", reason, width)]
    return lines


def _plans(found: Study, width: int) -> list[str]:
    known = in_order(found)
    if not known:
        return []
    rows = [
        (stage.name, *(price(plan.payments_cents[at]) for plan in known)) for at, stage in enumerate(found.reachable[: len(known[0].kits)])
    ]
    discount = found.stages[0].site.rules.discount_pct
    total = f"in today's money, {discount.normalize():f} % less a stage" if discount else "together"
    rows.append((total, *(price(plan.total_cents) for plan in known)))
    rows.append(("", *("proven" if plan.proven else "best known" for plan in known)))
    head = ("paid at", *(plan.how.value for plan in known))
    lines = ["Three ways to buy for these stages", *table(head, rows, (False, *(True for _ in known)), width)]
    if sentence := why_ahead(found.stages, found.plans):
        lines += wrapped("", sentence, width)
    return lines


def _purchases(found: Study, width: int) -> list[str]:
    plan = found.best
    if plan is None:
        return []
    lines = [f"What to buy when: {plan.how.value}"]
    before = by_model({})
    for stage, held in zip(found.stages, plan.holds, strict=False):
        now = by_model(held)
        lines += wrapped(f"{clean(stage.name)}: ", pieces(now - before) or "no equipment", width)
        before = now
    return lines


def _reach(found: Study, width: int) -> list[str]:
    if not found.reaches:
        return []
    lines = ["How far today's cheapest kit reaches (a device's own cable, cords and mounts come with it)"]
    for one in found.reaches.values():
        lines += wrapped(f"{one.what}: ", reach_words(one), width)
    return lines


def _rooms(found: Study, width: int) -> list[str]:
    rows = []
    for at, stage in enumerate(found.stages):
        kit = found.kit(at)
        if kit is None or kit.cost is None:
            continue
        all_ = headroom(kit, stage.site)
        first = first_out(all_)
        for room in tightest(all_).values():
            figures = (f"{float(one):,.1f}".removesuffix(".0") for one in (room.left, room.limit))
            mark = "runs out first" if room is first else ""
            rows.append((stage.name, room.what, room.where, *figures, UNITS[room.what], mark))
    head = ("stage", "of", "where least is left", "left", "of", "", "")
    if not rows:
        return []
    heading = "What is left at each stage; what runs out first is what the largest share of is used"
    return [heading, *table(head, rows, (False, False, False, True, True, False, False), width)]


def _curve(curve: Curve, width: int) -> list[str]:
    if not curve.points:
        return []
    dearest = max(point.cost for point in curve.points.values())
    rows = []
    for number, point in sorted(curve.points.items()):
        bar = "#" * round(BAR_WIDTH * point.cost / dearest) if dearest else ""
        rows.append((str(number), price(point.cost), point_words(point), bar))
    heading = f"Least cost against {clean(curve.question.what)} added: {proof_words(curve)}"
    lines = [heading, *table(("added", "cost", "", ""), rows, (True, True, False, False), width)]
    for number in sorted(curve.points):
        lines += wrapped("- ", words, width) if (words := step_words(curve, number)) else []
    if curve.ends is not None:
        lines += [f"  No kit takes {curve.ends} or more{':' if curve.reasons else '.'}"]
        lines += [line for reason in curve.reasons for line in wrapped("- ", reason, width)]
    return lines


def _what_if(found: Study, width: int) -> list[str]:
    schedule = what_if(found)
    if not schedule.rows:
        return []
    rows, reasons = [], []
    for words, stage, cost, _, more, status, why in schedule.rows:
        figures = ["-" if one is None else f"{one:,.2f}" if isinstance(one, int | float) else one for one in (cost, more)]
        rows.append((str(words), str(stage), *figures, "" if cost is not None else str(status)))
        reasons += wrapped(f"{words}, {stage}: ", str(why), width) if why else []
    head = ("change", "stage", "cheapest kit", "costs more", "")
    return [
        "What if: the cheapest kit of each stage under each change",
        *table(head, rows, (False, False, True, True, False), width),
        *reasons,
    ]
