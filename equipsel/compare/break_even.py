"""Break-even: the price at which a model leaves the cheapest kit or enters it, exact to the cent.

The cheapest cost C as a function of one model's price p is the lowest of straight lines, one a kit: what the rest of it costs, plus
p for each one bought. It rises to W, the cost without the model, and stays there. Each search gives the line that is lowest at its
price; where that line meets W is the next price to ask about (Newton's method on a concave function: it never steps too far), until
nothing is saved there. Each step buys fewer of the model, so the steps are few.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from equipsel.catalog import Catalog, Equipment
from equipsel.compare.ask import PRICED, Question, Unproven, bought, proven, without
from equipsel.quantities import cents, money
from equipsel.site import Site
from equipsel.variants import with_tables, with_values

KINDS = {"switches": "switch", "supplies": "supply", "injectors": "injector", "extenders": "extender", "backups": "backup"}
"""The kind of line that each table's models make."""


class Verdict(StrEnum):
    """What a model's price decides."""

    BOUGHT = "bought: leaves at this price"
    NOT_BOUGHT = "not bought: enters below this price"
    NEEDED = "needed: no kit without it"
    NEVER = "not bought at any price"
    IMPOSSIBLE = "no kit at all"
    UNPROVEN = "not proven in the time allowed"


@dataclass(frozen=True)
class BreakEven:
    """The lowest price at which the site does without a model at no extra cost: below it, every cheapest kit buys it.

    price: today's; break_even: None where there is none; count: how many a cheapest kit buys today; without: the cost without it.
    """

    model: str
    kind: str
    price: Decimal
    verdict: Verdict
    break_even: Decimal | None = None
    count: int | None = None
    without: Decimal | None = None
    searches: int = 0


@dataclass(frozen=True)
class BreakEvenTask:
    """One model of a site to find the break-even price of; the searches' gap is 0."""

    question: Question
    table: str
    model: str


def break_even_tasks(question: Question) -> list[BreakEvenTask]:
    """One for every model the program chooses from, in table order."""
    return [BreakEvenTask(question, table, row.model) for table in PRICED for row in getattr(question.site.catalog, table)]


def break_even(task: BreakEvenTask) -> BreakEven:
    """The break-even price of one model."""
    row = _row(task.question.site.catalog, task)
    asker = _Asker(task)
    plain = BreakEven(task.model, KINDS[task.table], row.price, Verdict.UNPROVEN)
    try:
        return replace(_settled(asker, plain), searches=asker.searches)
    except Unproven:
        return replace(plain, searches=asker.searches)


def _settled(asker: "_Asker", plain: BreakEven) -> BreakEven:
    today, count = asker.at(cents(plain.price))
    if today is None:
        return replace(plain, verdict=Verdict.IMPOSSIBLE)
    least = asker.without()
    if least is None:
        return replace(plain, verdict=Verdict.NEEDED, count=count)
    known = replace(plain, count=count, without=money(least))
    if today < least:
        return replace(known, verdict=Verdict.BOUGHT, break_even=money(_climb(asker.at, least, cents(plain.price))))
    found = _climb(asker.at, least, 0)
    return replace(known, verdict=Verdict.NOT_BOUGHT if found else Verdict.NEVER, break_even=money(found))


def _climb(cost_at: Callable[[int], tuple[int | None, int]], least: int, price: int) -> int:
    """The lowest price of at least `price` cents at which nothing is saved."""
    while True:
        cost, count = cost_at(price)
        assert cost is not None, "a dearer model leaves every kit possible"
        if cost >= least:
            return price
        price += -(-(least - cost) // count)


class _Asker:
    """Solves a site at prices of one model, each once, and counts the searches."""

    def __init__(self, task: BreakEvenTask) -> None:
        self.task, self.searches = task, 0
        self.known: dict[int, tuple[int | None, int]] = {}

    def at(self, price_cents: int) -> tuple[int | None, int]:
        """Cost of the cheapest kit (None: there is none) and how many of the model it buys, at a price."""
        if price_cents not in self.known:
            site = _priced(self.task.question.site, self.task, price_cents)
            self.known[price_cents] = self._solved(replace(self.task.question, site=site))
        return self.known[price_cents]

    def without(self) -> int | None:
        """Cost of the cheapest kit that buys none of it; None: there is none."""
        site, restriction = without(self.task.question.site, frozenset({self.task.model}))
        both = replace(restriction, unbought=restriction.unbought | self.task.question.restriction.unbought)
        return self._solved(replace(self.task.question, site=site, restriction=both))[0]

    def _solved(self, question: Question) -> tuple[int | None, int]:
        self.searches += 1
        kit, cost = proven(question)
        return cost, bought(kit, question.site, (KINDS[self.task.table],)).get(self.task.model, 0)


def _row(catalog: Catalog, task: BreakEvenTask) -> Equipment:
    found: Equipment = next(row for row in getattr(catalog, task.table) if row.model == task.model)
    return found


def _priced(site: Site, task: BreakEvenTask, price_cents: int) -> Site:
    rows = getattr(site.catalog, task.table)
    made = tuple(with_values(row, price=money(price_cents)) if row.model == task.model else row for row in rows)
    return with_tables(site, **{task.table: made})
