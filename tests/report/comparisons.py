"""A comparison with everything in it, made of one kit; what is compared stands in for what would take long to work out."""

from decimal import Decimal
from fractions import Fraction

from kits import all_odd, hostile_case, odd, scenario_case

from equipsel.compare.ask import bought
from equipsel.compare.break_even import BreakEven, Verdict
from equipsel.compare.comparison import Comparison
from equipsel.compare.near import Near, NearKit
from equipsel.compare.options import Option
from equipsel.compare.trade_off import Curve, Point
from equipsel.kit import Kit
from equipsel.site import Site


def plain_comparison() -> Comparison:
    """Fourteen options of the workshop, as many as need three tables beside each other."""
    kit, site = scenario_case("workshop")
    dearer = kit.model_copy(update={"cost": (kit.cost or 0) + 20, "lower_bound": (kit.lower_bound or 0) + 20})
    options = [Option(f"list {number}", "" if number % 2 else "rules.redundant_supplies=true", site) for number in range(1, 15)]
    options = [Option(f"list {(number + 1) // 2}", one.change, site) for number, one in enumerate(options, 1)]
    kits = {place: dearer if place % 3 else kit for place in range(14)}
    return _told(Comparison(options, kits), kit, site)


def hostile_comparison() -> Comparison:
    """An option with a kit and one refused, with a hostile text in every place for a text."""
    kit, site = hostile_case()
    name = all_odd("list ")
    options = [Option(name, "", site), Option(name, odd(1), site, refusal=all_odd("no ")), Option(name, odd(6), site)]
    return _told(Comparison(options, {0: kit, 2: kit}, interrupted=True), kit, site)


def _told(found: Comparison, kit: Kit, site: Site) -> Comparison:
    cost = Decimal(str(kit.cost))
    steps = [(Fraction(95, 7), cost), (Fraction(30), cost + 40), (Fraction(200, 3), cost + 200)]
    spare = tuple(Point(value, dear, kit) for value, dear in steps)
    models = tuple(Point(Fraction(3 - at), cost + 30 * at, kit) for at in range(3))
    found.curves = {1: Curve("spare", spare, False), 2: Curve("models", models, True)}
    found.near = Near((NearKit(cost, bought(kit, site), kit), NearKit(cost + 5, {odd(7): 2}, kit)), Decimal(3), False, 100, False)
    rows = [(row.model, row.price) for row in site.catalog.switches]
    verdicts = list(Verdict)
    found.break_even = {
        at: BreakEven(model, "switch", price, verdicts[at % len(verdicts)], price + 3, at % 2, cost + at)
        for at, (model, price) in enumerate(rows)
    }
    return found
