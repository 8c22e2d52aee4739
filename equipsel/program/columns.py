"""Ways for each block to serve some of the shared devices, as columns; and the best mixture of them (Dantzig and Wolfe 1960)."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import pulp

from equipsel.program.adapter import Stop, relaxed, solve, whole
from equipsel.program.projection import Counts
from equipsel.program.rows import Rows, Term, Terms, Variable

Served = Mapping[int, int]
"""How many devices of each shared group."""

Key = tuple[tuple[int, int], ...]
"""The same in the order of the groups."""

Box = Mapping[int, tuple[int, int]]
"""The lowest and the highest price of each shared group, in cents."""


def key_of(served: Served) -> Key:
    """What is served, in the order of the groups."""
    return tuple(sorted(served.items()))


@dataclass
class Columns:
    """The columns known: for each block, what it costs at the least to serve so many of each shared group, in cents.

    counts: how many devices of each shared group there are; home: the block that each belongs to. A column that was only sketched may
    cost more when it is laid out; laid: what it cost then at the least; impossible: what cannot be laid out.
    """

    counts: Mapping[int, int]
    home: Mapping[int, int] = field(default_factory=dict)
    known: dict[int, dict[Key, int]] = field(default_factory=dict)
    counts_of: dict[tuple[int, Key], Counts] = field(default_factory=dict)
    laid: dict[tuple[int, Key], int] = field(default_factory=dict)
    impossible: set[tuple[int, Key]] = field(default_factory=set)

    def add(self, block: int, served: Served, cost: int, counts: Counts | None = None) -> None:
        """Another column, and the counts of the block it was seen with; of columns that serve the same, the cheapest."""
        of_block, key = self.known.setdefault(block, {}), key_of(served)
        if key in of_block and of_block[key] <= cost:
            return
        of_block[key] = cost
        if counts is not None:
            self.counts_of[block, key] = counts

    def start(self, block: int, prices: Mapping[int, int]) -> Counts | None:
        """The counts of the column of a block that costs least at some prices."""
        worth = {
            key: cents - sum(prices.get(group, 0) * number for group, number in key)
            for key, cents in self.known.get(block, {}).items()
            if (block, key) in self.counts_of
        }
        return self.counts_of[block, min(worth, key=worth.__getitem__)] if worth else None

    def prices(self, box: Box, seconds: float) -> tuple[float, dict[int, int]]:
        """The cost of the best mixture, in cents, and what serving one device more of each group is worth in it, within a box.

        A device may be left unserved at the highest price, and served twice for the lowest back; -inf where time ran out.
        """
        program = _Program(self, box)
        value, duals = relaxed(program.rows.problem, seconds)
        return value, {group: round(duals.get(f"shared{group}_served", 0.0)) for group in self.counts}

    def chosen(self, seconds: float, box: Box | None = None) -> dict[int, dict[int, int]]:
        """One column for each block, together the cheapest that serve everything, as far as known as they are laid out; what each serves.

        Nothing where time ran out.
        Within a box what is left unserved goes home afterwards, which leads to columns not yet known. Raises KeyboardInterrupt.
        """
        program = _Program(self, box, laid_out=True)
        answer = solve(program.rows.problem, 0.0, seconds)
        if answer.stop is Stop.INTERRUPTED:
            raise KeyboardInterrupt
        if not answer.found or not self.known.keys() >= set(self.home.values()):
            return {}
        return self._each_once({block: dict(key) for block, key, variable in program.columns if whole(variable)})

    def _each_once(self, found: dict[int, dict[int, int]]) -> dict[int, dict[int, int]]:
        """What each block serves, no device twice: later blocks leave what earlier ones serve; what none serves goes home."""
        left = dict(self.counts)
        for served in found.values():
            for group, number in served.items():
                served[group] = min(number, left[group])
                left[group] -= served[group]
        for group, number in left.items():
            at_home = found[self.home[group]]
            at_home[group] = at_home.get(group, 0) + number
        return {block: {group: number for group, number in served.items() if number} for block, served in found.items()}


class _Program:
    """The program over columns: one for each block, every shared device served; within a box, or served twice for nothing.

    laid_out: at what they cost laid out, where that is known; else as sketched.
    """

    def __init__(self, columns: Columns, box: Box | None = None, *, laid_out: bool = False) -> None:
        self.rows = Rows("columns")
        self.columns: list[tuple[int, tuple[tuple[int, int], ...], Variable]] = []
        served: dict[int, Terms] = {group: [] for group in columns.counts}
        cost: Terms = []
        for block, known in columns.known.items():
            one: Terms = []
            for number, (key, cents) in enumerate(known.items()):
                most = 0 if laid_out and (block, key) in columns.impossible else 1
                column = self.rows.variable(f"column_{block}_{number}", 0, most)
                self.columns.append((block, key, column))
                one.append((1, column))
                cost.append((columns.laid.get((block, key), cents) if laid_out else cents, column))
                for group, count in key:
                    served[group].append((count, column))
            self.rows.equal(f"block{block}", one, 1)
        for group, terms in served.items():
            twice: Term = (-1, self.rows.variable(f"twice_{group}"))
            unserved: Terms = []
            if box is not None:
                low, high = box[group]
                unserved = [(1, self.rows.variable(f"unserved_{group}"))]
                cost += [(-low, twice[1]), (high, unserved[0][1])]
            self.rows.equal(f"shared{group}-served", [*terms, twice, *unserved], columns.counts[group])
        self.rows.problem.setObjective(pulp.lpSum(factor * variable for factor, variable in cost))
