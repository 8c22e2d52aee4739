"""`equipsel voltage-drop`: one line, solved. Parses, asks, prints."""

import json
from typing import Annotated

import typer

from equipsel.circuit import CORD_AWG, DEFAULT_AWG, PAIR_UNBALANCE_PCT
from equipsel.standard import LOWEST_PD_V
from equipsel.voltage_drop import Question, QuestionError, answer, as_dict, report

METRES_PER_FOOT = 0.3048
"""The international foot (exact by definition)."""

Option = typer.Option
NO_RUN = "neither --run-m nor --run-ft is given: say how long the run is from port to device, cords included"
TWO_RUNS = "both --run-m and --run-ft are given: give one of them"


def voltage_drop_command(  # noqa: PLR0913, PLR0917 - typer reads one parameter per option
    watts: Annotated[float | None, Option(help="The most the device draws at its own input, W.")] = None,
    class_: Annotated[int | None, Option("--class", help="Its power class, 0-8; alone: the class's most watts.")] = None,
    run_m: Annotated[float | None, Option(help="From port to device, cords included, m.")] = None,
    run_ft: Annotated[float | None, Option(help="The same in feet.")] = None,
    awg: Annotated[int, Option(help="Gauge of the cable.")] = DEFAULT_AWG,
    cca: Annotated[bool, Option("--cca", help="Copper-clad aluminium conductors.")] = False,
    stranded: Annotated[bool, Option("--stranded", help="Stranded conductors all along.")] = False,
    shielded: Annotated[bool, Option("--shielded", help="Screened cable: loses less reach to heat.")] = False,
    pairs: Annotated[int | None, Option(help="Pairs that carry the power, 2 or 4; left out: as the class needs.")] = None,
    volts: Annotated[float | None, Option(help="At the source's port, V; left out: worst case for its watts.")] = None,
    port_w: Annotated[float | None, Option(help="The most the source's port gives, W; left out: as the class needs.")] = None,
    cable_c: Annotated[float, Option(help="Temperature of the conductors, C.")] = 45,
    extender_w: Annotated[list[float] | None, Option(help="Own draw of an extender, W; once for each, source first.")] = None,
    extender_min_volts: Annotated[float, Option(help="Lowest voltage at an extender, V.")] = LOWEST_PD_V,
    span_m: Annotated[float, Option(help="Longest data span, m; an extender stands at the end of each.")] = 100,
    min_volts: Annotated[float | None, Option(help="Lowest voltage at the device, V; left out: its class's.")] = None,
    cord_m: Annotated[float, Option(help="Length of a stranded patch cord at either end, part of the run, m.")] = 0,
    cord_awg: Annotated[int, Option(help="Gauge of the cords.")] = CORD_AWG,
    connectors: Annotated[int, Option(help="Mated connectors along the run.")] = 0,
    unbalance_pct: Annotated[float, Option(help="How much the pairs differ in resistance, %.")] = PAIR_UNBALANCE_PCT,
    efficiency: Annotated[float, Option(help="Of the source's supply and of the battery's inverter.")] = 0.9,
    backup_minutes: Annotated[float, Option(help="To hold on battery, min.")] = 0,
    as_json: Annotated[bool, Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """Solve one line: does the device at its end start and stay up, by how much, and if not, what would help."""
    lengths = [length for length in (run_m, None if run_ft is None else run_ft * METRES_PER_FOOT) if length is not None]
    question = Question(
        run_m=lengths[0] if lengths else 0,
        watts=watts,
        class_=class_,
        awg=awg,
        cca=cca,
        stranded=stranded,
        shielded=shielded,
        pairs=pairs,
        volts=volts,
        port_w=port_w,
        cable_c=cable_c,
        extender_w=tuple(extender_w or ()),
        extender_min_volts=extender_min_volts,
        span_m=span_m,
        min_volts=min_volts,
        cord_m=cord_m,
        cord_awg=cord_awg,
        connectors=connectors,
        unbalance_pct=unbalance_pct,
        efficiency=efficiency,
        backup_minutes=backup_minutes,
    )
    _print_answer(question, {0: [NO_RUN], 1: [], 2: [TWO_RUNS]}[len(lengths)], as_json)


def _print_answer(question: Question, wrong: list[str], as_json: bool) -> None:
    """Print the answer to standard output (exit 0, or 3 if the line does not work), or every problem to standard error (2)."""
    try:
        found = answer(question)
    except QuestionError as error:
        wrong = [*wrong, *error.problems]
    if wrong:
        for problem in wrong:
            typer.echo(problem, err=True)
        raise typer.Exit(2)
    typer.echo(json.dumps(as_dict(found), indent=2, allow_nan=False) if as_json else report(found), nl=as_json)
    if not found.works:
        raise typer.Exit(3)
