"""What a kit is to keep to beside the rules, when it is asked for in comparison with others."""

from collections.abc import Mapping
from dataclasses import dataclass

Bought = Mapping[str, int]
"""How many of each model of switch, supply, injector and extender are bought, all places together."""


@dataclass(frozen=True)
class Restriction:
    """Models of which only those already there may be used; bills of which a kit may not buy everything, and so must differ.

    unbought_at: the same for models in one place, as (place, model), batteries too; closed: places where nothing may stand.
    """

    unbought: frozenset[str] = frozenset()
    bills: tuple[Bought, ...] = ()
    unbought_at: frozenset[tuple[str, str]] = frozenset()
    closed: frozenset[str] = frozenset()

    @property
    def any(self) -> bool:
        """Whether it restricts anything: then what costs more for the same may be wanted too."""
        return bool(self.of_site or self.unbought_at or self.closed)

    @property
    def of_site(self) -> bool:
        """Whether it is about all places together."""
        return bool(self.unbought or self.bills)


FREE = Restriction()
"""No restriction."""
