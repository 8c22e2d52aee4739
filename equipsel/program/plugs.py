"""Whether plugs are possible for some counts of units and devices; where not, rows that the counts must meet (Benders 1962)."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from equipsel.program.live import Live, Numbers
from equipsel.program.projection import Row

LEAST = 1e-6
"""A shortage below this is the solver's tolerance (our own limit)."""

UNLIMITED = 1e9
"""What stands for the most of a plug that has none, where rounding is allowed for (our own limit)."""

SAFE = 1e-7
"""By so much of itself, and at least so much, a row is laxer than its duals say: they are floating-point numbers (our own limit)."""


@dataclass(frozen=True, slots=True)
class Condition:
    """What counts must meet for plugs to be possible: factors x columns <= limit."""

    columns: tuple[int, ...]
    factors: tuple[float, ...]
    limit: float

    def broken_by(self, counts: Sequence[float]) -> bool:
        """Whether counts miss it by more than what it is laxer by: else the same might be learnt for ever."""
        worth = sum(factor * counts[at] for at, factor in zip(self.columns, self.factors, strict=True))
        return worth > self.limit + max(LEAST, SAFE * abs(self.limit))


class Plugs:
    """Rows that hold plugs, as a linear program of what is short: nothing where plugs are possible."""

    def __init__(self, rows: Sequence[Row], most: Sequence[float]) -> None:
        """most: of each plug."""
        self.rows = rows
        self.own = {plug: at for at, plug in enumerate(dict.fromkeys(plug for row in rows for plug, _ in row.plugs))}
        self.most = np.array([min(most[plug], UNLIMITED) for plug in self.own])
        self.kept = _entries([row.kept for row in rows])
        self.plugged = _entries([[(self.own[plug], factor) for plug, factor in row.plugs] for row in rows])
        self.asked: Numbers | None = None
        self.most_of: Numbers = np.array([row.limit for row in rows], dtype=np.float64)
        self.equal = np.array([row.equal for row in rows])
        short = len(rows) + sum(row.equal for row in rows)
        count = len(self.own) + short
        self.live = Live([0.0] * len(self.own) + [1.0] * short, [inf] * count)
        following = len(self.own)
        for row in rows:
            missing = [(following, -1.0), (following + 1, 1.0)] if row.equal else [(following, -1.0)]
            following += len(missing)
            terms = [(self.own[plug], factor) for plug, factor in row.plugs] + missing
            self.live.add([at for at, _ in terms], [factor for _, factor in terms], 0.0 if row.equal else -inf, 0.0)

    def lacking(self, counts: Sequence[float], seconds: float) -> Condition | None:
        """What counts do not meet; None where plugs are possible, where time ran out, or where nothing can be said for certain."""
        used = np.bincount(self.kept.row, self.kept.factor * np.asarray(counts)[self.kept.column], len(self.rows))
        left: Numbers = self.most_of - used
        if self.asked is not None and np.array_equal(left, self.asked):
            return None
        self.live.limit(np.where(self.equal, left, -inf), left)
        found = self.live.relax(seconds)
        if found is None:
            return None
        if found.value <= LEAST:
            self.asked = left
            return None
        condition = self._condition(-np.array(found.duals))
        return condition if condition.broken_by(counts) else None

    def _condition(self, duals: Numbers) -> Condition:
        """The rows weighted by their duals: what plugs add to it is never negative, so it holds for the counts alone."""
        weights = np.where(self.equal, duals, np.maximum(duals, 0.0))
        plugs = np.bincount(self.plugged.column, weights[self.plugged.row] * self.plugged.factor, len(self.own))
        limit = float(weights @ self.most_of - np.minimum(plugs, 0.0) @ self.most)
        factors = np.bincount(self.kept.column, weights[self.kept.row] * self.kept.factor)
        used = np.flatnonzero(factors)
        return Condition(tuple(used.tolist()), tuple(factors[used].tolist()), limit + SAFE * max(1.0, abs(limit)))


@dataclass(frozen=True, slots=True)
class _Entries:
    """The entries of rows."""

    row: NDArray[np.int64]
    column: NDArray[np.int64]
    factor: Numbers


def _entries(rows: Sequence[Sequence[tuple[int, float]]]) -> _Entries:
    found = [(at, column, factor) for at, row in enumerate(rows) for column, factor in row]
    at, columns = (np.array([entry[which] for entry in found], dtype=np.int64) for which in (0, 1))
    return _Entries(at, columns, np.array([factor for _, _, factor in found], dtype=np.float64))
