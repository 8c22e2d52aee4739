"""A block's program in its counts alone: units of each build, devices served over each run. What is plugged in where is projected out.

The plugs are left to a linear program that asks whether they are possible. Where they are not, its duals tell a row that the counts
must meet (Benders 1962). It allows fractions of plugs, and units are pooled: what is found is a true bound, and a sketch of a kit.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf

from equipsel.feeds.builds import Build
from equipsel.program.adapter import whole
from equipsel.program.alike import StandIns, stand_ins, without_others
from equipsel.program.bins import Bin
from equipsel.program.block_program import Program, program
from equipsel.program.blocks import Block
from equipsel.program.model import Plug, Problem, Refinement, Way
from equipsel.program.parts import Union
from equipsel.program.rows import Exact, Kept, Term, Terms, Variable

Counts = tuple[int, ...]
"""The counts of a block, in the order of its projection."""

Key = tuple[str | int, ...]
"""What a count is of: the units of a build; the devices of a group over a run, or the fed switches of a build, at the same cost each;
else a variable of that name."""

UNITS, RUN, FED, OTHER = "units", "run", "fed", "other"

SUMS = (RUN, FED)

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
    each shared group; units: the count of units of each build, by its position (only those there can be).
    """

    keys: tuple[Key, ...]
    cost: tuple[int, ...]
    high: tuple[float, ...]
    rows: tuple[Row, ...]
    most: tuple[float, ...]
    parts: tuple[tuple[Row, ...], ...]
    served: Mapping[int, tuple[int, ...]]
    units: Mapping[int, int]
    stand_ins: StandIns
    fixed_cents: int
    size: int

    def counts_of(self, solved: Program) -> Counts | None:
        """The counts in a solution of the block's program, whatever was learnt of it; None where it has other variables."""
        found: dict[Key, int] = defaultdict(int)
        keys = _keys(solved, lambda build: self.stand_ins.one_for(solved.model.index[build]))
        for variable in solved.variables:
            if (key := keys.get(variable.name)) is not None:
                found[key] += whole(variable)
        return tuple(found[key] for key in self.keys) if found.keys() <= set(self.keys) else None

    def cost_of(self, counts: Counts) -> int:
        """What counts cost, in cents."""
        return sum(cents * count for cents, count in zip(self.cost, counts, strict=True))

    def served_by(self, counts: Counts) -> dict[int, int]:
        """How many devices of each shared group they serve."""
        found = {group: sum(counts[at] for at in columns) for group, columns in self.served.items()}
        return {group: number for group, number in found.items() if number}


def projected(block: Block) -> Projection:
    """A block's program, its plugs projected out."""
    rows, whole_of = Kept("block"), block.part.problem
    found = stand_ins(whole_of)
    small = _without_idle_uplinks(without_others(whole_of, found))
    full = program(replace(block, part=replace(block.part, problem=small)), Refinement(), rows)
    return _Projecting(full, rows, found, {build: at for at, build in enumerate(whole_of.builds)}).run()


def _without_idle_uplinks(problem: Problem) -> Problem:
    """The problem without its uplinks, where all its devices together are not too much for any."""
    traffic = sum(group.count * Fraction(group.first.device.mbps) for group in problem.groups)
    limits = [build.traffic_mbps for build in problem.builds if build.traffic_mbps is not None]
    if not problem.uplinks or traffic > min(limits, default=traffic):
        return problem
    return replace(problem, uplinks=False)


class _Projecting:
    """The work of `projected`."""

    def __init__(self, full: Program, rows: Kept, found: StandIns, position: Mapping[Build, int]) -> None:
        assert rows.exact is not None, "rows are kept in exact figures"
        self.full, self.exact, self.stand_ins = full, rows.exact, found
        self.least = {
            variable.name: (full.model.least_mbps(plug) / factor, plug.count)
            for plug in full.model.plugs
            if not isinstance(plug.payload, Way)
            for factor, variable in plug.traffic
            if variable is not plug.count
        }
        key_of = _keys(full, position.__getitem__)
        self.at = {key: number for number, key in enumerate(dict.fromkeys(key_of.values()))}
        self.column = {name: self.at[key] for name, key in key_of.items()}
        plugs = [one for one in full.variables if one.name not in self.column]
        self.members: dict[int, list[Variable]] = defaultdict(list)
        for one in full.variables:
            if one.name in self.column:
                self.members[self.column[one.name]].append(one)
        runs = [one for key, at in self.at.items() if key[0] in SUMS for one in self.members[at]]
        self.plug = {one.name: number for number, one in enumerate([*plugs, *runs])}
        self.most = [_most(one) for one in [*plugs, *runs]]

    def run(self) -> Projection:
        cost = _cost(self.full)
        seen = (self._row(row) for row in self.exact if not self._drops(row))
        rows = self._merged([row for row in seen if not _says_nothing(row)])
        return Projection(
            tuple(self.at),
            tuple(cost[self.members[at][0].name] for at in self.at.values()),
            tuple(self._high(key) for key in self.at),
            tuple(row for row in rows if not row.plugs),
            tuple(self.most),
            tuple(_apart(row for row in rows if row.plugs)),
            {group: tuple(sorted({self.column[one.name] for _, one in terms})) for group, terms in self.full.served.items()},
            {int(key[1]): at for key, at in self.at.items() if key[0] == UNITS},
            self.stand_ins,
            self.full.money.fixed_cents,
            len(self.full.variables),
        )

    def _high(self, key: Key) -> float:
        if key[0] == RUN:
            return float(self.full.model.groups[int(key[1])].count)
        return sum(map(_most, self.members[self.at[key]]))

    def _merged(self, rows: list[Row]) -> list[Row]:
        """The rows, and what says that each sum is that of its plugs; sums whose plugs are alike in every row share them."""
        columns: dict[int, list[tuple[int, float]]] = defaultdict(list)
        for number, row in enumerate(rows):
            for plug, factor in row.plugs:
                columns[plug].append((number, factor))
        alike: dict[object, list[tuple[int, list[int]]]] = defaultdict(list)
        for key, at in self.at.items():
            if key[0] in SUMS:
                plugs = sorted((self.plug[one.name] for one in self.members[at]), key=lambda plug: columns[plug])
                alike[tuple(tuple(columns[plug]) for plug in plugs)].append((at, plugs))
        for held in alike.values():
            for at, plug in enumerate(held[0][1]):
                self.most[plug] = sum(self.most[plugs[at]] for _, plugs in held)
        shared = {plug for held in alike.values() for _, plugs in held[1:] for plug in plugs}
        kept = [replace(row, plugs=tuple(entry for entry in row.plugs if entry[0] not in shared)) for row in rows]
        sums = (Row(tuple((at, -1.0) for at, _ in held), tuple((plug, 1.0) for plug in held[0][1]), 0.0, True) for held in alike.values())
        return [*kept, *sums]

    def _row(self, row: Exact) -> Row:
        """A row over the counts alone; where that cannot be, over plugs too."""
        runs: dict[int, list[float]] = defaultdict(list)
        kept: list[tuple[int, float]] = []
        plugs: list[tuple[int, float]] = []
        for factor, variable in self._least_traffic(row.terms):
            at, plug = self.column.get(variable.name), self.plug.get(variable.name)
            if plug is None and at is not None:
                kept.append((at, float(factor)))
            elif plug is not None:
                plugs.append((plug, float(factor)))
                runs[-1 if at is None else at].append(float(factor))
        sums = [(at, factors[0]) for at, factors in runs.items() if self._is_sum(at, factors)]
        if len(sums) == len(runs):
            return Row((*kept, *sums), (), float(row.limit), row.equal)
        return Row(tuple(kept), tuple(plugs), float(row.limit), row.equal)

    def _drops(self, row: Exact) -> bool:
        """Whether a row is left out: one that tells more of what passes through fed switches than the least."""
        return any(variable.name in self.least and (row.equal or factor < 0) for factor, variable in row.terms)

    def _least_traffic(self, terms: Terms) -> Terms:
        """Terms of a row, what passes from a fed switch to the unit above at its least: so much for each switch."""
        found: dict[str, Term] = {}
        for factor, variable in terms:
            times, carrier = self.least.get(variable.name, (1, variable))
            before = found.get(carrier.name, (0, carrier))[0]
            found[carrier.name] = (before + factor * times, carrier)
        return [term for term in found.values() if term[0]]

    def _is_sum(self, run: int, factors: list[float]) -> bool:
        """Whether factors of plugs of a run are a multiple of their sum."""
        return run >= 0 and len(factors) == len(self.members[run]) and len(set(factors)) == 1


def _keys(full: Program, position: Callable[[Build], int]) -> dict[str, Key]:
    """What each variable of a program counts; none for data leads, loads and traffic, which cost nothing. position: of a build."""
    model, cost = full.model, _cost(full)
    units: dict[str, Key] = {item.count.name: (UNITS, position(item.build)) for item in model.bins}
    ways = [(plug.count.name, plug.payload) for plug in model.plugs if isinstance(plug.payload, Way)]
    runs: dict[str, Key] = {name: (RUN, way.group, way.route, cost[name]) for name, way in ways}
    fed = [(plug.count.name, plug.payload) for plug in model.plugs if isinstance(plug.payload, Bin)]
    runs |= {name: (FED, position(item.build), cost[name]) for name, item in fed}
    plugs = {one.name for plug in model.plugs for one in _variables(plug) if one.name not in runs and not cost[one.name]}
    rest = (one.name for one in full.variables if one.name not in plugs)
    return {name: units.get(name) or runs.get(name) or (OTHER, name) for name in rest}


def _cost(full: Program) -> dict[str, int]:
    """What one of each variable costs, in cents."""
    found: dict[str, int] = defaultdict(int)
    for factor, variable in full.money.terms:
        found[variable.name] += int(factor)
    return found


def _most(variable: Variable) -> float:
    return inf if variable.upBound is None else float(variable.upBound)


def _variables(plug: Plug) -> list[Variable]:
    terms: Terms = [(1, plug.count), *plug.load, *plug.traffic]
    return [variable for _, variable in terms]


def _says_nothing(row: Row) -> bool:
    """Whether a row holds whatever is plugged in."""
    return not row.kept and not row.equal and row.limit >= 0 and all(factor <= 0 for _, factor in row.plugs)


def _apart(rows: Iterable[Row]) -> list[tuple[Row, ...]]:
    """Rows in parts that share no plug."""
    together, held = Union(), list(rows)
    for row in held:
        together.join(str(plug) for plug, _ in row.plugs)
    parts: dict[str, list[Row]] = defaultdict(list)
    for row in held:
        parts[together.root(str(row.plugs[0][0]))].append(row)
    return [tuple(part) for part in parts.values()]
