"""Everything that was asked of a comparison, worked out search by search on several processes; Ctrl-C keeps what is known."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, get_args

from equipsel.compare.ask import Question
from equipsel.compare.break_even import break_even_prices
from equipsel.compare.comparison import Comparison
from equipsel.compare.near import NearKits
from equipsel.compare.options import Option
from equipsel.compare.stepwise import Found_co, Stepwise
from equipsel.compare.trade_off import Axis, TradeOff
from equipsel.kit import Kit
from equipsel.solve import AuditFailed
from equipsel.sweep import PATIENCE_S, sweep
from equipsel.workers import Workplace


@dataclass(frozen=True)
class Studies:
    """What else is asked about the first option, and when a search may stop."""

    break_even: bool = False
    trade_off: bool = False
    near: int = 0
    within_pct: Decimal = Decimal(0)
    gap: Decimal | None = None
    time_limit_s: float | None = None


class OptionSearch:
    """The one search of an option. question: None once it is done."""

    def __init__(self, question: Question) -> None:
        """Ask for its kit."""
        self.question: Question | None = question
        self.kit: Kit | None = None

    def take(self, kit: Kit) -> None:
        """Its kit, proven or not."""
        self.kit, self.question = kit, None


Piece = OptionSearch | Stepwise[Any]


class Pieces:
    """The searches of a comparison: what is asked for at a time, what is under way, and what is known."""

    def __init__(self, options: Sequence[Option], studies: Studies) -> None:
        """Nothing is known yet."""
        self.all = options
        questions = [Question(one.site, one.restriction, studies.gap, studies.time_limit_s) for one in options]
        first = replace(questions[0], reasons_s=0)
        self.options = {place: OptionSearch(questions[place]) for place, one in enumerate(options) if one.refusal is None}
        self.near = Stepwise(NearKits(first, studies.near, studies.within_pct)) if studies.near else None
        self.trade_offs = {place: Stepwise(TradeOff(first, axis)) for place, axis in enumerate(get_args(Axis) if studies.trade_off else ())}
        self.break_evens = {place: Stepwise(one) for place, one in enumerate(break_even_prices(first) if studies.break_even else ())}
        studied = [*([self.near] if self.near else []), *self.trade_offs.values(), *self.break_evens.values()]
        self.pieces: list[Piece] = [*self.options.values(), *studied]
        self.under_way: dict[int, Piece] = {}
        self.given = 0

    def tasks(self) -> Iterator[Question | None]:
        """The searches to do; None where something must come back first."""
        while (piece := self._next()) or self.under_way:
            if piece:
                self.under_way[self.given] = piece
                self.given += 1
            yield piece.question if piece else None

    def _next(self) -> Piece | None:
        """The first piece that waits for a search."""
        busy = set(map(id, self.under_way.values()))
        return next((piece for piece in self.pieces if piece.question and id(piece) not in busy), None)

    def take(self, position: int, kit: Kit) -> None:
        """Keep the answer to a search by its position among those given out."""
        self.under_way.pop(position).take(kit)

    @property
    def left(self) -> int:
        """How many pieces are not over: each takes a search more, or several."""
        return sum(piece.question is not None for piece in self.pieces)

    def comparison(self, *, interrupted: bool = False) -> Comparison:
        """What is known."""
        return Comparison(
            self.all,
            {place: one.kit for place, one in self.options.items() if one.kit},
            _known(self.break_evens),
            _known(self.trade_offs),
            self.near.found if self.near and self.near.answered else None,
            interrupted,
        )


def _known(studies: Mapping[int, Stepwise[Found_co]]) -> dict[int, Found_co]:
    return {place: one.found for place, one in studies.items() if one.answered}


def compare(options: Sequence[Option], studies: Studies, where: Workplace, tell: Callable[[int, int], None] | None = None) -> Comparison:
    """Work out every option and study on an executor (None: here); `tell` is told how many searches are done, of how many known by then."""
    pieces = Pieces(options, studies)
    try:
        with where as executor:
            for done, (position, kit) in enumerate(sweep(_searched, pieces.tasks(), executor, patience_s=PATIENCE_S), 1):
                pieces.take(position, kit)
                if tell:
                    tell(done, done + pieces.left)
    except KeyboardInterrupt:
        return pieces.comparison(interrupted=True)
    return pieces.comparison()


def _searched(question: Question) -> Kit:
    try:
        return question.kit()
    except AuditFailed as failed:
        raise RuntimeError(str(failed)) from None  # its kit does not travel between processes
