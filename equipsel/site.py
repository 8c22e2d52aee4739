"""A scenario and the catalog it is built from, together: what nearly every question is asked of."""

from dataclasses import dataclass

from equipsel.catalog import Catalog
from equipsel.scenario import Rules, Scenario


@dataclass(frozen=True, slots=True)
class Site:
    """What must be powered, and what can be bought for it."""

    scenario: Scenario
    catalog: Catalog

    @property
    def rules(self) -> Rules:
        """The rules of its scenario."""
        return self.scenario.rules
