"""Workbooks made to do harm are refused by what is counted while they are unpacked, or do none."""

# ruff: noqa: E501 - whole messages are compared, and read best on one line

import io
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path

import pytest
from books import edited, packed, problems_of, write_both
from small_site import write_site

from equipsel.files import limits, read_site

SHEET = "xl/worksheets/sheet2.xml"
COPY = "copy the sheets that hold tables into a new workbook"
AGAIN = "save it as .xlsx, without a password"
WATCHED = """
import resource, sys, time
from equipsel.files import InputError, read_site
import openpyxl
def most(): return int(next(line for line in open("/proc/self/status") if line.startswith("VmHWM")).split()[1]) / 1024
started, before = time.perf_counter(), most()
try:
    read_site(sys.argv[1])
    said = "nothing"
except InputError as error:
    said = str(error)
print(time.perf_counter() - started, most(), said, sep="|")
"""


def watched(path: Path) -> tuple[float, float, str]:
    """Seconds, highest memory in MB, and message of reading a site in a process of its own."""
    done = subprocess.run([sys.executable, "-c", WATCHED, str(path)], capture_output=True, text=True, timeout=60, check=True)
    seconds, memory, said = done.stdout.strip().split("|")
    return float(seconds), float(memory), said


def bomb(path: Path, part: str, head: bytes, filling: bytes) -> Path:
    """A workbook of 2 MB whose one part unpacks to a gigabyte or two: one packed megabyte, again and again."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    first = packer.compress(head) + packer.flush(zlib.Z_FULL_FLUSH)
    again = packer.compress(filling * (1_000_000 // len(filling))) + packer.flush(zlib.Z_FULL_FLUSH)
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(part, first + again * (2_000_000 // len(again)) + packer.flush())
    content = bytearray(path.read_bytes())
    central = content.rfind(b"PK\x01\x02")
    for method, size in ((8, 22), (central + 10, central + 24)):
        content[method : method + 2], content[size : size + 4] = b"\x08\0", b"\xfe\xff\xff\xff"
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("head", "filling", "message"),
    [
        (b"<worksheet>", b"<row/>", "holds more than can be read, in xl/worksheets/sheet1.xml"),
        (b"<worksheet>", b"<c><v>" + b" " * 200 + b"</v></c>", "unpacks to more than 60 MB"),
        (b"<worksheet>", b"x", "holds a text of a million letters"),
        (b"\x89PNG", b"\0", "unpacks to more than 60 MB"),
    ],
)
def test_a_bomb_of_two_megabytes_is_refused_within_a_second_and_150_mb(tmp_path: Path, head: bytes, filling: bytes, message: str) -> None:
    path = bomb(tmp_path / "site.xlsx", "xl/worksheets/sheet1.xml", head, filling)
    assert path.stat().st_size == pytest.approx(2_000_000, rel=0.01)
    seconds, memory, said = watched(path)
    assert said == f"site.xlsx: {message}; {COPY}"
    assert seconds < 1
    assert memory < 150


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_entities_are_refused_unread(tmp_path: Path, encoding: str) -> None:
    text = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]><x>&b;</x>'
    path = edited(write_both(tmp_path), SHEET, lambda _: text.encode(encoding))
    assert problems_of(path) == [f"site.xlsx: holds a document type declaration, which no spreadsheet writes; {AGAIN}"]


def test_a_declaration_across_two_pieces_is_seen(tmp_path: Path) -> None:
    path = edited(write_both(tmp_path), SHEET, lambda xml: b"<a>" + b" " * (1_000_000 - 6) + b"<!DOCTYPE a>" + xml)
    assert "document type declaration" in problems_of(path)[0]


@pytest.mark.parametrize(
    ("part", "before", "filling", "times"),
    [
        (SHEET, b"<sheetData>", b"<row/>", 1_000_100),
        (SHEET, b"</worksheet>", b'<mergeCells><mergeCell ref="A1:B2"/></mergeCells>', 10_100),
        ("xl/styles.xml", b"</cellXfs>", b'<xf numFmtId="0" fontId="0" fillId="0" borderId="0"/>', 20_100),
        ("xl/workbook.xml", b"</sheets>", b'<sheet name="x" sheetId="1"/>', 20_100),
        ("[Content_Types].xml", b"</Types>", b'<Default Extension="x" ContentType="y"/>', 20_100),
    ],
)
def test_parts_with_too_many_elements(tmp_path: Path, part: str, before: bytes, filling: bytes, times: int) -> None:
    path = edited(write_both(tmp_path), part, lambda xml: xml.replace(before, filling * times + before))
    assert problems_of(path) == [f"site.xlsx: holds more than can be read, in {part}; {COPY}"]


def test_blank_rows_without_end_and_a_row_far_below(tmp_path: Path) -> None:
    blank = b"".join(b'<row r="%d"><c r="ZZZ%d"/></row>' % (line, line) for line in range(5, 400_000))
    path = edited(write_both(tmp_path), SHEET, lambda xml: xml.replace(b"</sheetData>", blank + b'<row r="9999999999"/></sheetData>'))
    seconds, memory, said = watched(path)
    assert said == "nothing"
    assert (seconds < 10, memory < 300) == (True, True)


@pytest.mark.parametrize("name", ["devices.csv", "site.xlsx"])
def test_a_million_rows(tmp_path: Path, name: str) -> None:
    if name == "devices.csv":
        path = write_site(tmp_path, {name: "device,watts,place,run_m\n" + "a,5,hall,9\n" * 1_000_000})
        seconds, memory, said = watched(path)
        assert said == "devices.csv: has more than 20,000 rows; leave out what is not part of the site"
        assert (seconds < 5, memory < 300) == (True, True)
        return
    rows = b'<row><c t="inlineStr"><is><t>a</t></is></c></row>' * 300_000
    path = edited(write_both(tmp_path), SHEET, lambda xml: xml.replace(b"</sheetData>", rows + b"</sheetData>"))
    seconds, memory, said = watched(path)
    assert said == f"site.xlsx: holds more than can be read, in {SHEET}; {COPY}"
    assert (seconds < 5, memory < 150) == (True, True)


def test_more_rows_than_are_read_of_a_sheet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "MOST_ROWS", 2)
    assert "site.xlsx sheet devices: has more than 2 rows; leave out what is not part of the site" in problems_of(write_both(tmp_path))


def test_more_files_inside_than_a_workbook_has(tmp_path: Path) -> None:
    path = packed(tmp_path / "site.xlsx", {f"{number}": b"" for number in range(2_001)})
    assert problems_of(path) == [f"site.xlsx: holds more than 2,000 files inside; {COPY}"]


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_packings_that_no_spreadsheet_uses(tmp_path: Path, method: int) -> None:
    with zipfile.ZipFile(tmp_path / "site.xlsx", "w", method) as archive:
        archive.writestr("xl/workbook.xml", b"<workbook/>")
    assert problems_of(tmp_path / "site.xlsx") == [f"site.xlsx: is packed in a way that no spreadsheet packs; {AGAIN}"]


NO_WORKBOOKS = [
    (b"", "is not a workbook"),
    (b"no zip", "is not a workbook"),
    (b"PK\x03\x04broken", "is not a workbook"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "is an old .xls workbook, or one locked with a password"),
]


@pytest.mark.parametrize(("content", "wrong"), NO_WORKBOOKS)
def test_what_is_no_workbook(tmp_path: Path, content: bytes, wrong: str) -> None:
    (tmp_path / "site.xlsx").write_bytes(content)
    assert problems_of(tmp_path / "site.xlsx") == [f"site.xlsx: {wrong}; {AGAIN}"]


@pytest.mark.parametrize(
    ("parts", "message"),
    [
        ({"mimetype": b"application/vnd.oasis", "content.xml": b"<x/>"}, "is an OpenDocument spreadsheet; save it as .xlsx"),
        ({"xl/workbook.bin": b"\0"}, "is a binary workbook (.xlsb); save it as .xlsx"),
        ({"x.txt": b"x"}, "is not a workbook that can be read (KeyError); open it in a spreadsheet and save it again as .xlsx"),
    ],
)
def test_other_archives_under_the_name_of_a_workbook(tmp_path: Path, parts: dict[str, bytes], message: str) -> None:
    assert problems_of(packed(tmp_path / "site.xlsx", parts)) == [f"site.xlsx: {message}"]


def test_an_archive_locked_with_a_password(tmp_path: Path) -> None:
    content = bytearray(write_both(tmp_path).read_bytes())
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        position = content.find(mark)
        while position >= 0:
            content[position + offset] |= 1
            position = content.find(mark, position + 4)
    (tmp_path / "site.xlsx").write_bytes(content)
    assert problems_of(tmp_path / "site.xlsx") == [f"site.xlsx: is not a workbook; {AGAIN}"]


def test_a_file_larger_than_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("equipsel.files.decode.LARGEST_FILE_BYTES", 1_000)
    assert problems_of(write_both(tmp_path)) == ["site.xlsx: is larger than 0 MB; leave out what is not part of the tables"]


def test_macros_links_and_paths_that_lead_out_are_left_alone(tmp_path: Path) -> None:
    write_both(tmp_path)
    with zipfile.ZipFile(tmp_path / "site.xlsx") as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    link = b'<Relationship Id="rIdX" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLink" Target="externalLinks/externalLink1.xml"/></Relationships>'
    parts["xl/_rels/workbook.xml.rels"] = parts["xl/_rels/workbook.xml.rels"].replace(b"</Relationships>", link)
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(
        b"</sheets>",
        b'</sheets><externalReferences><externalReference xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" r:id="rIdX"/></externalReferences>',
    )
    parts |= {
        "../../evil.txt": b"x",
        "/tmp/evil.txt": b"x",
        "xl/vbaProject.bin": b"\0macro",
        "xl/externalLinks/externalLink1.xml": b"<broken",
    }
    folder = tmp_path / "in" / "here"
    folder.mkdir(parents=True)
    (folder / "catalog.xlsx").write_bytes((tmp_path / "catalog.xlsx").read_bytes())
    site = read_site(packed(folder / "site.xlsm", parts))
    assert len(site.scenario.devices) == 3
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["catalog.xlsx", "catalog.xlsx", "here", "in", "site.xlsm", "site.xlsx"]


def test_a_workbook_of_ordinary_size_passes_every_limit_with_room(tmp_path: Path) -> None:
    pictures = {f"xl/media/image{number}.png": b"\x89PNG" + bytes(range(256)) * 800 for number in range(20)}
    with zipfile.ZipFile(io.BytesIO(write_both(tmp_path).read_bytes())) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    assert problems_of(packed(tmp_path / "site.xlsx", parts | pictures)) == []
