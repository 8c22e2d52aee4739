"""A model kept out of one place by the tables alone: the place gets hotter than it bears, everything else bears that."""

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
    spot = site.scenario.place[place]
    tables: dict[str, Any] = {
        name: tuple(_rated(row, spot) if row.model != model else row for row in getattr(site.catalog, name)) for name in TABLES
    }
    places = tuple(with_values(row, high_c=HOT) if row.place == place else row for row in site.scenario.place.values())
    changed = with_tables(site, **tables, places=places)
    wrong = [key for key, fit in _fitting(changed).items() if fit is not (_fitting(site)[key] and key != (place, model))]
    assert not wrong, wrong
    return changed


def _rated(row: Any, spot: Place) -> Any:
    return with_values(row, high_c=HOTTER) if fits(row, spot.ip, spot.low_c, spot.high_c) else row


def _fitting(site: Site) -> dict[tuple[str, str], bool]:
    rows = [row for name in TABLES for row in getattr(site.catalog, name)]
    places = site.scenario.place.values()
    return {(place.place, row.model): fits(row, place.ip, place.low_c, place.high_c) for place in places for row in rows}
