"""What the commands print for a person: plain text that fits the terminal."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import groupby
from shutil import get_terminal_size

from equipsel.heat import btu_per_hour
from equipsel.kit import Binding, Connection, FedBy, Finding, Kit, Line, Severity, Status, Unit, Why

LEAST_WIDTH = 60
WIDEST = 120
BAR_WIDTH = 24
MOST_LIMITS, CLOSE_PCT = 12, 80

CAUTIONS = (
    "Mains work by licensed electricians to local code; bundles, plenum spaces and outdoor runs to local code.",
    "Surge protection and bonding on every outdoor copper run; fibre between buildings with separate earths.",
    "Life-safety loads (egress lighting, door release, alarms) need their own approved supplies: this is no certificate for them.",
    "Never mix in passive-feed equipment (it does not follow IEEE 802.3); never unmate a connector under load.",
)
"""What every kit is handed on with (common practice)."""

INTERRUPTED = "Stopped: what was done by then is shown, the rest is missing."
"""What is said of work that Ctrl-C ended."""

HEADINGS = {Severity.ERROR: "Rules broken", Severity.WARNING: "Warnings", Severity.NOTE: "Notes"}


def terminal_width() -> int:
    """Characters in a line of the terminal; 100 where there is none."""
    return min(get_terminal_size((100, 24)).columns, WIDEST)


def kit_text(kit: Kit, title: str, width: int = 100, *, written: bool = False) -> str:
    """The whole answer as `equipsel kit` prints it. `written`: the schedules are on disk already."""
    width = max(width, LEAST_WIDTH)
    blocks = [[clean(title)] if title else [], _status(kit)]
    if kit.status in (Status.OPTIMAL, Status.FEASIBLE):
        blocks += [
            _bill(kit, width),
            _loads(kit, width),
            _places(kit),
            _plugs(kit, width, written=written),
            *_findings(kit.findings, width),
        ]
        blocks += why_text(kit.why, width) if kit.why else []
        blocks.append(_bullets("Cautions", CAUTIONS, width))
    elif kit.reasons:
        blocks.append(_bullets("Why", kit.reasons, width))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def findings_text(findings: Sequence[Finding], width: int = 100) -> str:
    """The outcome of a re-check as `equipsel check` prints it."""
    broken = sum(finding.severity is Severity.ERROR for finding in findings)
    verdict = f"{broken} broken rule{'s' if broken > 1 else ''}." if broken else "No rule broken."
    blocks = [[verdict], *_findings(findings, max(width, LEAST_WIDTH))]
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def clean(text: str) -> str:
    """Text from a table with nothing in it that could disturb a terminal or a line."""
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def amount(money: float | None) -> str:
    """Money with two decimals and commas between thousands."""
    return "-" if money is None else f"{money:,.2f}"


def number(value: float | None) -> str:
    """A number with at most one decimal, none where it is whole."""
    return "-" if value is None else f"{value:,.1f}".removesuffix(".0")


def _status(kit: Kit) -> list[str]:
    seconds = "" if kit.seconds is None else f" ({kit.seconds:.1f} s)"
    if kit.status is Status.INFEASIBLE:
        return [f"No kit satisfies every rule{seconds}."]
    if kit.status is Status.STOPPED:
        return [f"Stopped at a limit with no kit{seconds}: give it more time with --time-limit. A kit may or may not exist."]
    bound = f"; no kit can cost less than {amount(kit.lower_bound)}" if kit.lower_bound else ""
    return [f"{how_good(kit)}{seconds}", f"Cost {kit.currency} {amount(kit.cost)}{bound}.", *certified_words(kit)]


def certified_words(kit: Kit) -> list[str]:
    """Which part of a kit's bound can be reckoned again, and which is the solver's word."""
    if kit.certificate is None:
        return []
    certified, bound = kit.certificate.bound, kit.lower_bound or 0.0
    rest = f"; from there to {amount(bound)} it is the solver's word" if bound > certified else ""
    return [f"Certified in exact fractions: no kit costs less than {amount(certified)}{rest}."]


def how_good(kit: Kit) -> str:
    """How near to the cheapest possible a kit is, in words."""
    gap = kit.gap or 0
    if kit.status is Status.OPTIMAL and not gap:
        return "The cheapest kit: proven."
    if not kit.lower_bound:
        return "The best kit found so far; nothing is proven of how cheap a kit can be."
    above = _above_pct(kit.cost or 0, kit.lower_bound)
    if kit.status is Status.OPTIMAL:
        return f"A kit within the gap asked for: at most {above} % above the cheapest possible."
    return f"The best kit found so far: at most {above} % above the cheapest possible."


def _above_pct(cost: float, bound: float) -> str:
    """How far above the cheapest possible a cost may lie, in percent of the bound, rounded up to a tenth."""
    cents, bound_cents = round(100 * cost), round(100 * bound)
    return number(-(-1000 * (cents - bound_cents) // bound_cents) / 10)


def table(head: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[bool], width: int) -> list[str]:
    """Aligned columns; the widest left-hand ones are cut where they do not fit the width."""
    cells = [list(head), *([clean(cell) for cell in row] for row in rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(head))]
    while sum(widths) + 2 * len(widths) > width and max(widths) > 8:
        widths[widths.index(max(widths))] -= 1
    return ["  " + _row(row, widths, right) for row in cells]


def _row(cells: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> str:
    shown = (cell if len(cell) <= size else cell[: size - 2] + ".." for cell, size in zip(cells, widths, strict=True))
    padded = (cell.rjust(size) if to_right else cell.ljust(size) for cell, size, to_right in zip(shown, widths, right, strict=True))
    return "  ".join(padded).rstrip()


def _bill(kit: Kit, width: int) -> list[str]:
    head = ("kind", "model", "place", "count", "each", "cost")
    rows = [*(_bill_row(line) for line in kit.lines or ()), ("total", "", "", "", "", amount(kit.cost))]
    return [f"Bill of materials ({kit.currency})", *table(head, rows, (False, False, False, True, True, True), width)]


def _bill_row(line: Line) -> tuple[str, ...]:
    return (
        line.kind,
        line.model,
        line.place or "",
        f"{line.count:,g}" if line.count < 1e6 else f"{line.count:,}",
        amount(line.unit_cost),
        amount(line.cost),
    )


def _loads(kit: Kit, width: int) -> list[str]:
    if not kit.units:
        return []
    names = min(max(len(unit.unit) for unit in kit.units), max(12, width - BAR_WIDTH - 40))
    rows = (f"  {_fit(unit.unit, names)}  {bar(unit, BAR_WIDTH)}  {_load_words(unit)}".rstrip() for unit in kit.units)
    return ["Load of each unit (watts reserved against its budget)", *rows]


def _places(kit: Kit) -> list[str]:
    """Heat and mains draw of each place, for its ventilation and its circuit."""
    known = [unit for unit in kit.units if unit.heat_w is not None and unit.mains_w is not None]
    rows = []
    for place in dict.fromkeys(unit.place for unit in known):
        heat = sum(unit.heat_w or 0 for unit in known if unit.place == place)
        mains = sum(unit.mains_w or 0 for unit in known if unit.place == place)
        rows.append((place, number(heat), f"{float(btu_per_hour(Decimal(repr(heat)))):,.0f}", number(mains)))
    if not rows:
        return []
    shown = table(("place", "heat W", "BTU/h", "mains W"), rows, (False, True, True, True), WIDEST)
    return ["Heat and mains draw of each place, at what is reserved", *shown]


def bar(unit: Unit, width: int) -> str:
    """A unit's load as a bar of plain characters: full where all of its budget is reserved, blank where it has none."""
    if not unit.budget_w or unit.reserved_w is None:
        return "[" + " " * width + "]"
    filled = min(width, -(-int(unit.reserved_w * 1000) * width // int(unit.budget_w * 1000)))
    return "[" + "#" * filled + "." * (width - filled) + "]"


def _load_words(unit: Unit) -> str:
    if unit.budget_w is None or unit.reserved_w is None:
        return ""
    share = f"  {100 * unit.reserved_w / unit.budget_w:.0f} %" if unit.budget_w else ""
    return f"{number(unit.reserved_w)} of {number(unit.budget_w)} W{share}"


def _fit(text: str, width: int) -> str:
    text = clean(text)
    return text.ljust(width) if len(text) <= width else text[: width - 2] + ".."


def _powered_by(kit: Kit, unit: Unit) -> list[str]:
    """What a unit's ports power or connect: devices, then fed switches."""
    found = [one.device for one in kit.connections if (one.injector or one).unit == unit.unit]
    return found + [one.unit for one in kit.units if one.fed_by and (one.fed_by.injector or one.fed_by).unit == unit.unit]


def _led_to(kit: Kit, unit: Unit) -> list[str]:
    """The injectors a switch carries the data of."""
    runs: list[Connection | FedBy] = [*kit.connections, *(one.fed_by for one in kit.units if one.fed_by)]
    injectors = [run.injector.unit for run in runs if run.injector and run.unit == unit.unit]
    return [f"data of {name}" + (f" x {number}" if number > 1 else "") for name, number in Counter(injectors).items()]


def _plugs(kit: Kit, width: int, *, written: bool) -> list[str]:
    if not kit.units:
        return []
    lines = ["What plugs in where"]
    for unit in kit.units:
        on_it = [*ranges(_powered_by(kit, unit)), *_led_to(kit, unit)]
        lines += wrapped(f"{unit.unit} ({unit.model}): ", ", ".join(on_it) or "nothing yet", width)
    rest = (
        "The schedules hold every port, cable and reading."
        if written
        else "--out DIR writes the schedules of every port, cable and reading."
    )
    return [*lines, f"  {rest}"]


def ranges(names: Iterable[str]) -> list[str]:
    """Names with their numbered runs drawn together: cam.1, cam.2, cam.3 as cam.1-3."""
    split = [re.fullmatch(r"(.+\.)([1-9][0-9]*)", name) or name for name in names]
    keys = sorted((one[1], int(one[2])) if isinstance(one, re.Match) else (one, 0) for one in split)
    runs: list[str] = []
    for (base, _), group in groupby(enumerate(keys), key=lambda item: (item[1][0], item[1][1] - item[0])):
        numbers = [key[1] for _, key in group]
        last = f"-{numbers[-1]}" if len(numbers) > 1 else ""
        runs.append(f"{base}{numbers[0]}{last}" if numbers[0] else base)
    return runs


def why_text(why: Why, width: int) -> Iterator[list[str]]:
    """Why the kit is as it is, a block each."""
    lines = [f"{one.model}{f' in {one.place}' if one.place else ''}: {one.text}; {one.without_text}" for one in why.lines]
    close = (one for one in why.binding[:MOST_LIMITS] if one.pct >= CLOSE_PCT)
    blocks = {
        "Why each line is there": lines,
        f"Limits used to {CLOSE_PCT} % or more": [_limit_words(one) for one in close],
        "Why devices hang where they do": [f"{one.device}: {one.text}" for one in why.devices],
        "What would be cheaper": [one.text for one in why.cheaper],
        "What looks odd": list(why.odd),
        "": [] if why.complete else ["Not everything was looked at in the time allowed: --time-limit gives more."],
    }
    yield from (_bullets(heading, words, width) for heading, words in blocks.items() if words)


def _limit_words(one: Binding) -> str:
    return f"{one.where}: {one.what} {number(one.used)} of {number(one.limit)} {one.unit}".rstrip() + f" ({number(one.pct)} %)"


def _findings(findings: Iterable[Finding], width: int) -> Iterator[list[str]]:
    listed = list(findings)
    for severity, heading in HEADINGS.items():
        words = [f"{one.where}: {one.message}" if one.where else one.message for one in listed if one.severity is severity]
        if words:
            yield _bullets(heading, words, width)


def _bullets(heading: str, words: Iterable[str], width: int) -> list[str]:
    return [heading, *(line for word in words for line in wrapped("- ", word, width))]


def wrapped(lead: str, text: str, width: int) -> list[str]:
    """Text cut into lines of the width, the first after its lead, all a little indented."""
    lines, line = [], f"  {clean(lead).strip()}".rstrip() or " "
    for word in clean(text).split():
        if len(line) + 1 + len(word) > width and line.strip():
            lines.append(line)
            line = "   "
        line = f"{line} {word}"
    return [*lines, line]
