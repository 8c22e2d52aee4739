"""The charts of the report: the load of each unit, and the volts along the longest lines."""

from itertools import accumulate
from xml.etree.ElementTree import Element

from equipsel.audit.lines import Solved
from equipsel.report.charts import Axis, Bar, Series, bars, chart, lines
from equipsel.report.html import Content
from equipsel.report.parts.schedules import load_words
from equipsel.report.table import Row, decimals, figure, table
from equipsel.report.view import View, number_of

LONGEST = 6
"""So many lines can be told apart in one chart."""

BARS_A_PICTURE = 30


def loads(view: View) -> list[Element]:
    """A bar a unit: what is reserved, in a frame as long as its budget, with a tick where the spare begins."""
    spare = float(view.site.rules.spare_watts_pct)
    most = max((number_of(entry, "budget_w") or 0 for entry in view.budgets), default=0)
    found = []
    for start in range(0, len(view.budgets), BARS_A_PICTURE):
        rows = [
            Bar(str(entry["unit"]), number_of(entry, "reserved_w") or 0, load_words(entry), number_of(entry, "budget_w") or 0,
                (number_of(entry, "budget_w") or 0) * (1 - spare / 100) if spare and (number_of(entry, "powered_ports") or 0) > 1 else None)
            for entry in view.budgets[start : start + BARS_A_PICTURE]
        ]  # fmt: skip
        tick = f"; the tick is where the {decimals(spare)} % begins that is kept free" if spare else ""
        caption = f"Load of each unit: reserved watts in a frame as long as the budget{tick}"
        words = "; ".join(f"{row.name}: {row.words}" for row in rows)
        found.append(chart(caption, bars(f"loads-{start // BARS_A_PICTURE + 1}", "Load of each unit", words, rows, most), None))
    return found


def volts(view: View) -> Content:
    """Volts along the longest lines, from the port over every extender to the device."""
    chosen = _longest(view)
    if not chosen:
        return None
    series = [Series(solved.link.name, _points(solved, view)) for solved in chosen]
    unit = view.lengths.unit
    levels = _least(chosen)
    words = "; ".join(f"{one.name}: {_ends(one, unit)}" for one in series)
    drawn = lines(
        "volts", "Volts along the longest lines", words, series, Axis(f"distance from the port, {unit}", 0), Axis("volts"), levels
    )
    return chart("Volts along the longest lines, at full load", drawn, _figures(series, unit))


def _least(chosen: list[Solved]) -> list[tuple[float, str]]:
    """The least volts of the devices at the ends of lines, with their classes."""
    classes: dict[float, set[int]] = {}
    for solved in chosen:
        if solved.link.device and solved.load_number is not None:
            classes.setdefault(solved.link.device.pd_min_v, set()).add(solved.load_number)
    numbers = {volts_: ", ".join(map(str, sorted(found))) for volts_, found in sorted(classes.items())}
    return [(volts_, f"{decimals(volts_)} V: the least for class {number}") for volts_, number in numbers.items()]


def _ends(one: Series, unit: str) -> str:
    return f"{decimals(one.points[0][1])} V at the port, {decimals(one.points[-1][1])} V at {decimals(one.points[-1][0])} {unit}"


def _longest(view: View) -> list[Solved]:
    """The longest powered lines, one a row of the scenario."""
    powered = [power.solved for _, power in view.facts.powered() if power.solved.line and power.solved.line.head_amps]
    powered.sort(key=lambda solved: (-sum(solved.lengths), solved.link.name))
    rows: dict[str, Solved] = {}
    for solved in powered:
        rows.setdefault(solved.link.device.device if solved.link.device else solved.link.where, solved)
    return list(rows.values())[:LONGEST]


def _points(solved: Solved, view: View) -> tuple[tuple[float, float], ...]:
    line = solved.line
    assert line is not None, "only lines that were solved come here"
    head = (0.0, round(line.head_w / line.head_amps, 3))
    ends = accumulate(solved.lengths)
    return (head, *((view.lengths.of(end), state.volts) for end, state in zip(ends, line.spans, strict=True)))


def _figures(series: list[Series], unit: str) -> Element:
    rows = (Row((one.name, figure(at), figure(value, 2))) for one in series for at, value in one.points)
    return table("Volts along the longest lines", ("Line", f"Distance {unit}", "Volts"), rows)
