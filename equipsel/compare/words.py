"""Sentences about a comparison: the same on the console, on the page and in the workbook."""

from equipsel.compare.break_even import Verdict
from equipsel.compare.comparison import Comparison
from equipsel.compare.near import Near
from equipsel.compare.trade_off import Axis, Curve
from equipsel.console import amount, how_good

AXES: dict[Axis, str] = {"spare": "least spare of every unit, %", "models": "different models"}
BREAK_EVEN = "At this price or above, the site does without the model at no extra cost"
VERDICTS = {
    Verdict.BOUGHT: ("leaves there", "it is bought today, and not from the break-even price on"),
    Verdict.NOT_BOUGHT: ("enters below", "it is not bought today, but below the break-even price"),
    Verdict.NEEDED: ("needed", "there is no kit without it"),
    Verdict.NEVER: ("at no price", "it saves nothing even as a gift"),
    Verdict.IMPOSSIBLE: ("no kit", "there is no kit at all"),
    Verdict.UNPROVEN: ("not proven", "the time allowed was too short, or the search was stopped"),
}
"""What each verdict is called in a narrow column, and what that means."""

READING = (
    "Equipment is prices, of extras and batteries too; installation is install costs, piece costs and opened places.",
    "Energy a year is the units' own draw and conversion loss. Points of failure are units, extenders, and supplies without N+1.",
)
"""What figures are made of, where their names do not tell."""


NOT_ALL = "these costs are proven; the last option may do better at its cost, and dearer ones may be missing"
"""What holds of a trade-off that lacks something."""


def result(found: Comparison, place: int) -> str:
    """How an option ended."""
    kit = found.kit(place)
    if kit is None or kit.cost is None:
        return "no kit"
    return "proven cheapest" if not kit.gap else how_good(kit)


def mixing(found: Comparison) -> list[str]:
    """What all catalogs together save, one sentence a change."""
    return [
        f"Mixing the catalogs{f' under {change}' if change else ''} saves {amount(float(saved))} beside the cheapest one alone."
        for change, saved in found.mixing_saves().items()
    ]


def nearly(near: Near) -> str:
    """How many kits there are near the cheapest, and how many cost the same as it."""
    if not near.kits:
        return "no kit was proven"
    kits = "1 kit" if len(near.kits) == 1 else f"{len(near.kits)} different kits"
    more = "there are no others" if near.complete else "there may be more"
    least = f"{'' if near.counted else 'at least '}{near.ties}"
    return f"{kits} within {near.within_pct} %, {more}; bills of materials of the least cost: {least}"


def proof(curve: Curve) -> str:
    """How far a curve is known."""
    return "every option no other beats, proven" if curve.complete else NOT_ALL
