"""`equipsel compare`: ways of building a site beside each other. Reads, solves, writes, prints."""

import sys
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from equipsel.commands.endings import BY_CTRL_C, Ending, plain_endings
from equipsel.commands.progress import Ticker
from equipsel.commands.speech import complain, say, say_json
from equipsel.commands.workplace import workplace
from equipsel.console import terminal_width
from equipsel.files import check_writable, write_whole

if TYPE_CHECKING:
    from equipsel.compare.comparison import Comparison


@dataclass(frozen=True, slots=True)
class Request:
    """What was asked for: paths, options, studies of the first option, and how to work and print."""

    scenario: Path
    catalogs: tuple[Path, ...]
    settings: tuple[str, ...]
    only: tuple[str, ...]
    without: tuple[str, ...]
    break_even: bool
    trade_off: bool
    near: int
    within_pct: Decimal
    out: Path | None
    gap: Decimal | None
    time_limit_s: float | None
    workers: int
    cluster: str | None
    as_json: bool


def run(request: Request) -> None:
    """Compare, write the files if a folder is given, print, and end: 0 where any option has a kit, else 3 (4: none in time)."""
    from equipsel.compare.files import FILE_NAMES, comparison_files, comparison_json  # noqa: PLC0415 - waits for no solver
    from equipsel.compare.text import comparison_text  # noqa: PLC0415 - likewise

    with plain_endings():
        if request.out:
            check_writable(request.out, FILE_NAMES)
        found = _compared(request)
        ending = _ending(found)
        if request.out and ending == Ending.DONE:
            write_whole(request.out, comparison_files(found))
        if request.as_json:
            say_json(comparison_json(found))
        else:
            title = found.options[0].site.scenario.title or request.scenario.resolve().name
            say(comparison_text(found, title, terminal_width()))
        if request.out:
            complain(
                [f"Written to {request.out}" if ending == Ending.DONE else f"Nothing is written to {request.out}: no option has a kit"]
            )
    raise typer.Exit(ending)


def _compared(request: Request) -> "Comparison":
    from equipsel.compare.options import Asked, options  # noqa: PLC0415 - the solver loads only once it is needed
    from equipsel.compare.pieces import Studies, compare  # noqa: PLC0415 - likewise

    asked = Asked(request.catalogs, request.settings, request.only, request.without)
    studies = Studies(request.break_even, request.trade_off, request.near, request.within_pct, request.gap, request.time_limit_s)
    with Ticker(sys.stderr) as ticker:
        where = workplace(request.workers, request.cluster)
        return compare(options(request.scenario, asked), studies, where, ticker.count if ticker.shown else None)


def _ending(found: "Comparison") -> int:
    kits = list(found.kits.values())
    if any(kit.cost is not None for kit in kits):
        return Ending.DONE
    if found.interrupted:
        return BY_CTRL_C
    return Ending.STOPPED if any(kit.status == "stopped" for kit in kits) else Ending.NO_KIT
