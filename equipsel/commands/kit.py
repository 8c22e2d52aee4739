"""`equipsel kit`: the cheapest compliant kit. Reads, solves, writes, prints."""

import sys
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import typer

from equipsel.commands.endings import Ending, plain_endings
from equipsel.commands.progress import Ticker
from equipsel.commands.speech import complain, say, say_json, warn
from equipsel.console import kit_text, terminal_width
from equipsel.files import FILE_NAMES, check_writable, kit_files, read_site, write_whole
from equipsel.kit import Kit, Status
from equipsel.lengths import Lengths
from equipsel.site import Site

ENDINGS = {
    Status.OPTIMAL: Ending.DONE,
    Status.FEASIBLE: Ending.DONE,
    Status.INFEASIBLE: Ending.NO_KIT,
    Status.STOPPED: Ending.STOPPED,
}


@dataclass(frozen=True, slots=True)
class Request:
    """What was asked for: paths, when the search may stop (None: as the rules say), how to print, lengths of the report, processes.

    why: whether to say why the kit is as it is; solving again for that may take as long as the search. certify: whether to add a
    lower bound that can be reckoned again.
    """

    scenario: Path
    catalog: Path | None
    out: Path | None
    gap: Decimal | None
    time_limit_s: float | None
    as_json: bool
    lengths: Lengths = Lengths.METRIC
    workers: int = 1
    why: bool = False
    certify: bool = False

    def seconds(self, site: Site) -> float:
        """How long each search may take."""
        return float(site.rules.time_limit_s) if self.time_limit_s is None else self.time_limit_s


def run(request: Request) -> None:
    """Find the kit, write its files if a folder is given, print it, and end with the exit code of its status."""
    with plain_endings():
        site = read_site(request.scenario, request.catalog)
        warn(site.warnings)
        if request.out:
            check_writable(request.out, FILE_NAMES)
        kit = _solve(site, request)
        written = bool(request.out) and ENDINGS[kit.status] is Ending.DONE
        if request.out and written:
            write_whole(request.out, kit_files(kit, site, request.lengths))
        _print(kit, site, request, written=written)
    raise typer.Exit(ENDINGS[kit.status])


def _solve(site: Site, request: Request) -> Kit:
    from equipsel.solve import AuditFailed, Limits, cheapest_kit  # noqa: PLC0415 - the solver loads only once the tables are right

    ticker = Ticker(sys.stderr)
    try:
        with ticker:
            tell = ticker.tell if ticker.shown else None
            limits = Limits(request.gap, request.time_limit_s, tell, request.workers, again=ticker.answer)
            kit = cheapest_kit(site.scenario, site.catalog, limits)
            kit = _told_why(kit, site, request, ticker) if request.why else kit
            return _certified(kit, site, request) if request.certify else kit
    except AuditFailed as failed:
        complain(["This is a bug in equipsel: the kit it chose breaks a rule when it is checked again. No kit is given.", failed])
        raise typer.Exit(Ending.BUG) from None


def _told_why(kit: Kit, site: Site, request: Request, ticker: Ticker) -> Kit:
    from equipsel.explain.why import with_why  # noqa: PLC0415 - likewise

    return with_why(kit, site, request.seconds(site), ticker.answer)


def _certified(kit: Kit, site: Site, request: Request) -> Kit:
    from equipsel.certificate import certified  # noqa: PLC0415 - likewise

    try:
        return certified(kit, site, request.seconds(site))
    except KeyboardInterrupt:
        return kit


def _print(kit: Kit, site: Site, request: Request, *, written: bool) -> None:
    if request.as_json:
        say_json(kit.to_json())
    else:
        title = site.scenario.title or request.scenario.resolve().name
        say(kit_text(kit, title, terminal_width(), written=written))
    if request.out:
        files = f"Written to {request.out}: {', '.join(FILE_NAMES)}" if written else f"Nothing is written to {request.out}: there is no kit"
        (complain if request.as_json else _say_lines)([files])


def _say_lines(lines: list[str]) -> None:
    say("\n" + "\n".join(lines) + "\n")
