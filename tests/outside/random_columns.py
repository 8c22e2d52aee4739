"""Columns that the families of random sites leave at their defaults, filled in at random. All values are invented.

Cables of two pairs, of clad copper, by their ohms; bundles and their limits; what runs outdoors must bear; ratings, rack space,
efficiencies and fitting of everything; circuits; extras.
"""

from collections.abc import Callable
from random import Random
from typing import Any

from random_equipment import price
from random_sites import Pair

from equipsel.catalog import BundleLimit, Cable, Catalog, Extra
from equipsel.columns import Row
from equipsel.scenario import Scenario
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values

SHARE = 0.15
"""How often a column that may be filled is."""

Values = dict[str, Callable[[Random], Any]]


def one_of(*values: Any) -> Callable[[Random], Any]:
    return lambda rng: rng.choice(values)


RATED: Values = {"ip": one_of((2, 0), (4, 4), (6, 6), (6, 7)), "low_c": one_of(None, -40, -10, 5), "high_c": one_of(None, 35, 45, 70)}
PATH: Values = {"path_ip": one_of((4, 4), (6, 5), (6, 7)), "path_low_c": one_of(-40, -20, 0), "path_high_c": one_of(40, 60, 65)}
FITTED: Values = {"install_cost": one_of("3.33", "12.5")}
STANDING: Values = {**RATED, **FITTED, "rack_u": one_of("0.5", 1, 2), "efficiency": one_of("0.8", "0.87", "0.95", 1)}
COLUMNS: dict[str, Values] = {
    "switches": STANDING,
    "supplies": STANDING,
    "injectors": STANDING,
    "extenders": {**RATED, **FITTED, "min_volts": one_of(40, 44, 50)},
    "backups": {**FITTED, "rack_u": one_of(1, 2), "efficiency": one_of("0.8", "0.95")},
    "extras": FITTED,
    "places": {
        "ip": one_of((2, 0), (4, 4), (6, 5)), "low_c": one_of(-20, 0), "high_c": one_of(35, 45), "rack_u": one_of(1, 2, "3.5"),
        "outlets": one_of(1, 2, 4), "open_cost": one_of("9.99", 40),
    },
    "devices": {**PATH, "min_volts": one_of(42, 46, 50), "bundle": one_of(6, 12, 24, 48)},
    "runs": PATH,
}  # fmt: skip
RULES: Values = {"allow_cca": one_of(True), "circuit_load_pct": one_of(50, 80, 100), "span_m": one_of(90, 100)}
KINDS_OF_CABLE: tuple[Values, ...] = (
    {"awg": one_of(28, 26), "pairs": one_of(2), "mbps": one_of(100)},
    {"awg": one_of(24, 26), "material": one_of("cca")},
    {"ohm_per_100m": one_of("5.4", "7.1", "9.38"), "mbps": one_of(1000, 2500)},
    {"awg": one_of(22, 23), "shielded": one_of(True), "install_cost_per_m": one_of("0.35")},
)


def filled(number: int, family: Callable[[int], Pair]) -> Site:
    """A site of a family, the same for the same number, with some of the columns filled that it leaves alone."""
    rng, site = Random(f"columns {number}"), Site(*family(number))
    site = with_rules(site, **_some(rng, RULES))
    site = with_tables(site, cables=(*site.catalog.cables, *_cables(rng)), bundles=_bundles(rng))
    for table, columns in COLUMNS.items():
        site = with_tables(site, **{table: tuple(_filled(rng, row, columns) for row in _rows(site, table))})
    site = with_tables(site, devices=_on_cables(rng, site, "devices"), runs=_on_cables(rng, site, "runs"))
    site = with_tables(site, places=tuple(_on_a_circuit(rng, row) for row in site.scenario.places))
    return _with_an_extra(rng, site)


def _rows(site: Site, table: str) -> tuple[Row, ...]:
    found: tuple[Row, ...] = getattr(site.scenario if table in Scenario.model_fields else site.catalog, table)
    return found


def _some(rng: Random, columns: Values) -> dict[str, Any]:
    return {name: value(rng) for name, value in columns.items() if rng.random() < SHARE}


def _filled(rng: Random, row: Row, columns: Values) -> Row:
    """The row with a few columns filled; half of the rows stay as they are, or hardly a site would have a kit."""
    return with_values(row, **_some(rng, columns)) if rng.random() < 0.5 else row


def _cables(rng: Random) -> list[Cable]:
    chosen = [columns for columns in KINDS_OF_CABLE if rng.random() < 0.5]
    values = [{name: value(rng) for name, value in columns.items()} for columns in chosen]
    return [
        Cable(model=f"kind {at}", price_per_m=price(rng, 10, 90), sold_m=rng.choice((0, 0, 40)), **row) for at, row in enumerate(values)
    ]


def _bundles(rng: Random) -> tuple[BundleLimit, ...]:
    gauges = [gauge for gauge in (22, 23, 24, 26, 28) if rng.random() < SHARE]
    sizes = [(12, "0.45"), (24, "0.3"), (48, "0.2")]
    return tuple(
        BundleLimit(awg=gauge, cables_up_to=size, amps_per_conductor=amps) for gauge in gauges for size, amps in sizes[rng.randint(0, 1) :]
    )


def _on_cables(rng: Random, site: Site, table: str) -> tuple[Row, ...]:
    models = [row.model for row in site.catalog.cables]
    rows = _rows(site, table)
    return tuple(with_values(row, cable=rng.choice(models)) if models and rng.random() < SHARE else row for row in rows)


def _on_a_circuit(rng: Random, row: Row) -> Row:
    return with_values(row, circuit_a="0.5", circuit_v=rng.choice((120, 230, 400))) if rng.random() < SHARE / 2 else row


def _with_an_extra(rng: Random, site: Site) -> Site:
    if rng.random() > SHARE:
        return site
    catalog: Catalog = site.catalog
    kinds = {row.kind for row in site.scenario.devices if row.kind}
    models = {row.model for table in ("switches", "injectors", "extenders", "cables") for row in getattr(catalog, table)}
    per = rng.choice(("port", "device", "unit", "place", "extender", "run"))
    extra = Extra(item="more", price=price(rng, 50, 900), per=per, **{"for": rng.choice([None, *sorted(kinds | models)])})
    return with_tables(site, extras=(*catalog.extras, extra))
