"""The answer to a question about one line: whether it works, by how much, what to mind, and what would mend it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from equipsel.circuit import (
    BUNDLE_WARNING_A,
    Line,
    amps_per_conductor,
    collapse_margin_pct,
    most_load_w,
    reach_m,
    worst_conductor_amps,
)
from equipsel.heat import battery_watt_hours, btu_per_hour, mains_watts
from equipsel.quantities import resolved
from equipsel.standard import CLASSES, Certainty, origin
from equipsel.voltage_drop.line import Solved, broken_rules, line_holds, solve
from equipsel.voltage_drop.question import Question, problems
from equipsel.voltage_drop.suggest import Change, suggestions

CAUTIONS = (
    "Mains work, bundles, plenum spaces and outdoor runs: by licensed people, to the local code.",
    "Outdoor copper needs surge protection and bonding; do not unmate connectors under load.",
)

NARROW_PCT = 10
"""A line this close to its collapse is worth a warning (our own)."""


class QuestionError(ValueError):
    """A question that cannot be answered: `problems` says what was found, what is allowed and how to mend it."""

    def __init__(self, found: list[str]) -> None:
        """Keep every problem found, and join them for who only prints the error."""
        super().__init__("\n".join(found))
        self.problems = found


@dataclass(frozen=True)
class Answer:
    """A solved question. Everything else about it is worked out from it when asked."""

    solved: Solved

    @property
    def question(self) -> Question:
        """What was asked."""
        return self.solved.question

    @property
    def line(self) -> Line | None:
        """The solved line; None where it has no operating point."""
        return self.solved.line

    @cached_property
    def broken(self) -> list[str]:
        """Every rule the line breaks, in words."""
        return broken_rules(self.solved)

    @property
    def works(self) -> bool:
        """Whether it breaks none."""
        return not self.broken

    @cached_property
    def collapse_w(self) -> float:
        """The device's watts past which the line has no operating point; inf where nothing resists."""
        return most_load_w(self.solved.source.volts, self.solved.spans)

    @cached_property
    def most_w(self) -> float:
        """The most the device may draw with every minimum voltage kept, within the source's watts and amps, W."""
        return most_load_w(self.solved.source.volts, self.solved.spans, lambda line: line_holds(self.solved, line))

    @property
    def collapse_margin_pct(self) -> float:
        """By how many percent the device's draw may grow before the line collapses; inf for a device that draws nothing."""
        return collapse_margin_pct(self.collapse_w, self.question.pd_w)

    @property
    def worst_conductor_amps(self) -> float:
        """Amps in the conductor that carries most, the pairs differing by the question's unbalance; nan if none flow."""
        if self.line is None:
            return float("nan")
        return resolved(worst_conductor_amps(self.line.head_amps, self.solved.source.pairs, self.question.unbalance_pct))

    @property
    def loss_btu_h(self) -> float:
        """Heat the cable leaves in its pathway, BTU/h; nan without an operating point."""
        return float("nan") if self.line is None else float(btu_per_hour(self.line.loss_w))

    @property
    def mains_w(self) -> float:
        """Mains draw for this line, the source's own draw left out, W; nan without an operating point."""
        return float("nan") if self.line is None else resolved(float(mains_watts(0, self.line.head_w, self.question.efficiency)))

    @property
    def battery_wh(self) -> float:
        """Energy that holds this line for the minutes asked, worn battery, Wh; nan without an operating point."""
        if self.line is None:
            return float("nan")
        question = self.question
        return resolved(float(battery_watt_hours(self.mains_w, question.backup_minutes, question.efficiency)))

    @cached_property
    def changes(self) -> list[Change]:
        """What would make it work, each tried; empty when it works."""
        return [] if self.works else suggestions(self.solved)

    @cached_property
    def warnings(self) -> list[str]:
        """What to mind although no rule of the line is broken."""
        return [*_reach_warnings(self.question), *_cable_warnings(self.question), *_class_warnings(self.solved), *_narrow(self)]


def answer(question: Question) -> Answer:
    """Solve a question. Raises QuestionError, with every problem at once, for one that cannot be answered."""
    wrong = problems(question)
    if wrong:
        raise QuestionError(wrong)
    return Answer(solve(replace(question, extender_w=tuple(question.extender_w))))


def _reach_warnings(question: Question) -> Iterator[str]:
    longest = max(question.lengths_m)
    reach = float(reach_m(question.span_m, question.cable_c, question.shielded))
    if longest > question.span_m:
        yield f"data reaches {question.span_m:g} m a span and the longest is {longest:g} m: it needs extenders, or fibre"
    elif longest > reach:
        kind = "screened" if question.shielded else "unscreened"
        yield (
            f"at {question.cable_c:g} C data reaches {reach:.1f} m over {kind} cable (its loss rises with heat) "
            f"and the longest span is {longest:g} m"
        )
    needed = max(0, -int(-question.run_m // question.span_m) - 1)
    if len(question.extender_w) > needed:
        yield f"{len(question.extender_w)} extenders where {needed} would reach; they are taken evenly spaced"


def _cable_warnings(question: Question) -> Iterator[str]:
    if question.cca:
        yield "copper-clad aluminium does not comply with the cabling standards: replace it rather than load it"
    if question.stranded and question.run_m > 10:
        yield "stranded cable is made for cords of some 10 m: its data reach is shorter than solid cable's"


def _class_warnings(solved: Solved) -> Iterator[str]:
    number = solved.question.number
    if number is not None and solved.question.min_volts is None and origin(number, "pd_min_v").certainty is Certainty.MEMORY:
        yield f"class {number}'s minimum of {CLASSES[number].pd_min_v:g} V is from memory: read the device's data sheet"
    extenders = len(solved.question.extender_w)
    for place, seen in enumerate(solved.classes[:extenders], start=1):
        if seen is not None and CLASSES[seen].pairs > solved.source.pairs:
            yield f"extender {place} draws class {seen}, which needs four pairs: on two no port owes it that much"


def _narrow(found: Answer) -> Iterator[str]:
    if found.line is None:
        return
    amps = resolved(amps_per_conductor(found.line.head_amps, found.solved.source.pairs))
    if amps > BUNDLE_WARNING_A:
        yield (
            f"{amps:.3f} A in each conductor is above {BUNDLE_WARNING_A:g} A: the local code limits how many such cables "
            "may lie in one bundle; look it up"
        )
    if 0 <= found.collapse_margin_pct < NARROW_PCT:
        yield f"only {found.collapse_margin_pct:.1f} % more draw would collapse the line"
