"""What is said of each line of the scenarios is exact: the line is kept out by other means, the site solved again, the costs compared."""

from decimal import Decimal

import pytest
from barred import barred

from equipsel.explain.lines import REMOVABLE
from equipsel.explain.why import with_why
from equipsel.files import read_site
from equipsel.kit import Kit, Line, LineReason
from equipsel.program.restriction import Restriction
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit
from equipsel.variants import with_tables, with_values

LONG = 1800.0


def without(site: Site, line: LineReason) -> Kit:
    """The cheapest kit without a line: by the tables where they can say so, else by a restriction."""
    limits, place = Limits(time_limit_s=LONG, reasons_s=0), line.place or ""
    if line.kind == "place":
        sealed = tuple(with_values(row, ip=(6, 9)) if row.place == place else row for row in site.scenario.place.values())
        return cheapest_kit(with_tables(site, places=sealed).scenario, site.catalog, limits)
    if line.kind in {"switch", "supply", "injector"} and not site.owned()[place, line.model]:
        changed = barred(site, place, line.model)
        return cheapest_kit(changed.scenario, changed.catalog, limits)
    if line.kind == "backup":
        places = {row.place for row in site.scenario.devices if row.backup}
        if places == {place}:
            changed = with_tables(site, backups=tuple(row for row in site.catalog.backups if row.model != line.model))
            return cheapest_kit(changed.scenario, changed.catalog, limits)
    return cheapest_kit(site.scenario, site.catalog, limits, Restriction(unbought_at=frozenset({(place, line.model)})))


def check(name: str, seconds: float) -> None:
    site = read_site(f"scenarios/{name}")
    kit = cheapest_kit(site.scenario, site.catalog, Limits(time_limit_s=seconds))
    why = with_why(kit, site, seconds, cheaper=False).why
    assert why is not None
    assert why.complete
    bought = [line for line in kit.lines or () if line.cost]
    assert {(line.kind, line.model, line.place) for line in why.lines} == {(line.kind, line.model, line.place) for line in bought}
    chosen = [line for line in why.lines if line.kind in REMOVABLE]
    for line in chosen:
        again = without(site, line)
        print(name, line.kind, line.model, line.place, line.without_cost, again.cost)
        assert line.exact, line
        assert not [row for row in again.lines or () if _same(row, line) and row.unit_cost]
        more = None if again.cost is None else Decimal(str(again.cost)) - Decimal(str(kit.cost))
        assert more == (None if line.without_cost is None else Decimal(str(line.without_cost))), line


def _same(row: Line, line: LineReason) -> bool:
    return (row.kind, row.model, row.place) == (line.kind, line.model, line.place)


def test_the_workshop() -> None:
    check("workshop", 60)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["yard", "school"])
def test_the_larger_scenarios(name: str) -> None:
    check(name, LONG)
