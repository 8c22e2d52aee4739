"""`equipsel grow`: what more devices cost, in stages and one by one. Reads, solves, writes, prints."""

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from equipsel.commands.endings import BY_CTRL_C, Ending, plain_endings
from equipsel.commands.progress import Ticker
from equipsel.commands.speech import complain, say, say_json, warn
from equipsel.commands.workplace import workplace
from equipsel.console import terminal_width
from equipsel.files import check_writable, write_whole

if TYPE_CHECKING:
    from equipsel.growth.ask import Written
    from equipsel.growth.study import Study


@dataclass(frozen=True, slots=True)
class Request:
    """What was asked for, and how to work and print."""

    written: "Written"
    out: Path | None
    workers: int
    cluster: str | None
    as_json: bool


def run(request: Request) -> None:
    """Study, write the files if a folder is given, print, and end: 0 where today's devices have a kit, else 3 (4: none in time)."""
    from equipsel.growth.files import FILE_NAMES, growth_files, growth_json  # noqa: PLC0415 - waits for no solver
    from equipsel.growth.text import study_text  # noqa: PLC0415 - likewise

    with plain_endings():
        if request.out:
            check_writable(request.out, FILE_NAMES)
        found = _studied(request)
        ending = _ending(found)
        title = found.stages[0].site.scenario.title or request.written.scenario.resolve().name
        if request.out and ending == Ending.DONE:
            write_whole(request.out, growth_files(found, title))
        if request.as_json:
            say_json(growth_json(found))
        else:
            say(study_text(found, title, terminal_width()))
        if request.out:
            where = request.out
            complain([f"Written to {where}" if ending == Ending.DONE else f"Nothing is written to {where}: there is no kit to begin with"])
    raise typer.Exit(ending)


def _studied(request: Request) -> "Study":
    from equipsel.growth.ask import asked  # noqa: PLC0415 - the solver loads only once it is needed
    from equipsel.growth.study import study  # noqa: PLC0415 - likewise

    what = asked(request.written)
    warn(what.stages.notes)
    with Ticker(sys.stderr) as ticker:
        where = workplace(request.workers, request.cluster)
        return study(what, where, ticker.count if ticker.shown else None)


def _ending(found: "Study") -> int:
    today = found.kits.get(0)
    if today is None or (found.interrupted and today.status == "stopped"):
        return BY_CTRL_C
    if today.cost is not None:
        return Ending.DONE
    return Ending.STOPPED if today.status == "stopped" else Ending.NO_KIT
