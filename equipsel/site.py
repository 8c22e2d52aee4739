"""A scenario and the catalog it is built from, together: what nearly every question is asked of."""

from collections import Counter
from dataclasses import dataclass, field

from equipsel.catalog import Catalog
from equipsel.scenario import Rules, Scenario


@dataclass(frozen=True, slots=True)
class Site:
    """What must be powered, and what can be bought for it.

    warnings: what was legal but odd in the tables it was read from, in words; it has no bearing on the kit.
    """

    scenario: Scenario
    catalog: Catalog
    warnings: tuple[str, ...] = field(default=(), compare=False)

    @property
    def rules(self) -> Rules:
        """The rules of its scenario."""
        return self.scenario.rules

    def owned(self) -> Counter[tuple[str, str]]:
        """How many of each model are already there, by place and model."""
        found: Counter[tuple[str, str]] = Counter()
        for row in self.scenario.owned:
            found[row.place, row.model] += row.count
        return found
