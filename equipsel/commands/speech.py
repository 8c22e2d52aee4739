"""How commands speak: output that survives any terminal, and bugs in words instead of tracebacks."""

import errno
import os
import sys
from collections.abc import Iterable
from types import TracebackType
from typing import TextIO

TRACEBACK = "EQUIPSEL_TRACEBACK"
"""Set to 1 in the environment, it shows where an unforeseen error came from."""


def open_closed_streams() -> None:
    """Open whichever standard stream was closed by whoever started the program (`>&-`) to nowhere, so that no file takes its place."""
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        try:
            os.fstat(number)
        except OSError:
            os.dup2(os.open(os.devnull, os.O_RDWR), number)
            os.set_inheritable(number, True)
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(number, "w" if number else "r", encoding="utf-8", closefd=False))


def say(text: str) -> None:
    """Print text to standard output or, where the terminal lacks a letter, an escape for it."""
    _write(sys.stdout, text.encode(sys.stdout.encoding or "utf-8", errors="backslashreplace"))


def say_json(text: str) -> None:
    """Print JSON to standard output, in UTF-8 whatever the terminal."""
    _write(sys.stdout, text.encode("utf-8"))


def complain(lines: Iterable[object]) -> None:
    """Print lines to standard error, with escapes for what it cannot show."""
    text = "".join(f"{line}\n" for line in lines)
    _write(sys.stderr, text.encode(sys.stderr.encoding or "utf-8", errors="backslashreplace"))


def warn(warnings: Iterable[str]) -> None:
    """Print what is legal but odd to standard error."""
    complain(f"warning: {warning}" for warning in warnings)


def _write(stream: TextIO, content: bytes) -> None:
    """Write to a stream; a reader that has gone away (`| head`) is not an error."""
    try:
        stream.flush()
        stream.buffer.write(content)
        stream.buffer.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def report_bug(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    """Say in two lines that something unforeseen happened; the traceback only where it is asked for."""
    if os.environ.get(TRACEBACK) == "1":
        sys.__excepthook__(kind, error, trace)
        return
    if isinstance(error, OSError) and error.errno == errno.ENOSPC:
        complain(["The answer could not be printed in full: no space is left where the output goes. Free some and run it again."])
        return
    complain([f"This is a bug in equipsel: {kind.__name__}: {error}"])
    complain([f"Please report it with the tables that show it; {TRACEBACK}=1 in the environment shows where it happened."])
