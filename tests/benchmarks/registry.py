"""What can be measured: families of invented sites, each of many sizes and frozen seeds, and the programs that solve them."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from campus import Site, campus
from masts import masts


@dataclass(frozen=True)
class Size:
    """So many places of so many devices each, and so many masts; written 5x40 or 30x30+60."""

    places: int
    devices: int
    masts: int = 0

    def __str__(self) -> str:
        return f"{self.places}x{self.devices}" + (f"+{self.masts}" if self.masts else "")


def read_size(text: str) -> Size:
    """A size as written. Raises ValueError."""
    found = re.fullmatch(r"(\d+)x(\d+)(?:\+(\d+))?", text)
    if found is None:
        raise ValueError(f"{text!r} is no size: write places x devices a place (5x40), with masts 30x30+60")
    return Size(*(int(part or 0) for part in found.groups()))


@dataclass(frozen=True)
class Family:
    """A family: how a site of a size is made (size, seed, odd prices, budget basis), its usual sizes and basis, what it is."""

    make: Callable[[Size, int, bool, str], Site]
    sizes: tuple[str, ...]
    basis: str
    about: str


def _rooms(share: float) -> Callable[[Size, int, bool, str], Site]:
    return lambda size, seed, odd, basis: campus(size.places, size.devices, share, seed, odd=odd, basis=basis)


def _masts(size: Size, seed: int, odd: bool, basis: str) -> Site:
    return masts(size.places, size.devices, size.masts, seed, odd=odd, basis=basis)


FAMILIES: dict[str, Family] = {
    "room": Family(_rooms(0), ("1x48",), "granted", "one place"),
    "campus": Family(_rooms(0.3), ("3x24", "5x40", "10x50", "40x50"), "granted", "30 % of the groups may use either of two places"),
    "independent": Family(_rooms(0), ("20x50", "200x50", "2000x50"), "granted", "places that share no device"),
    "masts": Family(_masts, ("3x10+6", "10x30+20", "30x30+60"), "class", "a campus with masts fed in up to two steps"),
}
