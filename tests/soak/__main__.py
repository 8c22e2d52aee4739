"""Random cases over every rule, as many as are asked for: `python -m tests.soak --small 10000 --filled 2000 --middling 500 --workers 2`."""

import sys
from collections import Counter
from pathlib import Path
from typing import Annotated

import typer

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "outside"), str(HERE.parent / "laws")]

from trials import Case, Verdict, tried  # noqa: E402 (needs the path)

from equipsel.sweep import sweep  # noqa: E402 (likewise)
from equipsel.workers import workers  # noqa: E402 (likewise)

FINE = ("same", "too slow", "no kit", "no CBC here", "CBC alone differs")


def soak(
    small: Annotated[int, typer.Option(help="small cases, beside the exhaustive search")] = 100,
    filled: Annotated[int, typer.Option(help="small cases with more columns filled, likewise")] = 20,
    middling: Annotated[int, typer.Option(help="middling cases, beside CP-SAT")] = 5,
    seed: Annotated[int, typer.Option(help="the number of the first case")] = 0,
    processes: Annotated[int, typer.Option("--workers", help="processes to work on")] = 1,
) -> None:
    """Solve random cases, try everything on each, and count how the trials end; exit 1 where any differs."""
    numbers = {"small": small, "filled": filled, "middling": middling}
    cases = [Case(kind, seed + at) for kind, number in numbers.items() for at in range(number)]
    ends: Counter[tuple[str, str, str]] = Counter()
    wrong: list[Verdict] = []
    with workers(processes) as executor:
        for done, (_, verdict) in enumerate(sweep(tried, cases, executor), 1):
            ends.update((verdict.case.kind, name, end if end in FINE else "DIFFERS") for name, end in verdict.trials.items())
            if any(end not in FINE for end in verdict.trials.values()):
                wrong.append(verdict)
                typer.echo(f"{verdict}", err=True)
            if done % 100 == 0:
                typer.echo(f"{done} of {len(cases)}, {len(wrong)} with a difference", err=True)
    for (kind, name, end), number in sorted(ends.items()):
        typer.echo(f"{kind:9} {name:24} {end:12} {number:7,}")
    raise typer.Exit(1 if wrong else 0)


if __name__ == "__main__":
    app = typer.Typer(add_completion=False, pretty_exceptions_enable=False)
    app.command()(soak)
    app()
