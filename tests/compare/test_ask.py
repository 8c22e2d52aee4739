from sketch import catalog, device, ports, scenario, switch

from equipsel.compare.ask import Question, bought, cost_cents, without
from equipsel.compare.break_even import Verdict, break_even_prices
from equipsel.compare.stepwise import worked_out
from equipsel.scenario import Owned
from equipsel.site import Site
from equipsel.variants import with_tables

LIST = catalog(switch("four", 50, 60, ports(4, 30)), switch("eight", 90, 130, ports(8, 30)))
SITE = Site(scenario(device("cam", 9, count=6)), LIST)
WITH_OWNED = with_tables(SITE, owned=(Owned(model="four", place="hall", count=1),))


def test_what_is_owned_is_not_bought() -> None:
    kit = Question(WITH_OWNED).kit()
    assert (cost_cents(kit), bought(kit, WITH_OWNED)) == (5000, {"four": 1})


def test_a_model_that_cannot_be_bought_stays_usable_where_it_is() -> None:
    """By hand: one owned four and four more ports from the eight; with two fours bought forbidden, 90 instead of 50."""
    site, restriction = without(WITH_OWNED, frozenset({"four"}))
    kit = Question(site, restriction).kit()
    assert (cost_cents(kit), bought(kit, site)) == (9000, {"eight": 1})
    site, restriction = without(WITH_OWNED, frozenset({"eight"}))
    assert "eight" not in site.catalog.switch
    assert not restriction.any


def test_break_even_by_hand() -> None:
    """Six cameras: one eight for 90 or two fours for 2 x 50: the eight leaves at 100, the four enters below 45."""
    found = {one.model: one for one in map(worked_out, break_even_prices(Question(SITE)))}
    assert (found["eight"].verdict, found["eight"].break_even) == (Verdict.BOUGHT, 100)
    assert (found["four"].verdict, found["four"].break_even) == (Verdict.NOT_BOUGHT, 45)
    alone = with_tables(SITE, switches=SITE.catalog.switches[:1], ports=SITE.catalog.ports[:1])
    assert worked_out(break_even_prices(Question(alone))[0]).verdict is Verdict.NEEDED
