"""Tells on the terminal how a search goes, on one line that is gone afterwards."""

from decimal import Decimal
from typing import Protocol, Self, TextIO


class Progress(Protocol):
    """Where a search stands."""

    @property
    def cost(self) -> Decimal | None:
        """Cost of the best kit so far."""

    @property
    def bound(self) -> Decimal | None:
        """What no kit can cost less than."""

    @property
    def gap(self) -> float | None:
        """What the best kit may cost too much, relative to its cost."""

    @property
    def seconds(self) -> float:
        """Seconds since the search began."""

    @property
    def left_s(self) -> float:
        """Seconds left until its limit."""

    @property
    def done(self) -> int:
        """Parts of the site searched so far."""

    @property
    def parts(self) -> int:
        """Parts of the site that have nothing to do with each other."""


class Ticker:
    """A line on standard error, shown only where that is a terminal."""

    def __init__(self, stream: TextIO) -> None:
        """Write to this stream."""
        self.stream = stream
        self.shown = stream.isatty()
        self.length = 0

    def __enter__(self) -> Self:
        """Begin."""
        return self

    def __exit__(self, *_: object) -> None:
        """Clear the line."""
        self.show("")

    def tell(self, progress: Progress) -> None:
        """Show where the search stands."""
        self.show(f"{progress.seconds:.0f} s: {_words(progress)}, {progress.left_s:.0f} s left (Ctrl-C gives the best so far)")

    def count(self, done: int, of: int) -> None:
        """Show how many pieces of work are done."""
        self.show(f"{done} of {of} done (Ctrl-C gives what is done; twice: at once)")

    def answer(self, answered: int) -> None:
        """Show how many sites have been solved again to say why."""
        self.show(f"why: solved again {answered} times (Ctrl-C gives what is confirmed)")

    def show(self, text: str) -> None:
        """Show a line in place of the last one."""
        if self.shown and (text or self.length):
            self.stream.write("\r" + text.ljust(self.length) + ("" if text else "\r"))
            self.stream.flush()
            self.length = len(text)


def _words(progress: Progress) -> str:
    if progress.parts > 1 and progress.done < progress.parts:
        return f"{progress.done} of {progress.parts} separate parts done"
    best = "no kit yet" if progress.cost is None else f"best kit {progress.cost:,}"
    bound = "" if progress.bound is None else f", none can cost less than {progress.bound:,}"
    gap = "" if progress.gap is None else f", gap {progress.gap:.2%}"
    return best + bound + gap
