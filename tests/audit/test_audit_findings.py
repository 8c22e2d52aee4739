"""Every finding of every spoiled kit, whole: how grave, rule, where, and its words as a person reads them (findings.txt).

The file was read through when it was written. `python tests/audit/test_audit_findings.py` writes it anew; read what changed.
"""

from pathlib import Path

import pytest
from good_kit import Case
from spoilers import REMARKS, SPOILERS, Spoiler

FILE = Path(__file__).with_name("findings.txt")
SPOILED: dict[str, Spoiler] = {
    "nothing": lambda _: None,
    **{f"{rule}: {what}": spoil for rule, what, spoil in SPOILERS},
    **{f"remark: {rule}": spoil for rule, _, _, spoil in REMARKS},
}


def found(spoil: Spoiler) -> list[str]:
    """The findings of the kit with everything stated, spoiled."""
    case = Case()
    case.state_everything()
    spoil(case)
    return [f"{one.severity.value}, {one.rule}, {one.where}: {one.message}" for one in case.audit()]


def expected() -> dict[str, list[str]]:
    """The findings on file, by what was spoiled."""
    parts = FILE.read_text(encoding="utf-8").strip().split("\n\n")
    return {first: rest for first, *rest in (part.split("\n") for part in parts)}


def written() -> str:
    """What the file says of today's findings; those of the kit itself are said once, unless they are gone."""
    always = found(SPOILED["nothing"])
    parts = ["\n".join(["nothing", *always])]
    parts += ["\n".join([what, *_told(found(spoil), always)]) for what, spoil in SPOILED.items() if what != "nothing"]
    return "\n\n".join(parts) + "\n"


def _told(findings: list[str], always: list[str]) -> list[str]:
    return [*(one for one in findings if one not in always), *(f"gone: {one}" for one in always if one not in findings)]


@pytest.mark.parametrize("what", [what for what in SPOILED if what != "nothing"])
def test_it_is_told_so(what: str) -> None:
    assert _told(found(SPOILED[what]), expected()["nothing"]) == expected()[what]


def test_the_good_kit_has_these_remarks_and_the_file_holds_nothing_else() -> None:
    assert found(SPOILED["nothing"]) == expected()["nothing"]
    assert expected().keys() == SPOILED.keys()


if __name__ == "__main__":
    FILE.write_text(written(), encoding="utf-8")
