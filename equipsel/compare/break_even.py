"""Break-even: the price at which a model leaves the cheapest kit or enters it, exact to the cent.

The cheapest cost C as a function of one model's price p is the lowest of straight lines, one a kit: what the rest of it costs, plus
p for each one bought. It rises to W, the cost without the model, and stays there. Each search gives the line that is lowest at its
price; where that line meets W is the next price to ask about (Newton's method on a concave function: it never steps too far), until
nothing is saved there. Each step buys fewer of the model, so the steps are few.
"""

from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from typing import Any

from equipsel.catalog import Catalog, Equipment
from equipsel.compare.ask import PRICED, Question, bought, without
from equipsel.compare.stepwise import Searches
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
    UNPROVEN = "not proven"


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


class BreakEvenPrice:
    """The study of one model's price: prices asked for, each once."""

    def __init__(self, question: Question, table: str, model: str) -> None:
        """A site, and a model of one of its tables."""
        self.question, self.table, self.model = question, table, model
        price = _row(question.site.catalog, table, model).price
        self.price_cents = cents(price)
        self.found = BreakEven(model, KINDS[table], price, Verdict.UNPROVEN)
        self.known: dict[int, tuple[int | None, int]] = {}

    def searches(self) -> Searches[None]:
        """At today's price, without the model, and then from price to price until nothing is saved."""
        today, count = yield from self._at(self.price_cents)
        if today is None:
            return self._know(verdict=Verdict.IMPOSSIBLE)
        self._know(count=count)
        least = yield from self._without()
        if least is None:
            return self._know(verdict=Verdict.NEEDED)
        self._know(without=money(least))
        price = yield from self._climb(least, self.price_cents if today < least else 0)
        verdict = Verdict.BOUGHT if today < least else Verdict.NOT_BOUGHT if price else Verdict.NEVER
        return self._know(verdict=verdict, break_even=money(price))

    def _know(self, **facts: Any) -> None:
        self.found = replace(self.found, **facts)

    def _climb(self, least: int, price: int) -> Searches[int]:
        """The lowest price of at least `price` cents at which nothing is saved."""
        while True:
            cost, count = yield from self._at(price)
            assert cost is not None, "a dearer model leaves every kit possible"
            if cost >= least:
                return price
            price += -(-(least - cost) // count)

    def _at(self, price_cents: int) -> Searches[tuple[int | None, int]]:
        """Cost of the cheapest kit (None: there is none) and how many of the model it buys, at a price."""
        if price_cents not in self.known:
            site = _priced(self.question.site, self.table, self.model, price_cents)
            kit, cost = yield replace(self.question, site=site)
            self.known[price_cents] = cost, bought(kit, site, (KINDS[self.table],)).get(self.model, 0)
        return self.known[price_cents]

    def _without(self) -> Searches[int | None]:
        """Cost of the cheapest kit that buys none of it; None: there is none."""
        site, restriction = without(self.question.site, frozenset({self.model}))
        both = replace(restriction, unbought=restriction.unbought | self.question.restriction.unbought)
        _, cost = yield replace(self.question, site=site, restriction=both)
        return cost


def break_even_prices(question: Question) -> list[BreakEvenPrice]:
    """A study for every model the program chooses from, in table order."""
    return [BreakEvenPrice(question, table, row.model) for table in PRICED for row in getattr(question.site.catalog, table)]


def _row(catalog: Catalog, table: str, model: str) -> Equipment:
    found: Equipment = next(row for row in getattr(catalog, table) if row.model == model)
    return found


def _priced(site: Site, table: str, model: str, price_cents: int) -> Site:
    rows = getattr(site.catalog, table)
    made = tuple(with_values(row, price=money(price_cents)) if row.model == model else row for row in rows)
    return with_tables(site, **{table: made})
