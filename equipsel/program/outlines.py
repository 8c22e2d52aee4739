"""What is known of the counts of all blocks: their projections, and the conditions that were learnt on the way."""

from collections.abc import Iterable, Mapping

from equipsel.program.blocks import Blocks
from equipsel.program.plugs import Condition
from equipsel.program.projection import projected
from equipsel.program.sketch import Outline
from equipsel.sweep import sweep
from equipsel.workers import Workers


class Outlines:
    """The outline of each block, by number."""

    def __init__(self, blocks: Blocks, executor: Workers | None) -> None:
        """Project every block."""
        self.known = {at: Outline(found) for at, found in sorted(sweep(projected, blocks.all, executor))}

    def some(self, blocks: Iterable[int]) -> dict[int, Outline]:
        """Those of some blocks."""
        return {at: self.known[at] for at in sorted(blocks)}

    def learn(self, conditions: Mapping[int, Iterable[Condition]]) -> None:
        """More conditions that the counts of blocks meet."""
        for at, found in conditions.items():
            before = self.known[at]
            self.known[at] = Outline(before.projection, tuple(dict.fromkeys((*before.conditions, *found))))
