"""What `equipsel kit --all` prints: how the sites ended, and what to order."""

from collections import Counter

from equipsel.console import amount, clean, number
from equipsel.many.order import Order, Ordered
from equipsel.many.outcome import Ending, Outcome

WORDS = {
    Ending.OPTIMAL: "proven cheapest",
    Ending.FEASIBLE: "with a kit, not proven cheapest",
    Ending.INFEASIBLE: "no kit exists",
    Ending.STOPPED: "stopped with no kit",
    Ending.WRONG_INPUT: "tables are wrong",
    Ending.FAILED: "failed",
    Ending.NOT_DONE: "not done",
}
MOST_MESSAGES = 5
"""Messages told of one site; all are in sites.csv (our own limit)."""


def sites_text(outcomes: list[Outcome], order: Order, width: int) -> str:
    """How many sites ended in which way, what went wrong where, the order and its totals."""
    blocks = [_counts(outcomes), _failures(outcomes), _order(order, width), _totals(outcomes, order)]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _counts(outcomes: list[Outcome]) -> list[str]:
    counts = Counter(outcome.ending for outcome in outcomes)
    earlier = sum(outcome.reused for outcome in outcomes)
    told = [f"  {counts[ending]:>6} {words}" for ending, words in WORDS.items() if counts[ending]]
    again = [f"  {earlier:>6} of them taken from an earlier run: their inputs have not changed"] if earlier else []
    return [f"{len(outcomes)} sites", *told, *again]


def _failures(outcomes: list[Outcome]) -> list[str]:
    wrong = [outcome for outcome in outcomes if not outcome.has_kit and outcome.ending is not Ending.NOT_DONE]
    lines = ["Sites without a kit (nothing of theirs is ordered)"] if wrong else []
    for outcome in wrong:
        lines.append(f"  {clean(outcome.site)}: {WORDS[outcome.ending]}")
        lines += [f"    {clean(message)}" for message in outcome.messages[:MOST_MESSAGES]]
        more = len(outcome.messages) - MOST_MESSAGES
        lines += [f"    and {more} more, in its own check: equipsel kit on that site alone"] if more > 0 else []
    return lines


def _order(order: Order, width: int) -> list[str]:
    lines = order.lines()
    if not lines:
        return []
    widest = max(len(_name(line)) for line in lines)
    name_width = min(widest, max(width - 52, 20))
    heading = f"  {'kind':9} {'what'.ljust(name_width)} {'count':>10} {'each':>10} {'cost':>13} {'sites':>5}"
    return ["Order over all sites", heading, *(_line(line, name_width) for line in lines)]


def _name(line: Ordered) -> str:
    return clean(f"{line.model} [{line.part_no}]" if line.part_no else line.model)


def _line(line: Ordered, name_width: int) -> str:
    name = _name(line)
    cut = name if len(name) <= name_width else name[: name_width - 3] + "..."
    count, each = number(float(line.count)), amount(float(line.unit_cost))
    return f"  {line.kind:9} {cut.ljust(name_width)} {count:>10} {each:>10} {amount(float(line.cost)):>13} {line.sites:>5}"


def _totals(outcomes: list[Outcome], order: Order) -> list[str]:
    with_kit = sum(outcome.has_kit for outcome in outcomes)
    lines = [f"Total of {with_kit} sites: {clean(currency)} {amount(float(cost))}" for currency, cost in order.totals().items()]
    for currency in order.totals():
        bounds = [outcome.lower_bound for outcome in outcomes if outcome.has_kit and outcome.currency == currency]
        lines.append(f"No kits of these sites can cost less than {clean(currency)} {amount(float(sum(bound or 0 for bound in bounds)))}.")
    lines += ["Each site's kit is chosen on its own: boxes of cable are not shared between sites."] if lines else []
    return lines
