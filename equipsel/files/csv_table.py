"""One CSV file to a raw table: UTF-8 with or without BOM, comma, semicolon or tab."""

import csv
import io
from pathlib import Path

from equipsel.files.problems import Problem, file_problem, table_problem
from equipsel.files.raw import RawRow, RawTable, trimmed

DELIMITERS = (",", ";", "\t")
SAVE_AS = "save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)"
LARGEST_BYTES = 50_000_000
"""A table larger than this is refused (our own limit: a list of half a million devices)."""


def read_bytes(path: Path, source: str) -> bytes | Problem:
    """The bytes of a file, or what keeps us from reading them."""
    try:
        if path.exists() and not path.is_file():
            what = "a folder" if path.is_dir() else "a device or pipe"
            return file_problem(source, f"is {what}, not a file", "put a file of that name in its place")
        if path.stat().st_size > LARGEST_BYTES:
            return file_problem(source, f"is larger than {LARGEST_BYTES // 1_000_000} MB", "leave out what is not part of the table")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        return unreadable(source, error)


def unreadable(source: str, error: OSError | ValueError) -> Problem:
    """What keeps us from reading a file or a folder, in words."""
    if isinstance(error, FileNotFoundError):
        return file_problem(source, "does not exist", "check the path")
    if isinstance(error, PermissionError):
        return file_problem(source, "may not be read", "give yourself permission to read it")
    return file_problem(source, f"cannot be read ({getattr(error, 'strerror', None) or error})", "check the path")


def decode(content: bytes, source: str) -> str | Problem:
    """The text of a file, or why it is none."""
    if b"\0" in content:
        return file_problem(source, "is not a text file", SAVE_AS)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        return file_problem(source, f"is not UTF-8 text (line {line} holds byte 0x{content[error.start]:02X})", SAVE_AS)


def delimiter_of(text: str) -> str:
    """The separator that cuts the first line with anything on it into most cells; a comma if none cuts it."""
    first = next((line for line in text.splitlines() if line.strip(" \t;,")), "")
    return max(DELIMITERS, key=lambda mark: len(next(csv.reader([first], delimiter=mark), [])))


def read_csv(path: Path, source: str) -> RawTable | Problem:
    """The table in a CSV file, or why there is none. Rows are counted as a spreadsheet shows them, blank ones too."""
    content = read_bytes(path, source)
    text = content if isinstance(content, Problem) else decode(content, source)
    return text if isinstance(text, Problem) else parse_csv(text, source)


def parse_csv(text: str, source: str) -> RawTable | Problem:
    """The table in the text of a CSV file."""
    delimiter = delimiter_of(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[RawRow] = []
    try:
        for line, cells in enumerate(reader, 1):
            rows.append(RawRow(line, tuple(cell.strip() for cell in cells)))
    except csv.Error as error:
        return table_problem(source, f"cannot be taken apart into cells ({error})", "look for a quotation mark left open", len(rows) + 1)
    rows = trimmed(rows)
    if not rows:
        return table_problem(source, "is empty", "give it a row with the column names, and rows below it")
    return RawTable(source, rows[0], tuple(rows[1:]), delimiter != ",")
