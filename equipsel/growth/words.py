"""What is bought, in words: steps of a curve, what the next device needs, why planning ahead pays."""

from collections import Counter
from collections.abc import Mapping

from equipsel.growth.ledger import equipment
from equipsel.growth.own import own_exact
from equipsel.growth.plans import How, Plan
from equipsel.growth.points import Curve, Point
from equipsel.growth.reach import Reach
from equipsel.growth.spread import spread
from equipsel.growth.stages import Stage
from equipsel.quantities import cents, money


def price(amount: int) -> str:
    """Money of cents with two decimals."""
    return f"{money(amount):,}"


def ordinal(number: int) -> str:
    """A number as people count: 1st, 2nd, 3rd, 4th, 11th, 21st."""
    ending = "th" if number % 100 in {11, 12, 13} else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def pieces(counts: Mapping[tuple[str, str], int]) -> str:
    """Equipment in words, by model and place: 2 x model at place."""
    return ", ".join(f"{count} x {model} at {place}" for (model, place), count in counts.items())


def by_model(counts: Mapping[tuple[str, ...], int]) -> Counter[tuple[str, str]]:
    """Equipment by model and place, whatever run it is on."""
    found: Counter[tuple[str, str]] = Counter()
    for key, count in equipment(counts).items():
        found[key[1], key[2]] += count
    return found


def added_words(stage: Stage) -> str:
    """What a stage adds."""
    return ", ".join(f"{count} x {name}" for name, count in stage.added.items())


def reach_words(one: Reach) -> str:
    """How many more fit, and what the next one needs."""
    known = "" if one.proven else " (at least; not proven)"
    if one.reasons:
        return f"{one.most} more fit{known}; no kit takes the next one: {'; '.join(one.reasons)}"
    if one.extra_cents is None:
        return f"{one.most} more fit{known}; beyond that it was not tried"
    what = pieces(one.buys) or "no more equipment, but other cable"
    return f"{one.most} more fit{known}; the {ordinal(one.most + 1)} needs {what}: +{price(one.extra_cents)}"


def step_words(curve: Curve, number: int) -> str:
    """What the step to a point buys beyond what its devices bring along (empty: nothing); of kits not proven, what they have."""
    before, after = curve.points.get(number - 1), curve.points.get(number)
    if before is None or after is None:
        return ""
    gained, lost = by_model(after.equipment), by_model(before.equipment)
    more, fewer = gained - lost, lost - gained
    if not more and not fewer:
        return ""
    question = curve.question
    extra = cents((after.cost - before.cost - own_exact(question.site, _between(curve, number))) / 100)
    instead = f" instead of {pieces(fewer)}" if more and fewer else ""
    sure = before.proven and after.proven
    gets = f"{'needs' if sure else 'gets'} {pieces(more)}{instead}" if more else f"does without {pieces(fewer)}"
    doubt = "" if sure else " (in the kits found; not proven to be needed)"
    return f"the {ordinal(number)} {question.what} {gets}: {'+' if extra >= 0 else '-'}{price(abs(extra))}{doubt}"


def _between(curve: Curve, number: int) -> dict[str, int]:
    before, after = spread(curve.question.counts, number - 1), spread(curve.question.counts, number)
    return {name: more for name, count in after.items() if (more := count - before.get(name, 0))}


def point_words(point: Point) -> str:
    """How sure a point is."""
    return "proven" if point.proven else f"between {price(point.least)} and {price(point.cost)}"


def proof_words(curve: Curve) -> str:
    """How sure a curve is, and how many of its points were searched."""
    how = "every point proven" if curve.complete() else "not every point could be proven"
    return f"{how}, {len(curve.searched)} of them searched"


def why_ahead(stages: tuple[Stage, ...], plans: Mapping[How, Plan]) -> str:
    """One sentence: what planning ahead saves beside buying stage by stage, and by which equipment; empty where one is not known."""
    ahead, by_stage = plans.get(How.TOGETHER), plans.get(How.BY_STAGE)
    if ahead is None or by_stage is None:
        return ""
    saved = by_stage.total_cents - ahead.total_cents
    if saved <= 0:
        return "Planning ahead saves nothing here: buying the cheapest at each stage costs no more."
    mine, theirs = by_model(ahead.holds[-1]), by_model(by_stage.holds[-1])
    bought, spared = _when(stages, ahead, mine - theirs), _when(stages, by_stage, theirs - mine)
    buys = f"it buys {bought}" if bought else "it buys less"
    makes = f"; stage by stage buys {spared}, which the later stages outgrow" if spared else ""
    return f"Planning ahead saves {price(saved)} beside buying stage by stage: {buys}{makes}."


def _when(stages: tuple[Stage, ...], plan: Plan, counts: Mapping[tuple[str, str], int]) -> str:
    """Equipment of a plan with the stage that first holds all of it."""
    first = {key: next(at for at, held in enumerate(plan.holds) if by_model(held)[key] >= by_model(plan.holds[-1])[key]) for key in counts}
    ordered = sorted(counts, key=lambda key: first[key])
    return ", ".join(f"{counts[key]} x {key[0]} at {key[1]} (stage {stages[first[key]].name})" for key in ordered)
