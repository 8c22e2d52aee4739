"""What is read off a complete arrangement: feeds, chains, what stands where, what it draws from the mains."""

from collections.abc import Iterator
from fractions import Fraction

from exhaustive_site import Feed, Placement, Unit
from oracle_feeds import Chain, exact


class Broken(Exception):  # noqa: N818 (the name says what happened)
    """A rule is broken; `place` is the place that lacks spare ports, where that is the rule."""

    def __init__(self, rule: str, place: str | None = None) -> None:
        super().__init__(rule)
        self.place = place


def feeds_of(units: list[Unit]) -> list[tuple[Unit, Feed]]:
    return [(unit, unit.feed) for unit in units if unit.feed is not None]


def mains_w(unit: Unit, total_mw: int) -> Fraction:
    """What a unit takes in, W, at the lowest efficiency of its supplies."""
    lowest = min((row.efficiency for row in unit.build.supplies), default=unit.build.model.efficiency)
    return (exact(unit.build.model.own_w) + Fraction(total_mw, 1000)) / exact(lowest)


def rack_and_outlets(units: list[Unit]) -> tuple[Fraction, int]:
    """Rack space and mains outlets that the units of a place take."""
    rack = sum((exact(row.rack_u) for unit in units for row in (unit.build.model, *unit.build.supplies)), Fraction(0))
    return rack, sum(len(unit.build.supplies) or 1 for unit in units if not unit.build.fed)


def standing_at(units: list[Unit], place: str) -> list[Unit]:
    return [unit for unit in units if unit.place == place]


def drawn_w(units: list[Unit], reserved: dict[Unit, list[int]]) -> Fraction:
    return sum((mains_w(unit, sum(reserved[unit])) for unit in units if not unit.build.fed), Fraction(0))


def chains_of(units: list[Unit], placements: list[Placement]) -> Iterator[Chain]:
    yield from (placed.chain for placed in placements)
    yield from (feed.chain for _, feed in feeds_of(units))
