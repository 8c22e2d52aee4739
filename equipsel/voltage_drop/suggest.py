"""The smallest changes that make a line work, each tried by solving the changed line."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations
from math import ceil
from typing import Any

from equipsel.standard import head_volts
from equipsel.voltage_drop.line import Solved, solve
from equipsel.voltage_drop.question import Question, problems

GAUGES = (26, 24, 23, 22)
"""Gauges network cable is sold in, thin to thick (common practice)."""

SOURCES = ((30.0, None), (60.0, None), (90.0, None), (90.0, 55.0))
"""Ports to try, weak to strong: watts, and the voltage it states (None: worst case). 55 V is a common statement (common practice)."""


@dataclass(frozen=True, slots=True)
class Change:
    """A change of a question: what it is in words, and the fields it sets. `kind`: changes of one kind exclude each other."""

    kind: str
    words: str
    fields: Mapping[str, Any]

    def made(self, question: Question) -> Question:
        """The question with the change made."""
        return replace(question, **self.fields)


def suggestions(solved: Solved) -> list[Change]:
    """Changes that make a line work, the smallest of each kind; where none does alone, the first two or three together."""
    changes = list(_changes(solved))
    alone: dict[str, Change] = {}
    for change in changes:
        if change.kind not in alone and solve(change.made(solved.question)).works:
            alone[change.kind] = change
    found = list(alone.values()) or _together(solved.question, changes)
    shorter = _shorter(solved.question)
    return [*found, shorter] if shorter else found


def _changes(solved: Solved) -> Iterator[Change]:
    question, source = solved.question, solved.source
    if source.pairs == 2:
        yield Change("pairs", "four pairs", {"pairs": 4})
    if question.cca:
        yield Change("metal", "copper instead of copper-clad aluminium", {"cca": False})
    if question.stranded:
        yield Change("make", "solid conductors", {"stranded": False})
    for awg in GAUGES:
        if awg < question.awg:
            yield Change("gauge", f"{awg} AWG", {"awg": awg})
    for port_w, stated in SOURCES:
        volts = max(stated or head_volts(Decimal(repr(port_w))), source.volts)
        if port_w > source.port_w or (port_w == source.port_w and volts > source.volts):
            pairs = 4 if port_w > 30 else source.pairs
            words = f"a {port_w:g} W source ({'four' if pairs == 4 else 'two'} pairs, {volts:g} V)"
            yield Change("source", words, {"port_w": port_w, "volts": volts, "pairs": pairs})


def _together(question: Question, changes: list[Change]) -> list[Change]:
    for count in (2, 3):
        for chosen in combinations(changes, count):
            if len({change.kind for change in chosen}) < count:
                continue
            fields = {name: value for change in chosen for name, value in change.fields.items()}
            both = Change("together", " with ".join(change.words for change in chosen), fields)
            if solve(both.made(question)).works:
                return [both]
    return []


def _shorter(question: Question) -> Change | None:
    """The longest shorter run that works, to the whole metre, with no more extenders than its data needs."""
    low, high = 0, ceil(question.run_m)
    while high - low > 1:
        middle = (low + high) // 2
        asked = _run(question, middle).made(question)
        low, high = (middle, high) if not problems(asked) and solve(asked).works else (low, middle)
    return _run(question, low) if low and low < question.run_m else None


def _run(question: Question, run_m: int) -> Change:
    needed = min(len(question.extender_w), max(0, ceil(run_m / question.span_m) - 1))
    count = {0: "no extender", 1: "1 extender"}.get(needed, f"{needed} extenders")
    fewer = f" with {count}" if needed < len(question.extender_w) else ""
    return Change("run", f"a run of at most {run_m} m{fewer}", {"run_m": run_m, "extender_w": question.extender_w[:needed]})
