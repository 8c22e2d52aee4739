from decimal import Decimal
from itertools import permutations

from equipsel.many.order import Order, Ordered


def line(model: str, count: str, cost: str, unit: str = "10", kind: str = "switch", currency: str = "EUR") -> Ordered:
    return Ordered(kind, model, "", "", currency, Decimal(unit), Decimal(count), Decimal(cost))


LINES = [
    line("b", "2", "20"),
    line("a", "0.1", "1.03", kind="cable"),
    line("b", "1", "10"),
    line("b", "1", "9", unit="9"),
    line("a", "0.2", "2.07", kind="cable"),
]


def test_like_lines_are_added_up_exactly_whatever_their_order() -> None:
    orders = []
    for lines in permutations(LINES):
        order = Order()
        order.add(lines)
        orders.append(order.lines())
    assert all(lines == orders[0] for lines in orders)
    assert [(one.kind, one.model, one.unit_cost, one.count, one.cost, one.sites) for one in orders[0]] == [
        ("switch", "b", 9, 1, 9, 1),
        ("switch", "b", 10, 3, 30, 2),
        ("cable", "a", 10, Decimal("0.3"), Decimal("3.10"), 2),
    ]


def test_each_currency_has_its_own_total() -> None:
    order = Order()
    order.add([*LINES, line("b", "2", "18.5", currency="CHF")])
    assert order.totals() == {"CHF": Decimal("18.5"), "EUR": Decimal("42.10")}
