"""What a check says, and numbers as people read them."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from equipsel.kit import Severity

Figure = Fraction | Decimal | float | int


@dataclass(frozen=True, slots=True)
class Found:
    """A finding before its rule is known: how grave, where, and a sentence."""

    severity: Severity
    where: str
    message: str


def error(where: str, message: str) -> Found:
    """A broken rule."""
    return Found(Severity.ERROR, where, message)


def warning(where: str, message: str) -> Found:
    """Allowed, but a professional would change it or look again."""
    return Found(Severity.WARNING, where, message)


def note(where: str, message: str) -> Found:
    """Good to know."""
    return Found(Severity.NOTE, where, message)


def say(value: Figure, digits: int = 3) -> str:
    """A figure with at most so many decimals, without idle zeros."""
    text = f"{float(value):.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def say_mw(milliwatts: int) -> str:
    """Milliwatts as watts."""
    return f"{say(Fraction(milliwatts, 1000))} W"


def listed(names: Iterable[str], most: int = 8) -> str:
    """Names with commas; past `most` only how many more there are."""
    every = list(names)
    if not every:
        return "none"
    more = f" and {len(every) - most} more" if len(every) > most else ""
    return ", ".join(every[:most]) + more
