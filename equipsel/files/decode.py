"""The bytes of a file, and their text: UTF-8, UTF-16 with a byte order mark, and for tables Windows-1252."""

import codecs
import stat
from dataclasses import dataclass
from pathlib import Path

from equipsel.files.limits import LARGEST_FILE_BYTES
from equipsel.files.problems import Problem, file_problem

SAVE_AS = "save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)"
UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


@dataclass(frozen=True, slots=True)
class Text:
    """The text of a file. `guessed`: it is not UTF-8 and was taken for Windows-1252, so that accented letters may be others."""

    text: str
    guessed: bool = False


def read_bytes(path: Path, source: str) -> bytes | Problem:
    """The bytes of a file, or what keeps us from reading them. A pipe or a device is never opened: it may have no end."""
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):
            what = "a folder" if stat.S_ISDIR(mode) else "a device or pipe"
            return file_problem(source, f"is {what}, not a file", "put a file of that name in its place")
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except (OSError, ValueError) as error:
        return unreadable(source, error)
    if len(content) > LARGEST_FILE_BYTES:
        return file_problem(source, f"is larger than {LARGEST_FILE_BYTES // 1_000_000} MB", "leave out what is not part of the tables")
    return content


def unreadable(source: str, error: OSError | ValueError) -> Problem:
    """What keeps us from reading a file or a folder, in words."""
    if isinstance(error, FileNotFoundError):
        return file_problem(source, "does not exist", "check the path")
    if isinstance(error, PermissionError):
        return file_problem(source, "may not be read", "give yourself permission to read it")
    return file_problem(source, f"cannot be read ({getattr(error, 'strerror', None) or error})", "check the path")


def decode(content: bytes, source: str) -> str | Problem:
    """The text of a UTF-8 file, or why it is none."""
    if b"\0" in content:
        return file_problem(source, "is not a text file", SAVE_AS)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        return file_problem(source, f"is not UTF-8 text (line {line} holds byte 0x{content[error.start]:02X})", SAVE_AS)


def decode_table(content: bytes, source: str) -> Text | Problem:
    """The text of a table as spreadsheets export it: UTF-8, UTF-16 with its mark, else Windows-1252."""
    if content.startswith(UTF_16):
        return _utf_16(content, source)
    text = decode(content, source)
    if isinstance(text, str):
        return Text(text)
    try:
        return text if b"\0" in content else Text(content.decode("cp1252"), guessed=True)
    except UnicodeDecodeError:
        return text


def _utf_16(content: bytes, source: str) -> Text | Problem:
    try:
        text = content.decode("utf-16")
    except UnicodeDecodeError:
        return file_problem(source, "begins like UTF-16 text and is none", SAVE_AS)
    return file_problem(source, "is not a text file", SAVE_AS) if "\0" in text else Text(text)
