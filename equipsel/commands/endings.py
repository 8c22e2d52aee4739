"""How commands end: exit codes, and problems in words instead of tracebacks."""

from collections.abc import Iterator
from contextlib import contextmanager
from enum import IntEnum

import typer

from equipsel.commands.speech import complain
from equipsel.files import InputError, OutputError

BY_CTRL_C = 130
"""Exit code of a command that Ctrl-C ended before it had an answer (the shell's convention)."""


class Ending(IntEnum):
    """Exit codes."""

    DONE = 0
    BUG = 1
    WRONG_INPUT = 2
    NO_KIT = 3
    STOPPED = 4
    RULES_BROKEN = 5


@contextmanager
def plain_endings() -> Iterator[None]:
    """End with exit code 2 and every problem on standard error where an input or an output folder is wrong."""
    try:
        yield
    except InputError as error:
        complain(error.problems)
        raise typer.Exit(Ending.WRONG_INPUT) from None
    except OutputError as error:
        complain([error])
        raise typer.Exit(Ending.WRONG_INPUT) from None
    except KeyboardInterrupt:
        complain(["stopped"])
        raise typer.Exit(BY_CTRL_C) from None
