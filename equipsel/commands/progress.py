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
    def seconds(self) -> float:
        """Seconds since the search began."""


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
        best = "no kit yet" if progress.cost is None else f"best kit {progress.cost:,}"
        bound = "" if progress.bound is None else f", none can cost less than {progress.bound:,}"
        self.show(f"{progress.seconds:.0f} s: {best}{bound} (Ctrl-C gives the best so far)")

    def show(self, text: str) -> None:
        """Show a line in place of the last one."""
        if self.shown and (text or self.length):
            self.stream.write("\r" + text.ljust(self.length) + ("" if text else "\r"))
            self.stream.flush()
            self.length = len(text)
