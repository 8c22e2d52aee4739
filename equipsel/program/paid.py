"""What an earlier stage has bought and the next one keeps, counted by what it is and where it is.

A run is told by where it starts, where it leads, its length and its cable: cables and extenders stay on the run they were bought for.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from equipsel.program.rows import Counted
from equipsel.scenario import Rules
from equipsel.site import Site

Key = tuple[str, ...]
"""What was bought: its kind first (unit, extender, backup, cable, extra, place, energy), then its model, place, run."""

EQUIPMENT = frozenset({"unit", "extender", "backup"})
"""Kinds that are bought from the catalog to power more devices; a device's own cable, cords and mounts come with the device."""


@dataclass(frozen=True)
class Paid:
    """How many of each were bought before. frozen: no more equipment may be bought."""

    counts: Mapping[Key, Counted] = field(default_factory=dict)
    frozen: bool = False


def run_key(start: str, to: str, run_m: Decimal, cable: str) -> Key:
    """The part of a key that tells a run."""
    return (start, to, str(Fraction(run_m)), cable)


def price_of(key: Key, site: Site) -> Decimal:
    """The price of one, in the currency (of a watt-hour, for energy), installation and piece cost included."""
    kind, catalog, rules = key[0], site.catalog, site.rules
    if kind == "place":
        return site.scenario.place[key[1]].open_cost
    if kind == "extra":
        extra = catalog.extras[int(key[1])]
        return extra.price + extra.install_cost
    if kind == "energy":
        return rules.energy_price_kwh / 1000
    return _equipment_price(key[1], site, rules)


def _equipment_price(model: str, site: Site, rules: Rules) -> Decimal:
    catalog = site.catalog
    for piece in (catalog.switch, catalog.injector, catalog.extender):
        if model in piece:
            return piece[model].price + piece[model].install_cost + rules.piece_cost
    row = catalog.supply.get(model) or catalog.battery[model]
    return row.price + row.install_cost
