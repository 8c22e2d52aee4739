"""Runs benchmarks and prints a table: `python -m tests.benchmarks run --family campus --size 5x40 --seeds 0-4 --limit 60`."""

import csv
import json
import re
import sys
from collections.abc import Iterator
from dataclasses import asdict, fields, replace
from pathlib import Path
from typing import Annotated, Any

import typer

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "outside")]

from chain import Ran, cluster_of, kill_a_worker, press_ctrl_c, run_chain, write_chain  # noqa: E402 (needs the path)
from measure import Case, Measured, measure, measure_here  # noqa: E402 (likewise)
from plot import plot_growth  # noqa: E402 (likewise)
from programs import PROGRAMS  # noqa: E402 (likewise)
from registry import FAMILIES, read_size  # noqa: E402 (likewise)

WIDTHS = {
    "program": 8, "family": 11, "size": 8, "seed": 4, "prices": 6, "basis": 7, "devices": 7, "status": 10, "cost": 12, "bound": 12,
    "gap_pct": 7, "seconds": 8, "user_s": 8, "peak_mib": 8,
}  # fmt: skip

app = typer.Typer(add_completion=False, no_args_is_help=True, pretty_exceptions_enable=False)


def seeds(text: str) -> list[int]:
    """Seeds written 3, 0-4 or 0,2,5-7. Raises ValueError."""
    if not re.fullmatch(r"\d+(-\d+)?(,\d+(-\d+)?)*", text):
        raise ValueError(f"{text!r} are no seeds: write 3, 0-4 or 0,2,5-7")
    found: list[int] = []
    for part in text.split(","):
        low, _, high = part.partition("-")
        found += range(int(low), int(high or low) + 1)
    return found


def line(values: dict[str, Any]) -> str:
    """One line of the table."""
    cells = ("-" if values[name] is None else values[name] for name in WIDTHS)
    return " ".join(f"{_told(cell):>{width}}" for cell, width in zip(cells, WIDTHS.values(), strict=True))


def _told(cell: Any) -> str:
    return f"{cell:,.2f}" if isinstance(cell, float) else str(cell)


@app.command()
def run(  # noqa: PLR0913, PLR0917 - typer reads one parameter per option
    family: Annotated[str, typer.Option(help=" | ".join(FAMILIES))] = "campus",
    size: Annotated[
        str, typer.Option(help="places x devices a place, + masts: 5x40, 30x30+60; several with commas; usual: the family's")
    ] = "",
    seed_numbers: Annotated[str, typer.Option("--seeds", help="3, 0-4 or 0,2,5-7")] = "0",
    limit: Annotated[float, typer.Option(help="seconds for each")] = 60,
    programs: Annotated[str, typer.Option(help="with commas: " + ", ".join(PROGRAMS))] = "tool",
    odd: Annotated[bool, typer.Option(help="prices in odd cents")] = False,
    basis: Annotated[str, typer.Option(help="class, stated or granted; else the family's own")] = "",
    workers: Annotated[int, typer.Option(help="processes of the tool")] = 1,
    out: Annotated[Path | None, typer.Option(help="also write the rows to this CSV file")] = None,
) -> None:
    """Measure programs on sites of a family, each in a fresh process, and print a table."""
    cases = [replace(case, workers=workers) for case in _cases(family, size, seed_numbers, limit, programs, odd, basis)]
    typer.echo(line({name: name for name in WIDTHS}))
    rows = []
    for case in cases:
        rows.append(asdict(measure(case)))
        typer.echo(line(rows[-1]))
    if out is not None:
        with out.open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, [column.name for column in fields(Measured)])
            writer.writeheader()
            writer.writerows(rows)


def _cases(family: str, size: str, seed_numbers: str, limit: float, programs: str, odd: bool, basis: str) -> list[Case]:
    """The cases asked for. Ends the command where one is not known."""
    try:
        known, sizes, names = FAMILIES[family], [], programs.split(",")
        sizes = [str(read_size(text)) for text in size.split(",")] if size else list(known.sizes)
        unknown = [name for name in names if name not in PROGRAMS]
        if unknown:
            raise typer.BadParameter(f"unknown program {unknown[0]!r}: {', '.join(PROGRAMS)}")
        return [
            Case(name, family, text, seed, odd, basis or known.basis, limit)
            for text in sizes
            for seed in seeds(seed_numbers)
            for name in names
        ]
    except KeyError:
        raise typer.BadParameter(f"unknown family {family!r}: {', '.join(FAMILIES)}") from None
    except ValueError as error:
        raise typer.BadParameter(str(error)) from None


@app.command()
def families() -> None:
    """List the families and their usual sizes."""
    for name, family in FAMILIES.items():
        typer.echo(f"{name:12} {', '.join(family.sizes):28} {family.basis:8} {family.about}")


@app.command()
def plot(
    table: Annotated[Path, typer.Argument(help="a CSV file written by run --out")],
    picture: Annotated[Path, typer.Argument(help="the SVG file to write")],
) -> None:
    """Draw seconds and peak memory against devices, from the rows of a CSV file."""
    with table.open(newline="", encoding="utf-8") as file:
        picture.write_text(plot_growth(list(csv.DictReader(file))), encoding="utf-8")


@app.command()
def chain(
    folder: Annotated[Path, typer.Argument(help="an empty folder for the sites and all that is written")],
    sites: Annotated[int, typer.Option(help="how many sites")] = 500,
    devices: Annotated[int, typer.Option(help="devices of each")] = 40,
    broken: Annotated[int, typer.Option(help="of them, sites with a wrong table")] = 0,
    kinds: Annotated[str, typer.Option(help="runs, with commas")] = "one,two,cluster,killed,resumed",
) -> None:
    """One order over many sites: on one and two processes, on a Dask cluster of two, with a worker killed, and interrupted and resumed."""
    where = write_chain(folder, sites, devices, broken)
    runs = {name: ran for kind in kinds.split(",") for name, ran in _chained(kind, where, folder / kind)}
    first, orders = next(iter(runs.values())), {ran.order for name, ran in runs.items() if name != "interrupted"}
    for kind, ran in runs.items():
        memory = " ".join(f"{mib:.0f}" for mib in ran.mib)
        typer.echo(
            f"{kind:11} {ran.seconds:7} s, {ran.done} sites, {ran.sites_per_s / first.sites_per_s:.2f} x, exit {ran.exit_code}; "
            f"MiB by tenths: {memory}"
        )
    typer.echo("the same order in all" if len(orders) == 1 and b"" not in orders else "the orders DIFFER")


def _chained(kind: str, where: Path, out: Path) -> Iterator[tuple[str, Ran]]:
    """The runs of a kind, each with its name."""
    if kind == "cluster":
        with cluster_of(2) as address:
            yield kind, run_chain(where, out, "--cluster", address)
        return
    if kind == "resumed":
        yield "interrupted", run_chain(where, out, "--workers", "2", half_way=press_ctrl_c)
    half_way = kill_a_worker if kind == "killed" else None
    yield kind, run_chain(where, out, "--workers", "1" if kind == "one" else "2", half_way=half_way)


@app.command(hidden=True)
def one(case: str) -> None:
    """One measurement in this process, as JSON."""
    typer.echo(json.dumps(asdict(measure_here(Case(**json.loads(case))))))


if __name__ == "__main__":
    app()
