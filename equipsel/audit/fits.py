"""Whether equipment bears where it stands: ingress protection digit by digit, ambient range end by end."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Protocol

from equipsel.audit.words import say
from equipsel.columns import Ip


class Rated(Protocol):
    """Equipment with an IP code and an ambient range."""

    @property
    def ip(self) -> Ip:
        """Its two digits of ingress protection."""

    @property
    def low_c(self) -> Decimal | None:
        """Lowest rated ambient, C."""

    @property
    def high_c(self) -> Decimal | None:
        """Highest rated ambient, C."""


def ip_faults(item: Rated, needed: Ip | None) -> Iterator[str]:
    """What is wrong with its ingress protection, as the rest of a sentence."""
    if needed and any(have < need for have, need in zip(item.ip, needed, strict=True)):
        yield f"has IP{item.ip[0]}{item.ip[1]}; IP{needed[0]}{needed[1]} is needed"


def ambient_faults(item: Rated, low_c: Decimal | None, high_c: Decimal | None) -> Iterator[str]:
    """What is wrong with its ambient range, as the rest of a sentence."""
    if low_c is not None and (item.low_c is None or item.low_c > low_c):
        yield f"is rated {_stated(item.low_c, 'down to')}; {say(low_c)} C is needed"
    if high_c is not None and (item.high_c is None or item.high_c < high_c):
        yield f"is rated {_stated(item.high_c, 'up to')}; {say(high_c)} C is needed"


def _stated(limit: Decimal | None, words: str) -> str:
    return f"{words} no stated temperature" if limit is None else f"{words} {say(limit)} C"
