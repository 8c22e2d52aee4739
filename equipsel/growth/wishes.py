"""What is to be added: a device or a kind of device, and how many or what percentage."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from equipsel.files.checks.growth import MOST_PCT
from equipsel.files.problems import InputError, Problem, cell_problem, name_mend, quoted
from equipsel.scenario import Device, Growth, Scenario

KIND = "kind:"
FORM = "write device=8, device=20% or kind:camera=8, several in one stage apart by semicolons"
AMOUNT = re.compile(r"[0-9]{1,7}%?")


@dataclass(frozen=True)
class Wish:
    """More of a device (or of a kind of device): a count or a percentage as written, and the row of the table that asks for it."""

    target: str
    amount: str
    of_kind: bool = False
    row: Growth | None = None

    def number(self, count: int) -> int:
        """How many more where there are `count`: a percentage is rounded up to whole devices."""
        written = int(self.amount.removesuffix("%"))
        return -(-written * count // 100) if self.amount.endswith("%") else written

    def rounds(self, count: int) -> bool:
        """Whether a percentage of `count` is no whole number of devices."""
        return self.amount.endswith("%") and int(self.amount.removesuffix("%")) * count % 100 != 0


Wishes = dict[str, list[Wish]]
"""Wishes by the name of their stage, in order."""


def of_table(rows: Iterable[Growth]) -> Wishes:
    """The wishes of a growth table; stages in the order in which they turn up."""
    found: Wishes = {}
    for row in rows:
        found.setdefault(row.stage, []).append(Wish(row.device, row.add, row=row))
    return found


def of_texts(option: str, texts: Sequence[str], scenario: Scenario) -> Wishes:
    """The wishes of --add: each a stage of its own. Raises InputError with everything that is wrong with them."""
    problems: list[Problem] = []
    found: Wishes = {}
    for text in texts:
        parts = [part.strip() for part in text.split(";") if part.strip()]
        if not parts:
            problems.append(cell_problem(option, None, "", f"{quoted(text)} adds nothing", FORM))
        for part in parts:
            wish = _parsed(option, part, scenario.devices)
            if isinstance(wish, Problem):
                problems.append(wish)
            else:
                found.setdefault(_unused(text, part, parts, found), []).append(wish)
    if problems:
        raise InputError(problems)
    return found


def _unused(text: str, part: str, parts: Sequence[str], found: Wishes) -> str:
    """A name for the stage of a text: the text, numbered where an earlier stage has it already."""
    names = [name for name in found if name == text or name.startswith(f"{text} #")]
    if not names:
        return text
    return names[-1] if part != parts[0] else f"{text} #{len(names) + 1}"


def _parsed(option: str, part: str, devices: Sequence[Device]) -> Wish | Problem:
    target, equals, amount = (piece.strip() for piece in part.rpartition("="))
    if not equals or not target:
        return cell_problem(option, None, "", f"{quoted(part)} says not how many", FORM)
    if not AMOUNT.fullmatch(amount):
        return cell_problem(option, None, target, f"{quoted(amount)} is no count and no percentage", "write a whole number, or 20%")
    if amount.endswith("%") and int(amount[:-1]) > MOST_PCT:
        return cell_problem(option, None, target, f"{amount} is more than twice what is there", "write the number of devices to add")
    of_kind = target.startswith(KIND)
    name = target.removeprefix(KIND).strip() if of_kind else target
    known = {row.kind for row in devices if row.kind} if of_kind else {row.device for row in devices}
    if name not in known:
        kinds = {row.kind for row in devices}
        if not of_kind and name in kinds:
            return cell_problem(option, None, target, f"{quoted(name)} is a kind of device, and no device", f"write {KIND}{name}={amount}")
        what = "kind of device" if of_kind else "device"
        return cell_problem(option, None, target, f"no {what} is called {quoted(name)}", name_mend(name, known, "devices"))
    return Wish(name, amount, of_kind)
