"""Small invented sites whose blocks share devices, and what their kits cost at the least."""

from random import Random
from typing import Any

import pulp
import pytest
from sketch import Row, catalog, device, fed, ports, problem, run, scenario, site, switch

from equipsel.catalog import Catalog
from equipsel.program import cover_rules, rules
from equipsel.program.adapter import Stop, solve
from equipsel.program.block_program import money_of, programs
from equipsel.program.blocks import Blocks
from equipsel.program.model import Problem, Refinement
from equipsel.program.outlines import Outlines
from equipsel.program.projection import Counts
from equipsel.program.rules import build_model
from equipsel.program.search import Search, Ties
from equipsel.scenario import Scenario

CABLE: Row = {"model": "cat", "price_per_m": "0.25", "awg": 24}
SWITCHES = [
    switch("four", 45, 65, ports(4, 30)),
    switch("eight", 80, 130, ports(8, 30)),
    switch("strong", 130, 240, ports(4, 60), ports(4, 30, "weak")),
]
INJECTOR: Row = {"model": "inj", "price": 12, "ports": 1, "port_w": 60}
POLE = fed("pole", 20, 4, ports(3, 15.4), own_w=4)


def ring(places: int, odd: bool = False, **rules: Any) -> tuple[Any, Any]:
    """So many places in a ring, every other row with a choice of the next place."""
    rows, runs = [], []
    for number in range(places):
        for kind, watts in enumerate((6.49, 12.95, 33)):
            name = f"d{number}{kind}"
            rows.append(device(name, watts, f"p{number}", run_m=30, count=1 + (3 * number + 2 * kind) % 4, existing_cable=True))
            if (number + kind) % 2:
                runs.append(run(name, f"p{(number + 1) % places}", 21 if odd else 20))
    cable = CABLE | ({"price_per_m": "0.27"} if odd else {})
    return scenario(*rows, rules=rules, runs=runs), catalog(*SWITCHES, cables=[cable])


def scattered(seed: int, odd: bool = False, injectors: bool = False, poles: bool = False, **rules: Any) -> tuple[Scenario, Catalog]:
    """A few rows of devices in three places, most with a choice of another.

    odd: prices in odd cents; injectors: those are sold too; poles: a mast that only a switch fed from the first place can serve.
    """
    rng = Random(seed)
    rows: list[Row] = []
    runs: list[Row] = []
    for number in range(6):
        home, watts = number % 3, rng.choice((5, 6.49, 12, 25))
        rows.append(device(f"d{number}", watts, f"p{home}", run_m=rng.randint(5, 40), count=rng.randint(1, 4)))
        if rng.random() < 0.7:
            runs.append(run(f"d{number}", f"p{(home + 1) % 3}", rng.randint(5, 40)))
    places: list[Row] = [{"place": f"p{number}"} for number in range(3)]
    tables: dict[str, list[Row]] = {"cables": [CABLE | {"price_per_m": "0.37" if odd else "0.25"}]}
    sold = [row | {"price": row["price"] + 0.01 * rng.randint(1, 99)} if odd else row for row in SWITCHES]
    if injectors:
        sold.append(switch("data", 15, 0, ports(8, 0)))
        tables["injectors"] = [INJECTOR]
    if poles:
        places.append({"place": "mast", "mains": False})
        rows.append(device("cam", 5, "mast", run_m=10, count=4))
        runs.append(run("mast", "p0", 50))
        sold.append(POLE)
    return scenario(*rows, runs=runs, places=places, rules=rules), catalog(*sold, **tables)


def awkward() -> Problem:
    """Two switches hold 200 W of 200 W in all, but not 45 + 35 + 4 x 30 W without splitting a device; and one for the loft's 5 W."""
    rows = [device(f"d{watts}", watts, run_m=0, count=count) for watts, count in ((45, 1), (35, 1), (30, 4))]
    rows.append(device("loft", 5, "loft", run_m=0))
    places: list[Row] = [{"place": "hall"}, {"place": "loft"}]
    described = scenario(*rows, places=places, runs=[run("d30", "loft", 50)], rules={"budget_basis": "stated"})
    return of(described, catalog(switch("s", 50, 100, ports(8, 90)), cables=[{"model": "cat", "price_per_m": 9}]))


def without_rounded_loads(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing but watts pooled over units."""
    monkeypatch.setattr(rules, "RULES", [rule for rule in rules.RULES if rule is not cover_rules.define_rounded_loads])


def of(described: Scenario, bought: Catalog) -> Problem:
    """The problem of a site."""
    return problem(site(described, bought))


def proven(asked: Problem) -> int:
    """What the cheapest kit costs, as one program proves it."""
    found = Search(asked, 0.0, 60, ties=Ties.NONE).run()
    assert found.stop is Stop.PROVEN
    assert found.cost_cents is not None
    return found.cost_cents


def unavoidable(asked: Problem) -> int:
    """What is paid whatever is chosen."""
    return build_model(asked, Refinement())[1].fixed_cents


def solved_in_full(found: Blocks) -> dict[int, Counts]:
    """The counts of the cheapest solution of the programs of all blocks together."""
    items = programs(found.some(range(len(found.all))), found.counts, (), {})
    rows = items[0].model.rows
    rows.problem.setObjective(pulp.lpSum(factor * variable for factor, variable in money_of(items.values())))
    assert solve(rows.problem, 0.0, 60).stop is Stop.PROVEN
    counts = {at: outline.projection.counts_of(items[at]) for at, outline in Outlines(found, None).known.items()}
    return {at: known for at, known in counts.items() if known is not None}
