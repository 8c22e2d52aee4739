"""`equipsel kit SITES_DIR --all`: the kit of every site in a folder, and one order over all of them."""

import json
import sys
from decimal import Decimal
from pathlib import Path

import typer

from equipsel.commands.endings import Ending as Exit
from equipsel.commands.endings import plain_endings
from equipsel.commands.progress import Ticker
from equipsel.commands.speech import complain, say, say_json
from equipsel.commands.workplace import workplace
from equipsel.console import terminal_width
from equipsel.files import write_whole
from equipsel.many.find import find_sites
from equipsel.many.outcome import Ending, Outcome
from equipsel.many.run import Asked, Sites
from equipsel.many.tables import order_files
from equipsel.many.text import sites_text

__all__ = ["Asked", "run"]

EXITS = {
    Ending.FAILED: Exit.BUG,
    Ending.WRONG_INPUT: Exit.WRONG_INPUT,
    Ending.INFEASIBLE: Exit.NO_KIT,
    Ending.STOPPED: Exit.STOPPED,
    Ending.NOT_DONE: Exit.STOPPED,
}
"""The exit code of the gravest ending among all sites, the gravest first; all with a kit: 0."""


def run(folder: Path, asked: Asked, number: int, address: str | None, *, as_json: bool) -> None:
    """Solve every site, write what is asked for, print the order and what went wrong, and end with the gravest exit code."""
    with plain_endings():
        found = find_sites(folder, asked.out)
        ticker = Ticker(sys.stderr)
        sites = Sites(found, asked, lambda _: ticker.show(_progress(sites, len(found))))
        with ticker:
            _solve(sites, number, address)
        outcomes = sites.outcomes()
        if asked.out:
            write_whole(asked.out, order_files(outcomes, sites.results.order))
        _print(sites, outcomes, asked.out, as_json)
    raise typer.Exit(_exit(outcomes))


def _solve(sites: Sites, number: int, address: str | None) -> None:
    """Ctrl-C leaves what is done so far."""
    try:
        with workplace(number, address) as executor:
            sites.run(executor)
    except KeyboardInterrupt:
        return


def _progress(sites: Sites, number: int) -> str:
    done = sites.results.outcomes.values()
    without = sum(not outcome.has_kit for outcome in done)
    return f"{len(done)} of {number} sites done{f', {without} without a kit' if without else ''} (Ctrl-C keeps what is done)"


def _exit(outcomes: list[Outcome]) -> Exit:
    endings = {outcome.ending for outcome in outcomes}
    return next((code for ending, code in EXITS.items() if ending in endings), Exit.DONE)


def _print(sites: Sites, outcomes: list[Outcome], out: Path | None, as_json: bool) -> None:
    order = sites.results.order
    if as_json:
        say_json(json.dumps(_as_dict(outcomes, sites), indent=2, ensure_ascii=False) + "\n")
    else:
        say(sites_text(outcomes, order, terminal_width()))
    if out:
        complain([f"Written to {out}: a folder for each site, sites.csv and order.csv"])


def _as_dict(outcomes: list[Outcome], sites: Sites) -> dict[str, object]:
    order = sites.results.order
    return {
        "sites": [_plain(outcome) for outcome in outcomes],
        "order": [_plain(line) for line in order.lines()],
        "totals": {currency: float(cost) for currency, cost in order.totals().items()},
    }


def _plain(record: object) -> dict[str, object]:
    """The fields of a record for JSON, but for what differs from run to run."""
    cells = ((name, getattr(record, name)) for name in getattr(record, "__slots__", ()) if name != "reused")
    return {name: float(value) if isinstance(value, Decimal) else value for name, value in cells}
