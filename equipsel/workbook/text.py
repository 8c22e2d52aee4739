"""Texts as a workbook can hold them."""

import re
from unicodedata import east_asian_width

LONGEST_CELL = 32_767
"""Characters of a cell (ECMA-376 as spreadsheets implement it)."""

LONGEST_NAME = 31
"""Characters of a sheet's name (likewise)."""

LONGEST_LINE = 255
"""Characters of a page header or footer (likewise)."""

NOT_IN_XML = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
"""What XML 1.0 cannot hold, and carriage returns, which come back changed."""

NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\]")
CUT = " ... (cut)"


def cell_text(text: str) -> str:
    """The text with what a cell cannot hold replaced by U+FFFD, and cut, saying so, where it is too long."""
    tidy = NOT_IN_XML.sub("\ufffd", text)
    return tidy if len(tidy) <= LONGEST_CELL else tidy[: LONGEST_CELL - len(CUT)] + CUT


def sheet_name(wanted: str, taken: set[str]) -> str:
    """A name that a sheet may have and none of the taken ones (in lower case) is, as near as can be to the wanted one."""
    tidy = NOT_IN_NAMES.sub("-", NOT_IN_XML.sub("\ufffd", wanted)).strip("' ")[:LONGEST_NAME].rstrip("' ") or "sheet"
    tidy = f"{tidy} " if tidy.lower() == "history" else tidy  # a name that spreadsheets keep for themselves
    name, number = tidy, 1
    while name.lower() in taken:
        number += 1
        tail = f" ({number})"
        name = tidy[: LONGEST_NAME - len(tail)] + tail
    return name


def page_line(text: str) -> str:
    """The text for a page header, where & begins a code; cut where it is too long."""
    tidy = " ".join(NOT_IN_XML.sub(" ", text).split())
    while len(tidy.replace("&", "&&")) > LONGEST_LINE // 2:
        tidy = tidy[:-1]
    return tidy.replace("&", "&&")


def column_letters(number: int) -> str:
    """The letters of a column, the first being 0: A, B ... Z, AA."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def characters(text: str) -> int:
    """How many characters wide the widest line of a text is; wide letters count twice."""
    lines = text.split("\n") or [""]
    return max(len(line) if line.isascii() else sum(1 + (east_asian_width(letter) in "WF") for letter in line) for line in lines)
