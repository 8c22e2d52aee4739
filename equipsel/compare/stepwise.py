"""A study of many searches, each depending on those before: one search at a time is done for it, anywhere, and it keeps what it knows."""

from collections.abc import Generator
from dataclasses import replace
from decimal import Decimal
from typing import Generic, Protocol, TypeVar

from equipsel.compare.ask import Question, Unproven, cost_cents, is_proven
from equipsel.kit import Kit

Given = TypeVar("Given")
Found_co = TypeVar("Found_co", covariant=True)

Searches = Generator[Question, tuple[Kit, int | None], Given]
"""Asks a question at a time and is sent the cheapest kit beyond doubt with its cost in cents (None: there is none). Unproven is raised
in it where a search ended before that was proven."""


class Study(Protocol[Found_co]):
    """Something to be found out by searches."""

    @property
    def found(self) -> Found_co:
        """What is known by now."""

    def searches(self) -> Searches[None]:
        """All searches, in their order."""


class Stepwise(Generic[Found_co]):
    """A study on its way. question: the search it waits for (None: it is over), to be solved to the end; answered: how many it has had."""

    def __init__(self, study: Study[Found_co]) -> None:
        """Ask for the first search."""
        self.study, self.answered = study, 0
        self.searches = study.searches()
        self.question: Question | None = replace(next(self.searches), gap=Decimal(0))

    @property
    def found(self) -> Found_co:
        """What is known by now."""
        return self.study.found

    def take(self, kit: Kit) -> None:
        """Take the answer to the question, and ask the next one."""
        self.answered += 1
        try:
            asked = self.searches.send((kit, cost_cents(kit))) if is_proven(kit) else self.searches.throw(Unproven())
        except (StopIteration, Unproven):
            self.question = None
        else:
            self.question = replace(asked, gap=Decimal(0))


def worked_out(study: Study[Found_co]) -> Found_co:
    """What a study finds, all of it searched here."""
    steps = Stepwise(study)
    while steps.question:
        steps.take(steps.question.kit())
    return steps.found
