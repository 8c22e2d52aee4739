"""Whether equipment may stand somewhere: ingress protection digit by digit, and its ambient range against the place's."""

from decimal import Decimal
from typing import Protocol

from equipsel.columns import Ip


class Rated(Protocol):
    """Equipment with an IP code and an ambient range."""

    @property
    def ip(self) -> Ip:
        """Its IP code."""

    @property
    def low_c(self) -> Decimal | None:
        """Lowest rated ambient, C."""

    @property
    def high_c(self) -> Decimal | None:
        """Highest rated ambient, C."""


def fits(item: Rated, ip: Ip | None, low_c: Decimal | None, high_c: Decimal | None) -> bool:
    """Whether an item bears a place's ingress and ambient; an unstated range does not fit a stated one."""
    if ip is not None and (item.ip[0] < ip[0] or item.ip[1] < ip[1]):
        return False
    if low_c is not None and (item.low_c is None or item.low_c > low_c):
        return False
    return high_c is None or (item.high_c is not None and item.high_c >= high_c)
