"""What is wrong with an input: where, what was found, and how to mend it. All problems are collected before any is raised."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from difflib import get_close_matches
from enum import IntEnum

from equipsel.files.limits import COMPARED_NAMES, SHOWN_CHARACTERS


class Gravity(IntEnum):
    """How much of the input a problem makes unreadable: the worst first."""

    FILE = 0
    TABLE = 1
    CELL = 2
    SITE = 3


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to mend. `source` is a file or sheet, `row` its row number (the header is row 1), `column` as the user wrote it."""

    gravity: Gravity
    source: str
    row: int | None
    column: str
    wrong: str
    mend: str

    def __str__(self) -> str:
        """The message a user reads, with nothing in it that could disturb a terminal."""
        row = "" if self.row is None else f" row {self.row}"
        column = f", {self.column}" if self.column else ""
        return shown(f"{self.source}{row}{column}: {self.wrong}; {self.mend}")


class InputError(Exception):
    """Inputs that cannot be used; `problems` holds every problem of every table, the worst first."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        """Sort the problems, the worst first; those of one gravity stay in the order they were found."""
        self.problems = tuple(sorted(problems, key=lambda problem: problem.gravity))
        super().__init__("\n".join(str(problem) for problem in self.problems))


def file_problem(source: str, wrong: str, mend: str) -> Problem:
    """A file that cannot be read at all."""
    return Problem(Gravity.FILE, source, None, "", wrong, mend)


def table_problem(source: str, wrong: str, mend: str, row: int | None = None, column: str = "") -> Problem:
    """A table whose layout is wrong."""
    return Problem(Gravity.TABLE, source, row, column, wrong, mend)


def cell_problem(source: str, row: int | None, column: str, wrong: str, mend: str) -> Problem:
    """A cell that does not hold what its column takes."""
    return Problem(Gravity.CELL, source, row, column, wrong, mend)


def site_problem(source: str, row: int | None, column: str, wrong: str, mend: str) -> Problem:
    """Cells that are right one by one and do not fit together."""
    return Problem(Gravity.SITE, source, row, column, wrong, mend)


def more_of(problem: Problem) -> Problem:
    """The announcement that more problems of a kind follow, from the first that is not told."""
    return replace(problem, wrong="more of the same follows", mend="mend these first")


def quoted(text: str) -> str:
    """A cell as it is shown in a message: cut where it is long, with nothing in it that could disturb a terminal."""
    cut = text if len(text) <= SHOWN_CHARACTERS else text[: SHOWN_CHARACTERS - 3] + "..."
    return f"'{shown(cut)}'"


def shown(text: str) -> str:
    """A text with a question mark for every letter that a terminal would not show but obey."""
    return text if text.isprintable() else "".join(letter if letter.isprintable() else "?" for letter in text)


def nearest(name: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """The known name most like a wrong one, whatever its capitals; None if none is like it."""
    by_lower = {one.lower(): one for one in known}
    if name.lower() in by_lower:
        return by_lower[name.lower()]
    if len(by_lower) > COMPARED_NAMES:
        return None
    close = get_close_matches(name.lower()[:200], by_lower, n=1, cutoff=cutoff)
    return by_lower[close[0]] if close else None


def choose_from(known: Iterable[str], shown: int = 8) -> str:
    """The names to choose from in words, not more than a few."""
    names = list(known)
    more = f" ... ({len(names)} in all)" if len(names) > shown else ""
    return ", ".join(names[:shown]) + more


def name_mend(name: str, known: Iterable[str], where: str) -> str:
    """How to mend a name that is not known: the nearest one, or what there is to choose from."""
    names = sorted(known)
    close = nearest(name, names)
    if close:
        return f"did you mean {quoted(close)}?"
    return f"choose one listed in {where}: {choose_from(names)}" if names else f"list it in {where}"
