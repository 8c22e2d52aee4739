"""How it went with one site, and how it may end."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from equipsel.kit import Kit, Severity, Status
from equipsel.site import Site


class Ending(StrEnum):
    """How it ended with a site: as its kit's status says, or without one because of its tables, a bug, or an interruption."""

    OPTIMAL = Status.OPTIMAL
    FEASIBLE = Status.FEASIBLE
    INFEASIBLE = Status.INFEASIBLE
    STOPPED = Status.STOPPED
    WRONG_INPUT = "wrong input"
    FAILED = "failed"
    NOT_DONE = "not done"


WITH_KIT = frozenset({Ending.OPTIMAL, Ending.FEASIBLE})


@dataclass(frozen=True, slots=True)
class Outcome:
    """One site: its name, title and how it ended; cost and bound in its currency; devices, units and warnings; why there is no kit.

    reused: its kit was there from an earlier run.
    """

    site: str
    ending: Ending
    title: str = ""
    currency: str = ""
    cost: Decimal | None = None
    lower_bound: Decimal | None = None
    devices: int = 0
    units: int = 0
    warnings: int = 0
    messages: tuple[str, ...] = ()
    reused: bool = False

    @property
    def has_kit(self) -> bool:
        """Whether there is something to order."""
        return self.ending in WITH_KIT


def outcome_of(name: str, site: Site, kit: Kit, *, reused: bool = False) -> Outcome:
    """How it went with a site whose tables are right."""
    return Outcome(
        site=name,
        ending=Ending(kit.status.value),
        title=site.scenario.title,
        currency=kit.currency,
        cost=_decimal(kit.cost),
        lower_bound=_decimal(kit.lower_bound),
        devices=sum(device.count for device in site.scenario.devices),
        units=len(kit.units),
        warnings=sum(finding.severity is Severity.WARNING for finding in kit.findings),
        messages=kit.reasons,
        reused=reused,
    )


def _decimal(number: float | None) -> Decimal | None:
    return None if number is None else Decimal(str(number))
