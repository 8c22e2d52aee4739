"""The command line: parses, calls, prints. What takes time to load is loaded by the command that needs it."""

import os
import sys
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Annotated

import typer

from equipsel import __version__
from equipsel.commands.speech import open_closed_streams, report_bug
from equipsel.commands.voltage_drop import voltage_drop_command
from equipsel.lengths import Lengths

HELP = "Choose the cheapest compliant switches, supplies, injectors and extenders that power a site over its Ethernet cable."

app = typer.Typer(help=HELP, no_args_is_help=True, add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)

Scenario = Annotated[Path, typer.Argument(metavar="SCENARIO", help="Folder of a scenario, the scenario.toml in it, or an .xlsx workbook.")]
Catalog = Annotated[Path | None, typer.Option(help="Folder or workbook of the catalog; left out: as the scenario says.")]
ALL_CORES = os.cpu_count() or 1
Cluster = Annotated[str | None, typer.Option(metavar="ADDRESS", help="A Dask scheduler to work on, in place of processes here.")]
Workers = Annotated[
    int, typer.Option(min=1, max=256, help="Processes for the separate parts of a large site, or for many sites.", show_default="all cores")
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON to standard output, and nothing else there.")]


KIT_HELP = "The kit: KIT.json or kit.xlsx, ours or made by hand; left out: SCENARIO is a kit.xlsx, which holds its inputs too."
OUT_HELP = "Write kit.json, the schedules, kit.xlsx and report.html into this folder, whole or not at all."


def parse_gap(text: str) -> Decimal:
    """A relative gap. Raises typer.BadParameter unless it is at least 0 and below 1."""
    try:
        gap = Decimal(text)
    except InvalidOperation:
        gap = Decimal(-1)
    if not (gap.is_finite() and 0 <= gap < 1):
        raise typer.BadParameter(f"{text!r} is not a number of at least 0 and below 1; 0.01 stands for 1 %")
    return gap


def parse_pct(text: str) -> Decimal:
    """A percentage, with its sign or without. Raises typer.BadParameter unless it is from 0 to 1000."""
    try:
        pct = Decimal(str(text).strip().removesuffix("%"))  # the default comes as a number
    except InvalidOperation:
        pct = Decimal(-1)
    if not (pct.is_finite() and 0 <= pct <= 1000):
        raise typer.BadParameter(f"{text!r} is not a percentage from 0 to 1000, such as 3%")
    return pct


def parse_folder(text: str) -> Path:
    """A folder to write into. Raises typer.BadParameter for an empty name, which would be the current folder."""
    if not text.strip():
        raise typer.BadParameter("give the folder a name; . stands for this one")
    return Path(text)


def parse_seconds(text: str) -> float:
    """A number of seconds. Raises typer.BadParameter unless it is above 0 and at most a year."""
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0
    if not 0 < seconds <= 366 * 24 * 3600:
        raise typer.BadParameter(f"{text!r} is not a number of seconds above 0")
    return seconds


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"equipsel {__version__}")
        raise typer.Exit


@app.callback()
def options(asked: Annotated[bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")] = False) -> None:
    """Take the options that stand before a command."""


Out = Annotated[Path | None, typer.Option(parser=parse_folder, metavar="DIR", help=OUT_HELP)]


@app.command()
def kit(  # noqa: PLR0913, PLR0917 - typer reads one parameter per option
    scenario: Scenario,
    catalog: Catalog = None,
    out: Out = None,
    gap: Annotated[Decimal | None, typer.Option(parser=parse_gap, help="Relative gap at which the search may stop.")] = None,
    time_limit: Annotated[float | None, typer.Option(parser=parse_seconds, help="Seconds after which the search may stop.")] = None,
    as_json: Json = False,
    why: Annotated[bool, typer.Option("--why", help="Say why this kit: each line, what binds, what would be cheaper.")] = False,
    certify: Annotated[bool, typer.Option("--certify", help="Add to the kit a lower bound that check reckons again exactly.")] = False,
    units: Annotated[Lengths, typer.Option(help="Units of the lengths in report.html.")] = Lengths.METRIC,
    every: Annotated[bool, typer.Option("--all", help="SCENARIO is a folder of scenarios: the kit of each, and one order.")] = False,
    workers: Workers = ALL_CORES,
    cluster: Annotated[str | None, typer.Option(metavar="ADDRESS", help="With --all: a Dask scheduler to work on.")] = None,
) -> None:
    """Choose the cheapest compliant kit for a scenario."""
    if every and (why or certify):
        raise typer.BadParameter("is for one site: leave out --all", param_hint="--why" if why else "--certify")
    if every:
        from equipsel.commands import many  # noqa: PLC0415 - only many sites wait for it

        many.run(scenario, many.Asked(catalog, gap, time_limit, out, units), workers, cluster, as_json=as_json)
    if cluster is not None:
        raise typer.BadParameter("goes with --all: one site is solved on this machine", param_hint="--cluster")
    from equipsel.commands.kit import Request, run  # noqa: PLC0415 - `equipsel --help` waits for no tables

    run(Request(scenario, catalog, out, gap, time_limit, as_json, units, workers, why, certify))


@app.command()
def check(
    scenario: Scenario,
    kit_file: Annotated[Path | None, typer.Argument(metavar="[KIT]", help=KIT_HELP)] = None,
    catalog: Catalog = None,
    as_json: Json = False,
) -> None:
    """Re-check any kit, and list every rule it breaks."""
    from equipsel.commands.check import run  # noqa: PLC0415 - `equipsel --help` waits for no tables

    run(scenario, kit_file, catalog, as_json)


@app.command()
def new(
    target: Annotated[str, typer.Argument(metavar="DIR | FILE.xlsx", help="A new folder for CSV tables, or a new workbook.")],
) -> None:
    """Write starter tables, a scenario and its catalog, that run as they are; nothing is ever overwritten."""
    from equipsel.commands.new import run  # noqa: PLC0415 - `equipsel --help` waits for no tables

    run(parse_folder(target))


@app.command()
def compare(  # noqa: PLR0913, PLR0917 - typer reads one parameter per option
    scenario: Scenario,
    catalog: Annotated[list[Path] | None, typer.Option(help="A catalog to compare; again for each. All together are compared too.")] = None,
    change: Annotated[list[str] | None, typer.Option("--set", help="A change to compare, such as rules.spare_watts_pct=20.")] = None,
    without: Annotated[list[str] | None, typer.Option(help="Models that cannot be bought, apart by commas.")] = None,
    only: Annotated[list[str] | None, typer.Option(help="The only models of their tables to be bought, apart by commas.")] = None,
    break_even: Annotated[bool, typer.Option("--break-even", help="The price at which each model leaves or enters.")] = False,
    trade_off: Annotated[bool, typer.Option("--trade-off", help="Cost against spare and against number of models.")] = False,
    near: Annotated[int, typer.Option(min=0, help="So many different kits that cost nearly the same, and how many cost the least.")] = 0,
    within: Annotated[Decimal, typer.Option(parser=parse_pct, help="How nearly, in percent of the cheapest.")] = Decimal(0),
    out: Annotated[
        Path | None,
        typer.Option(parser=parse_folder, metavar="DIR", help="Write a page, a workbook, tables and JSON here, whole or not at all."),
    ] = None,
    gap: Annotated[Decimal | None, typer.Option(parser=parse_gap, help="Relative gap at which the search of an option may stop.")] = None,
    time_limit: Annotated[float | None, typer.Option(parser=parse_seconds, help="Seconds after which each search may stop.")] = None,
    workers: Workers = ALL_CORES,
    cluster: Cluster = None,
    as_json: Json = False,
) -> None:
    """Compare catalogs and changes side by side: every catalog as it is, then under each change."""
    from equipsel.commands.compare import Request, run  # noqa: PLC0415 - `equipsel --help` waits for no tables

    catalogs, changes = tuple(catalog or ()), tuple(change or ())
    limited = tuple(only or ()), tuple(without or ())
    run(
        Request(scenario, catalogs, changes, *limited, break_even, trade_off, near, within, out, gap, time_limit, workers, cluster, as_json)
    )


@app.command()
def grow(  # noqa: PLR0913, PLR0917 - typer reads one parameter per option
    scenario: Scenario,
    catalog: Catalog = None,
    add: Annotated[list[str] | None, typer.Option(help="A stage, such as camera=8, camera=20% or kind:camera=8;phone=2.")] = None,
    change: Annotated[list[str] | None, typer.Option("--set", help="What if: a change such as devices.dome.watts=40.")] = None,
    curve: Annotated[list[str] | None, typer.Option(help="Least cost against so many added, such as kind:camera=20.")] = None,
    prove: Annotated[bool, typer.Option("--prove", help="Search every point of a curve until it is proven, however long.")] = False,
    reach: Annotated[bool, typer.Option(help="How many more of each kind today's kit takes, and what comes next.")] = True,
    out: Annotated[
        Path | None, typer.Option(parser=parse_folder, metavar="DIR", help="Write every table here, whole or not at all.")
    ] = None,
    gap: Annotated[Decimal | None, typer.Option(parser=parse_gap, help="Relative gap at which a search may stop.")] = None,
    time_limit: Annotated[float | None, typer.Option(parser=parse_seconds, help="Seconds after which each search may stop.")] = None,
    workers: Workers = ALL_CORES,
    cluster: Cluster = None,
    as_json: Json = False,
) -> None:
    """What growth costs: now, at each stage of the growth table or of --add, and how far today's kit reaches."""
    from equipsel.commands.grow import Request, run  # noqa: PLC0415 - `equipsel --help` waits for no tables
    from equipsel.growth.ask import Written  # noqa: PLC0415 - likewise

    written = Written(scenario, catalog, tuple(add or ()), tuple(change or ()), tuple(curve or ()), reach, gap, time_limit, prove)
    run(Request(written, out, workers, cluster, as_json))


@app.command()
def tables(as_json: Json = False) -> None:
    """Print every table and column: unit, default, what it takes, meaning."""
    from equipsel.commands.tables import run  # noqa: PLC0415 - `equipsel --help` waits for no tables

    run(as_json)


app.command("voltage-drop")(voltage_drop_command)


def main() -> None:
    """Run the command line. Whatever is unforeseen ends with exit code 1 and says that it is a bug."""
    open_closed_streams()
    sys.excepthook = report_bug
    typer.main.get_command(app)(prog_name="equipsel")


if __name__ == "__main__":
    main()
