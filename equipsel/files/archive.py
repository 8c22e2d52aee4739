"""Whether a workbook file is fit to be parsed: it is unpacked once, counting, so that nothing in it can run away afterwards."""

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from equipsel.files import limits
from equipsel.files.decode import read_bytes
from equipsel.files.problems import Problem, file_problem

CHUNK = 1_000_000
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""First bytes of an .xls workbook, and of an .xlsx workbook that is locked with a password (compound file binary format)."""

DECLARATION = re.compile(rb"<\0?!\0?D")
"""Where a document type declaration begins, in UTF-8 or UTF-16: with it come entities that grow without end; no workbook needs it."""

FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
CELL = re.compile(rb"<(?:\w+:)?(?:c|v|row|f|is|t|si)[\s/>]")
PARSED = re.compile(r"\[content_types\]\.xml|.*\.rels|docprops/.*|xl/(workbook|styles|sharedstrings)\.xml|xl/\w*sheets/.*", re.IGNORECASE)
"""Parts that are parsed for the tables in them."""

BLANK = b" \t\r\n\0\xef\xbb\xbf\xfe\xff"
COPY_TABLES = "copy the sheets that hold tables into a new workbook"
SAVE_AGAIN = "save it as .xlsx, without a password"


@dataclass(frozen=True, slots=True)
class Archive:
    """A workbook's bytes, found fit to be parsed, and whether it holds formulas."""

    content: bytes
    formulas: bool


class _Unfit(Exception):  # noqa: N818 - says what is wrong, and is turned into a problem below
    """What is wrong with an archive, and how to mend it."""


def read_archive(path: Path, source: str) -> Archive | Problem:
    """The bytes of a workbook, or why it is not fit to be parsed."""
    content = read_bytes(path, source)
    if isinstance(content, Problem):
        return content
    if content.startswith(OLE):
        return file_problem(source, "is an old .xls workbook, or one locked with a password", SAVE_AGAIN)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            _refuse_others(archive)
            return Archive(content, _has_formulas(archive))
    except _Unfit as unfit:
        wrong, mend = unfit.args
        return file_problem(source, wrong, mend)
    except (OSError, ValueError, RuntimeError, EOFError, NotImplementedError, zipfile.BadZipFile, zlib.error):
        return file_problem(source, "is not a workbook", SAVE_AGAIN)


def _refuse_others(archive: zipfile.ZipFile) -> None:
    names = {item.filename.lower() for item in archive.infolist()}
    if "mimetype" in names and "content.xml" in names:
        raise _Unfit("is an OpenDocument spreadsheet", "save it as .xlsx")
    if "xl/workbook.bin" in names:
        raise _Unfit("is a binary workbook (.xlsb)", "save it as .xlsx")
    if len(archive.infolist()) > limits.MOST_PARTS:
        raise _Unfit(f"holds more than {limits.MOST_PARTS:,} files inside", COPY_TABLES)
    if any(item.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for item in archive.infolist()):
        raise _Unfit("is packed in a way that no spreadsheet packs", SAVE_AGAIN)


def _has_formulas(archive: zipfile.ZipFile) -> bool:
    """Unpack everything, piece by piece, and look for formulas. Raises _Unfit at the first limit that is passed."""
    left, formulas = limits.LARGEST_UNPACKED_BYTES, False
    for item in archive.infolist():
        cells, objects = limits.MOST_CELLS, limits.MOST_OBJECTS if PARSED.fullmatch(item.filename) else limits.MOST_UNREAD
        for piece, xml in _pieces(archive, item):
            left -= min(len(piece), CHUNK)
            if left < 0:
                raise _Unfit(f"unpacks to more than {limits.LARGEST_UNPACKED_BYTES // 1_000_000} MB", COPY_TABLES)
            if not xml:
                continue
            of_cells, others = _elements(piece)
            cells, objects = cells - of_cells, objects - others
            formulas = formulas or bool(FORMULA.search(piece))
            if min(cells, objects) < 0:
                raise _Unfit(f"holds more than can be read, in {_shown(item.filename)}", COPY_TABLES)
    return formulas


def _pieces(archive: zipfile.ZipFile, item: zipfile.ZipInfo) -> Iterator[tuple[bytes, bool]]:
    """The pieces of a part, each with the end of the one before in front of it, and whether the part is XML."""
    tail, xml = b"", None
    with archive.open(item) as packed:
        while piece := packed.read(CHUNK):
            start = piece[:CHUNK].lstrip(BLANK)
            xml = (not start or start.startswith(b"<")) if xml is None else xml
            yield tail + piece, xml
            tail = piece[-8:]


def _elements(piece: bytes) -> tuple[int, int]:
    """About how many elements of cells, and how many others, begin in a piece of XML. Raises _Unfit for what no spreadsheet writes."""
    if DECLARATION.search(piece):
        raise _Unfit("holds a document type declaration, which no spreadsheet writes", SAVE_AGAIN)
    if len(piece) >= CHUNK and b"<" not in piece:
        raise _Unfit("holds a text of a million letters", COPY_TABLES)
    cells = len(CELL.findall(piece))
    return cells, piece.count(b"<") - piece.count(b"</") - cells


def _shown(name: str) -> str:
    return ascii(name)[1:-1][-limits.SHOWN_CHARACTERS :]
