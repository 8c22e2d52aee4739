"""A block's program in its counts alone: units of each build, devices served over each run. What is plugged in where is projected out.

The plugs are left to a linear program that asks whether they are possible. Where they are not, its duals tell a row that the counts
must meet (Benders 1962). It allows fractions of plugs, and units are pooled: what is found is a true bound, and a sketch of a kit.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from equipsel.program.block_program import Program, program
from equipsel.program.blocks import Block
from equipsel.program.model import Plug, Refinement, Way
from equipsel.program.parts import Union
from equipsel.program.rows import Exact, Rows, Terms, Variable

Counts = tuple[int, ...]
"""The counts of a block, in the order of its projection."""

Entries = tuple[tuple[int, float], ...]
"""Columns and their factors."""


@dataclass(frozen=True, slots=True)
class Row:
    """kept: over the counts that are kept; plugs: over what is projected out; together <= limit, or == limit."""

    kept: Entries
    plugs: Entries
    limit: float
    equal: bool


@dataclass(frozen=True, slots=True)
class Projection:
    """The counts of a block: their cost in cents and most; the rows over them alone, and those that hold plugs too, part by part.

    most: the most of each plug; parts: rows that share no plug with those of another part; served: the counts of devices served of
    each shared group; units: the count of units of each build, by its position; of: which of the program's variables add up to each.
    """

    cost: tuple[int, ...]
    high: tuple[float, ...]
    rows: tuple[Row, ...]
    most: tuple[float, ...]
    parts: tuple[tuple[Row, ...], ...]
    served: Mapping[int, tuple[int, ...]]
    units: tuple[int | None, ...]
    of: tuple[tuple[int, ...], ...]

    def counts(self, values: Sequence[int]) -> Counts:
        """The counts in a solution of the block's program, from the values of its variables in their order."""
        return tuple(sum(values[at] for at in held) for held in self.of)

    def cost_of(self, counts: Counts) -> int:
        """What counts cost, in cents."""
        return sum(cents * count for cents, count in zip(self.cost, counts, strict=True))

    def served_by(self, counts: Counts) -> dict[int, int]:
        """How many devices of each shared group they serve."""
        found = {group: sum(counts[at] for at in columns) for group, columns in self.served.items()}
        return {group: number for group, number in found.items() if number}


def projected(block: Block) -> Projection:
    """A block's program, its plugs projected out."""
    rows = Rows("block", keep=True)
    return _Projecting(program(block, Refinement(), rows), rows).run()


class _Projecting:
    """The work of `projected`."""

    def __init__(self, whole: Program, rows: Rows) -> None:
        assert rows.exact is not None, "rows are kept in exact figures"
        self.whole, self.made, self.exact = whole, rows.made, rows.exact
        self.cost: dict[str, int] = defaultdict(int)
        for factor, variable in whole.money.terms:
            self.cost[variable.name] += int(factor)
        self.of_runs = self._of_runs()
        alone = {name for names in self.of_runs for name in names} | set(self._other_plugs())
        self.plugs = {name: at for at, name in enumerate(one.name for one in self.made if one.name in alone)}
        kept = [one for one in self.made if one.name not in self.plugs]
        self.kept = {one.name: at for at, one in enumerate(kept)}
        self.run_of = {name: at for at, names in enumerate(self.of_runs, len(kept)) for name in names}
        self.high = [inf if one.upBound is None else float(one.upBound) for one in kept]

    def run(self) -> Projection:
        groups = self.whole.model.groups
        of_runs = [(names[0], len(names)) for names in self.of_runs]
        cost = [self.cost[name] for name in self.kept] + [self.cost[name] for name, _ in of_runs]
        high = self.high + [float(groups[self._way(name).group].count) for name, _ in of_runs]
        rows = [self._row(row) for row in self.exact]
        rows += [Row(((at, -1.0),), tuple((self.plugs[name], 1.0) for name in names), 0.0, True) for at, names in self._numbered()]
        most = {one.name: one.upBound for one in self.made}
        return Projection(
            tuple(cost),
            tuple(high),
            tuple(row for row in rows if not row.plugs),
            tuple(inf if most[name] is None else float(most[name]) for name in self.plugs),
            tuple(_apart(row for row in rows if row.plugs)),
            {group: tuple(sorted({self.run_of[one.name] for _, one in terms})) for group, terms in self.whole.served.items()},
            self._units(),
            self._places(),
        )

    def _of_runs(self) -> list[list[str]]:
        """The plugs of a group over a run that cost the same: their sum is what is kept of them."""
        alike: dict[tuple[int, int, int], list[str]] = defaultdict(list)
        self._ways = {plug.count.name: plug.payload for plug in self.whole.model.plugs if isinstance(plug.payload, Way)}
        for name, way in self._ways.items():
            alike[way.group, way.route, self.cost[name]].append(name)
        return list(alike.values())

    def _places(self) -> tuple[tuple[int, ...], ...]:
        """The variables of each count, by their place in the program."""
        place = {one.name: at for at, one in enumerate(self.made)}
        return tuple(tuple(place[name] for name in names) for names in [*([name] for name in self.kept), *self.of_runs])

    def _way(self, name: str) -> Way:
        return self._ways[name]

    def _numbered(self) -> Iterable[tuple[int, list[str]]]:
        return enumerate(self.of_runs, len(self.kept))

    def _other_plugs(self) -> Iterable[str]:
        """Data leads, fed switches, loads and traffic of plugs, where they cost nothing."""
        for plug in self.whole.model.plugs:
            yield from (one.name for one in _variables(plug) if one.name not in self._ways and not self.cost[one.name])

    def _row(self, row: Exact) -> Row:
        """A row over the counts kept; where that cannot be, over the plugs."""
        runs: dict[int, list[float]] = defaultdict(list)
        kept: list[tuple[int, float]] = []
        plugs: list[tuple[int, float]] = []
        for factor, variable in row.terms:
            if variable.name in self.kept:
                kept.append((self.kept[variable.name], float(factor)))
            else:
                plugs.append((self.plugs[variable.name], float(factor)))
                runs[self.run_of.get(variable.name, -1)].append(float(factor))
        sums = [(at, factors[0]) for at, factors in runs.items() if self._is_sum(at, factors)]
        if len(sums) == len(runs):
            return Row((*kept, *sums), (), float(row.limit), row.equal)
        return Row(tuple(kept), tuple(plugs), float(row.limit), row.equal)

    def _is_sum(self, run: int, factors: list[float]) -> bool:
        """Whether factors of plugs of a run are a multiple of their sum."""
        return run >= 0 and len(factors) == len(self.of_runs[run - len(self.kept)]) and len(set(factors)) == 1

    def _units(self) -> tuple[int | None, ...]:
        """The column of the units of each build; None where there can be none."""
        model = self.whole.model
        found = {model.index[item.build]: self.kept[item.count.name] for item in model.bins}
        return tuple(found.get(at) for at in range(len(model.builds)))


def _variables(plug: Plug) -> Iterable[Variable]:
    terms: Terms = [(1, plug.count), *plug.load, *plug.traffic]
    return [variable for _, variable in terms]


def _apart(rows: Iterable[Row]) -> list[tuple[Row, ...]]:
    """Rows in parts that share no plug."""
    together, held = Union(), list(rows)
    for row in held:
        together.join(str(plug) for plug, _ in row.plugs)
    parts: dict[str, list[Row]] = defaultdict(list)
    for row in held:
        parts[together.root(str(row.plugs[0][0]))].append(row)
    return [tuple(part) for part in parts.values()]
