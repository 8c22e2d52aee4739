"""An answer in words, as a table of its spans, and as data for other programs."""

from math import floor, isfinite
from typing import Any

from equipsel.circuit import Line, amps_per_conductor, amps_per_pairset
from equipsel.quantities import resolved
from equipsel.standard import CLASSES
from equipsel.voltage_drop.answer import CAUTIONS, Answer
from equipsel.voltage_drop.line import against, feeds_something


def sentence(found: Answer) -> str:
    """The answer in one sentence: by how much it works (and whether data reaches), or why it does not and what would."""
    if found.works and found.line is not None:
        longest = max(found.question.lengths_m)
        if longest <= found.question.span_m:
            return f"works: {_voltage(found.line, found.question.pd_min_v)}"
        beyond = f"data does not reach: {longest:g} m in one span, {found.question.span_m:g} m at most without an extender"
        return f"works for power, not for data: {_voltage(found.line, found.question.pd_min_v)}; {beyond}"
    return f"does not work: {'; '.join([*found.broken, *_most(found), *_would(found)])}"


def _voltage(line: Line, lowest: float) -> str:
    volts = line.end.volts
    if not lowest:
        return f"{volts:.1f} V at the device, which needs no power from this line"
    shown, above = against(volts, lowest, "V")
    return f"{shown} at the device, {above} above its minimum" if volts > lowest else f"{shown} at the device, exactly its minimum"


def _down(watts: float) -> str:
    return f"{floor(watts * 10) / 10:.1f} W"


def _most(found: Answer) -> list[str]:
    question = found.question
    if found.line is None and found.collapse_w == 0:
        return ["it cannot feed even its extenders"]
    if found.line is None:
        kept = f" ({_down(found.most_w)} with every limit kept)" if found.most_w < found.collapse_w else ""
        return [f"the most this line can deliver is {_down(found.collapse_w)}{kept}"]
    if 0 < found.most_w < question.pd_w:
        return [f"it holds {_down(found.most_w)} at most"]
    return []


def _would(found: Answer) -> list[str]:
    words = [change.words for change in found.changes]
    if not words:
        return ["no thicker gauge, stronger source or shorter run mends it: feed the device from nearer, or from the mains"]
    return [f"{', '.join(words[:-1])} or {words[-1]} would work" if len(words) > 1 else f"{words[0]} would work"]


def report(found: Answer) -> str:
    """The whole answer as text: sentence, line, spans, margins, warnings and cautions."""
    parts = [sentence(found), "", *_setting(found)]
    if found.line is not None:
        parts += ["", *_table(found), "", *_margins(found, found.line)]
    parts += [f"Warning: {text}." for text in found.warnings]
    return "\n".join([*parts, "", *CAUTIONS]) + "\n"


def _setting(found: Answer) -> list[str]:
    question, source = found.question, found.solved.source
    metal = "copper-clad aluminium" if question.cca else "copper"
    make = "stranded" if question.stranded else "solid"
    load = f"{question.pd_w:g} W, class {question.number}" if question.number is not None else "no power, data only"
    cords = f", cords of {question.cord_m:g} m {question.cord_awg} AWG" if question.cord_m else ""
    port = f"class {source.number}, {source.port_w:g} W a port"
    if question.port_w is None:
        port += " (the weakest that will do; --port-w asks about another)"
    return [
        f"Device: {load}, at least {question.pd_min_v:g} V",
        f"Cable:  {question.run_m:g} m of {question.awg} AWG {make} {metal} at {question.cable_c:g} C{cords}",
        f"Source: {port if feeds_something(question) else 'any port'}, {source.volts:g} V, {source.pairs} pairs",
    ]


_COLUMNS = ("to", "at m", "m", "ohm", "A", "A/pairset", "A/conductor", "V", "W", "W lost", "class")


def _table(found: Answer) -> list[str]:
    rows = [_COLUMNS, *(_cells(span) for span in spans(found))]
    widths = [max(len(row[column]) for row in rows) for column in range(len(_COLUMNS))]
    return ["  ".join([row[0].ljust(widths[0]), *map(str.rjust, row[1:], widths[1:])]).rstrip() for row in rows]


def _cells(span: dict[str, Any]) -> tuple[str, ...]:
    amps = (f"{span[name]:.3f}" for name in ("amps", "amps_per_pairset", "amps_per_conductor"))
    number = "-" if span["class"] is None else str(span["class"])
    lengths = (f"{span['at_m']:g}", f"{span['length_m']:g}", f"{span['ohm']:.3f}")
    return (span["to"], *lengths, *amps, f"{span['volts']:.2f}", f"{span['watts']:.2f}", f"{span['loss_w']:.2f}", number)


def _margins(found: Answer, line: Line) -> list[str]:
    question = found.question
    held = f"; {found.battery_wh:.1f} Wh hold it {question.backup_minutes:g} min" if question.backup_minutes else ""
    stable = f"{found.collapse_margin_pct:.0f} % more draw would collapse the line. " if isfinite(found.collapse_margin_pct) else ""
    return [
        f"At the port: {line.head_w:.2f} W, {line.head_amps:.3f} A; mains {found.mains_w:.1f} W at {question.efficiency:g}{held}.",
        f"A meter at the device should read {line.end.volts:.1f} V, {line.end.amps:.3f} A, {line.end.watts:.2f} W.",
        f"{stable}The most it delivers with every limit kept: {_most_words(found)}.",
        f"Worst conductor, pairs {question.unbalance_pct:g} % apart: {found.worst_conductor_amps:.3f} A.",
        f"Heat in the cable: {line.loss_w:.2f} W ({found.loss_btu_h:.1f} BTU/h).",
    ]


def _most_words(found: Answer) -> str:
    return _down(found.most_w) if isfinite(found.most_w) else "limited by the port alone"


def spans(found: Answer) -> list[dict[str, Any]]:
    """The solved spans from the source outwards, as data; empty without an operating point."""
    if found.line is None:
        return []
    question, pairs = found.question, found.solved.source.pairs
    names = [*(f"extender {place}" for place in range(1, len(question.extender_w) + 1)), "device"]
    table = zip(names, question.ends_m, question.lengths_m, found.solved.spans, found.line.spans, found.solved.classes, strict=True)
    return [
        {
            "to": name,
            "at_m": resolved(at_m),
            "length_m": resolved(length_m),
            "ohm": resolved(span.ohm),
            "amps": state.amps,
            "amps_per_pairset": resolved(amps_per_pairset(state.amps, pairs)),
            "amps_per_conductor": resolved(amps_per_conductor(state.amps, pairs)),
            "volts": state.volts,
            "watts": state.watts,
            "loss_w": state.loss_w,
            "class": number,
        }
        for name, at_m, length_m, span, state, number in table
    ]


def as_dict(found: Answer) -> dict[str, Any]:
    """The answer as data: W, V, A, m; what has no finite value is None."""
    line, question, source = found.line, found.question, found.solved.source
    figures = {
        "works": found.works,
        "answer": sentence(found),
        "broken": found.broken,
        "class": question.number,
        "run_m": resolved(question.run_m),
        "cable_c": question.cable_c,
        "source": {
            "class": source.number,
            "class_w": float(CLASSES[source.number].pse_w),
            "port_w": source.port_w,
            "volts": source.volts,
            "pairs": source.pairs,
        },
        "pd_w": question.pd_w,
        "pd_min_volts": question.pd_min_v,
        "pd_volts": line and line.end.volts,
        "pd_amps": line and line.end.amps,
        "margin_volts": line and resolved(line.end.volts - question.pd_min_v),
        "pse_w": line and line.head_w,
        "amps": line and line.head_amps,
        "loss_w": line and line.loss_w,
        "loss_btu_h": _finite(found.loss_btu_h),
        "mains_w": _finite(found.mains_w),
        "battery_wh": _finite(found.battery_wh) if question.backup_minutes else None,
        "worst_conductor_amps": _finite(found.worst_conductor_amps),
        "collapse_w": _finite(found.collapse_w),
        "collapse_margin_pct": _finite(found.collapse_margin_pct),
        "most_w": _finite(found.most_w),
    }
    changes = [{"words": change.words, "set": dict(change.fields)} for change in found.changes]
    return {**figures, "spans": spans(found), "suggestions": changes, "warnings": found.warnings, "cautions": list(CAUTIONS)}


def _finite(value: float) -> float | None:
    return resolved(value) if isfinite(value) else None
