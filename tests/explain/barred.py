"""A model kept out of one place by the tables alone: the place asks for what it does not bear, and everything else does."""

from decimal import Decimal
from typing import Any

from equipsel.feeds.fits import fits
from equipsel.scenario import Place
from equipsel.site import Site
from equipsel.variants import with_tables, with_values

HOT, HOTTER = Decimal(98), Decimal(99)
TABLES = ("switches", "supplies", "injectors")


def barred(site: Site, place: str, model: str) -> Site:
    """The site with a model that fits everywhere as before but in that place; every other fits as before. Raises where that cannot be."""
    dry = all(row.ip is None for row in site.scenario.place.values())
    changed = (_by_ip if dry else _by_heat)(site, place, model)
    wrong = [key for key, fit in _fitting(changed).items() if fit is not (_fitting(site)[key] and key != (place, model))]
    assert not wrong, wrong
    return changed


def _by_ip(site: Site, place: str, model: str) -> Site:
    """Where no place asks for any ingress protection, one does, and everything but the model has it."""
    tables: dict[str, Any] = {
        name: tuple(with_values(row, ip=(0, 0) if row.model == model else (1, 0)) for row in getattr(site.catalog, name)) for name in TABLES
    }
    return with_tables(site, **tables, places=_with(site, place, ip=(1, 0)))


def _by_heat(site: Site, place: str, model: str) -> Site:
    """The place gets hot, and what fits it bears that, but for the model."""
    spot = site.scenario.place[place]
    tables: dict[str, Any] = {
        name: tuple(row if row.model == model else _rated(row, spot) for row in getattr(site.catalog, name)) for name in TABLES
    }
    return with_tables(site, **tables, places=_with(site, place, high_c=HOT))


def _with(site: Site, place: str, **values: Any) -> tuple[Place, ...]:
    return tuple(with_values(row, **values) if row.place == place else row for row in site.scenario.place.values())


def _rated(row: Any, spot: Place) -> Any:
    return with_values(row, high_c=HOTTER) if fits(row, spot.ip, spot.low_c, spot.high_c) else row


def _fitting(site: Site) -> dict[tuple[str, str], bool]:
    rows = [row for name in TABLES for row in getattr(site.catalog, name)]
    places = site.scenario.place.values()
    return {(place.place, row.model): fits(row, place.ip, place.low_c, place.high_c) for place in places for row in rows}
