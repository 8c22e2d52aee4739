"""What is known of the counts of all blocks: their projections, and the conditions that were learnt on the way."""

import time
from collections.abc import Iterable, Mapping
from functools import cached_property
from math import inf

from equipsel.program.blocks import Blocks
from equipsel.program.plugs import Condition
from equipsel.program.projection import projected
from equipsel.program.sketch import Outline
from equipsel.sweep import sweep
from equipsel.workers import Workers


class Outlines:
    """The outline of each block, by number."""

    def __init__(self, blocks: Blocks, executor: Workers | None, deadline: float = inf) -> None:
        """Blocks are projected when they are first asked for, as many as there is time for."""
        self.blocks, self.executor, self.deadline = blocks, executor, deadline

    @cached_property
    def known(self) -> dict[int, Outline]:
        """Those of the blocks that there was time for."""
        asked = (block for block in self.blocks.all if time.monotonic() < self.deadline)
        return {at: Outline(found) for at, found in sorted(sweep(projected, asked, self.executor), key=lambda result: result[0])}

    @property
    def complete(self) -> bool:
        """Whether that is every block."""
        return len(self.known) == len(self.blocks.all)

    def some(self, blocks: Iterable[int]) -> dict[int, Outline]:
        """Those of some blocks."""
        return {at: self.known[at] for at in sorted(blocks)}

    def learn(self, conditions: Mapping[int, Iterable[Condition]]) -> None:
        """More conditions that the counts of blocks meet."""
        for at, found in conditions.items():
            before = self.known[at]
            self.known[at] = Outline(before.projection, tuple(dict.fromkeys((*before.conditions, *found))))
