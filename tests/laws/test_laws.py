"""Laws that hold whatever the site: each said in its name, with the rules under which it can fail and is therefore not asked.

All sites are random and invented. EQUIPSEL_CASES=100 draws a thousand of them for each law.
"""

from decimal import Decimal
from random import Random

from law_sites import cost, kit, law, renamed, shuffled, some_row, with_lengths, with_prices, without_device, without_row

from equipsel.scenario import Owned
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values


@law
def test_a_cheaper_row_never_raises_the_cost(site: Site, random: Random) -> None:
    table, at = some_row(site, random)
    rows = getattr(site.catalog, table)
    cheaper = with_values(rows[at], price=(rows[at].price * random.randint(0, 99) / 100).quantize(Decimal("0.01")))
    assert cost(with_tables(site, **{table: (*rows[:at], cheaper, *rows[at + 1 :])})) <= cost(site)


@law
def test_an_added_row_never_raises_the_cost(site: Site, random: Random) -> None:
    without = without_row(site, *some_row(site, random))
    assert cost(with_tables(site, owned=without.scenario.owned)) <= cost(without)


@law
def test_a_device_less_never_raises_the_cost(site: Site, random: Random) -> None:
    """Not asked under max_critical_share_pct: a share of fewer critical devices may be one device a unit less."""
    site = with_rules(site, max_critical_share_pct=100)
    assert cost(without_device(site, random.randrange(len(site.scenario.devices)))) <= cost(site)


@law
def test_more_spare_watts_or_ports_never_lower_the_cost(site: Site, random: Random) -> None:
    rule = random.choice(("spare_watts_pct", "spare_ports_pct"))
    assert cost(with_rules(site, **{rule: getattr(site.rules, rule) + random.randint(1, 40)})) >= cost(site)


@law
def test_hotter_or_longer_cable_never_lowers_the_cost(site: Site, random: Random) -> None:
    """Not asked with extenders: one on a longer run may draw a class below the device's own, and take a weaker port."""
    site = with_tables(site, extenders=())
    worse = with_rules(site, cable_c=60) if random.random() < 0.3 else with_lengths(site, Decimal(random.randint(101, 150)) / 100)
    assert cost(worse) >= cost(site)


@law
def test_two_sites_that_share_nothing_add_up(site: Site, random: Random) -> None:
    """To a cent a line over the whole site; not asked of max_models, boxed cable and energy, which look at the whole site."""
    cables = tuple(with_values(row, sold_m=0) for row in site.catalog.cables)
    site = with_rules(with_tables(site, cables=cables), max_models=None, energy_price_kwh=0)
    other = without_device(site, random.randrange(len(site.scenario.devices)))
    if not other.scenario.devices:
        other = site
    mine, yours = renamed(site, "a "), renamed(other, "b ")
    tables = {name: (*getattr(mine, name), *getattr(yours, name)) for name in ("places", "devices", "runs", "owned")}
    both, apart = cost(with_tables(site, **tables)), cost(site) + cost(other)
    assert both == apart or abs(both - apart) <= len(cables) + len(site.catalog.extras)


@law
def test_prices_so_many_times_as_high_cost_so_many_times_as_much(site: Site, random: Random) -> None:
    """To half a cent a line before and after, since each is rounded."""
    factor = random.randint(2, 9)
    before, after = kit(site), kit(with_prices(site, factor))
    assert (before.cost is None) == (after.cost is None)
    if before.cost is not None and after.cost is not None:
        rounding = 0.005 * (1 + factor) * max(len(before.lines), len(after.lines))
        assert abs(after.cost - factor * before.cost) <= rounding + 1e-9


@law
def test_the_order_of_rows_and_the_names_do_not_matter(site: Site, random: Random) -> None:
    assert cost(site) == cost(shuffled(Site(renamed(site, "z "), site.catalog), random))


@law
def test_equipment_fed_back_as_owned_saves_at_least_its_price(site: Site, random: Random) -> None:
    found = kit(site)
    if found.cost is None:
        return
    paid = [line for line in found.lines if line.kind in ("switch", "injector", "supply") and random.random() < 0.8]
    rows = tuple(Owned(model=line.model, place=line.place, count=int(line.count)) for line in paid)
    saved = round(sum(line.cost for line in paid) * 100)
    assert cost(with_tables(site, owned=(*site.scenario.owned, *rows))) <= round(found.cost * 100) - saved
