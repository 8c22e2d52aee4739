"""The live line of a search: what it says, and that it is gone afterwards and never written to a file."""

from decimal import Decimal
from io import StringIO

from equipsel.commands.progress import Ticker
from equipsel.solve import Progress


class Screen(StringIO):
    def isatty(self) -> bool:
        return True


def told(*progress: Progress) -> str:
    screen = Screen()
    with Ticker(screen) as ticker:
        for item in progress:
            ticker.tell(item)
    return screen.getvalue()


def test_cost_bound_gap_and_time_left() -> None:
    text = told(Progress(Decimal(2000), Decimal(1950), 12.0, 48.0))
    assert "12 s: best kit 2,000, none can cost less than 1,950, gap 2.50%, 48 s left (Ctrl-C gives the best so far)" in text
    assert text.endswith("\r")


def test_before_there_is_a_kit() -> None:
    assert "no kit yet, none can cost less than 10, 59 s left" in told(Progress(None, Decimal(10), 1.0, 59.0))


def test_parts_are_counted_until_all_are_done() -> None:
    assert "3 of 40 separate parts done" in told(Progress(None, None, 1.0, 59.0, 3, 40))
    assert "best kit 5, none can cost less than 5, gap 0.00%" in told(Progress(Decimal(5), Decimal(5), 1.0, 59.0, 40, 40))


def test_questions_answered_again_are_counted() -> None:
    screen = Screen()
    with Ticker(screen) as ticker:
        ticker.answer(7)
    assert "why: solved again 7 times (Ctrl-C gives what is confirmed)" in screen.getvalue()


def test_nothing_is_shown_where_there_is_no_terminal() -> None:
    stream = StringIO()
    with Ticker(stream) as ticker:
        ticker.tell(Progress(None, None, 1.0))
    assert stream.getvalue() == ""
