"""What a kit is to keep to beside the rules, when it is asked for in comparison with others."""

from collections.abc import Mapping
from dataclasses import dataclass

Bought = Mapping[str, int]
"""How many of each model of switch, supply, injector and extender are bought, all places together."""


@dataclass(frozen=True)
class Restriction:
    """Models of which only those already there may be used; bills of which a kit may not buy everything, and so must differ."""

    unbought: frozenset[str] = frozenset()
    bills: tuple[Bought, ...] = ()

    @property
    def any(self) -> bool:
        """Whether it restricts anything: then what costs more for the same may be wanted too."""
        return bool(self.unbought or self.bills)


FREE = Restriction()
"""No restriction."""
