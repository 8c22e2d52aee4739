"""Tables as careless and as hostile people hand them in: the small site, spoilt at random, the same for the same seed."""

import csv
import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from random import Random

import xlsxwriter
from books import number
from small_site import CATALOG, SCENARIO

TABLES = {
    **{name.removesuffix(".csv"): text for name, text in (CATALOG | SCENARIO).items() if name.endswith(".csv")},
    "switches": CATALOG["switches.csv"].replace("\n", ",2\n").replace("part_no,2", "part_no,supply_slots", 1),
    "injectors": "model,price,ports,port_w\nsingle,30,1,60\n",
    "extenders": "model,price,own_w,in_class,port_w\nhop,70,3,4,20\n",
    "extras": "item,price,per,for\ncord,2,port,\nmount,9,device,camera\n",
    "backups": "model,price,watts,watt_hours\nbox,200,300,150\n",
    "bundles": "awg,cables_up_to,amps_per_conductor\n23,24,0.4\n",
    "supplies": "model,price,fit,watts\nrail240,60,rail,240\nrail120,40,rail,120\n",
    "places": "place,mains,ip,low_c,high_c,rack_u,outlets,circuit_a,circuit_v\nhall,yes,,,,9,8,16,230\nloft,yes,,,,,,,\n",
    "runs": "from,to,run_m,existing\nlight,loft,60,1\nloft,hall,70,0\n",
    "owned": "model,place,count\nplain,loft,1\n",
    "growth": "stage,device,add\nnext,cam,50%\n",
}
OF_CATALOG = ("switches", "ports", "supplies", "injectors", "extenders", "cables", "backups", "bundles", "extras")
RULES = [["title", "Invented kiosk"], ["catalog", "."], ["rules.spare_watts_pct", "20"], ["rules.backup_minutes", "5"]]
NASTY = (
    *("", " ", "0", "1", "2", "4", "8", "60", "90", "-1", "1e9", "1e-9", "1e999999999", "1000000", "9000", "NaN", "inf", "9" * 40),
    *("0.1", "2,5", "1.234,5", "12 W", "100%", "yes", "no", "TRUE", "IP66", "IPXX", "12-May", "2026-05-12", "class", "stated", "granted"),
    *("port", "supply", "mains", "unit", "extender", "run", "hall", "cam", "cam.1", "plain", "mast", "loft", "#REF!", "=1+1", "@x", "'"),
    *('"', "a;b", "a\tb", "line\nend", "\u00a0", "\u200b", "\ufeff", "\u202egnol", "\U0001f600", "+cmd|' /C calc'!A0"),
    *("../../etc/passwd", "/dev/zero", "\x07", "\x1b[2J", "x" * 300, "x" * 10_000),
)
Tables = dict[str, list[list[str]]]


def spoilt(seed: int, folder: Path) -> Path:
    """Write the spoilt site of a seed into a folder, and give the path to read it from."""
    random = Random(seed)
    tables = {name: list(csv.reader(io.StringIO(text))) for name, text in TABLES.items() if random.random() < 0.8 or name in KEPT}
    rules = [list(row) for row in RULES]
    for _ in range(random.randint(0, 2)):
        random.choice(SPOILERS)(random, tables, rules)
    form = random.choice((_folder, _folder, _workbook, _workbook, _mixed))
    path = form(random, folder, tables, rules)
    if random.random() < 0.3:
        _spoil_file(random, random.choice([one for one in sorted(folder.iterdir()) if one.stat().st_size]))
    return path


KEPT = ("switches", "ports", "devices", "supplies", "cables")
Spoiler = Callable[[Random, Tables, list[list[str]]], None]


def _any(random: Random, tables: Tables) -> list[list[str]]:
    return tables[random.choice(sorted(tables))]


def _cell(random: Random, tables: Tables, _: list[list[str]]) -> None:
    row = random.choice(_any(random, tables)[1:] or [[""]])
    row[random.randrange(len(row))] = random.choice(NASTY)


def _rule(random: Random, _: Tables, rules: list[list[str]]) -> None:
    names = ("budget_basis", "max_extenders", "max_cascade", "cable_c", "run_slack_pct", "span_m", "years", "max_models", "zz")
    rules.append([f"rules.{random.choice(names)}", random.choice(NASTY)])


def _row_twice(random: Random, tables: Tables, _: list[list[str]]) -> None:
    rows = _any(random, tables)
    rows.insert(random.randint(0, len(rows)), list(random.choice(rows or [[""]])))


def _row_gone(random: Random, tables: Tables, _: list[list[str]]) -> None:
    rows = _any(random, tables)
    if rows:
        rows.pop(random.randrange(len(rows)))


def _column_gone(random: Random, tables: Tables, _: list[list[str]]) -> None:
    rows = _any(random, tables)
    position = random.randrange(len(rows[0])) if rows and rows[0] else 0
    for row in rows:
        del row[position : position + 1]


def _column_named(random: Random, tables: Tables, _: list[list[str]]) -> None:
    rows = _any(random, tables)
    if rows and rows[0]:
        rows[0][random.randrange(len(rows[0]))] = random.choice((*NASTY, "run_ft", "note", "Run m", "watts", "label", "count", "price"))


def _cells_exchanged(random: Random, tables: Tables, _: list[list[str]]) -> None:
    one, other = (random.choice(_any(random, tables) or [[""]]) for _ in range(2))
    if one and other:
        left, right = random.randrange(len(one)), random.randrange(len(other))
        one[left], other[right] = other[right], one[left]


SPOILERS: tuple[Spoiler, ...] = (
    *(_cell, _cell, _cell, _cell, _rule, _rule),
    *(_row_twice, _row_gone, _column_gone, _column_named, _cells_exchanged),
)


def _folder(random: Random, folder: Path, tables: Tables, rules: list[list[str]]) -> Path:
    encoding = random.choice(("utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252"))
    delimiter, end = random.choice((",", ",", ";", "\t")), random.choice(("\n", "\r\n", "\r"))
    for name, rows in tables.items():
        text = io.StringIO(newline="")
        csv.writer(text, delimiter=delimiter, lineterminator=end).writerows(rows)
        (folder / f"{name}.csv").write_bytes(text.getvalue().encode(encoding, errors="replace"))
    lines = [f'{key} = "{value}"' for key, value in rules if not key.startswith("rules.")]
    lines += ["[rules]", *(f'{key.removeprefix("rules.")} = "{value}"' for key, value in rules if key.startswith("rules."))]
    (folder / "scenario.toml").write_text("\n".join(lines), encoding="utf-8")
    return folder


def _workbook(random: Random, folder: Path, tables: Tables, rules: list[list[str]]) -> Path:
    path = folder / random.choice(("all.xlsx", "all.xlsm"))
    _write(random, path, {**tables, "scenario": [["key", "value"], *(row for row in rules if row[0] != "catalog"), ["catalog", path.name]]})
    return path


def _mixed(random: Random, folder: Path, tables: Tables, rules: list[list[str]]) -> Path:
    in_book = {name for name in tables if random.random() < 0.5}
    _folder(random, folder, {name: rows for name, rows in tables.items() if name not in in_book}, rules)
    _write(random, folder / "some.xlsx", {name: tables[name] for name in sorted(in_book)})
    return folder


def _write(random: Random, path: Path, tables: Tables) -> None:
    with xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False}) as book:
        formats = [None, book.add_format({"num_format": "0%"}), book.add_format({"num_format": "yyyy-mm-dd"})]
        for name, rows in tables.items():
            sheet = book.add_worksheet(name)
            for line, row in enumerate(rows):
                for position, text in enumerate(row):
                    value = number(text)
                    style = random.choice(formats) if random.random() < 0.004 else None
                    if isinstance(value, float) and abs(value) < 1e300:
                        sheet.write_number(line, position, value, style)
                    elif value is not None:
                        sheet.write_string(line, position, text, style)
        if not tables:
            book.add_worksheet("nothing")


def _spoil_file(random: Random, path: Path) -> None:
    if path.suffix in (".xlsx", ".xlsm") and random.random() < 0.8:
        _spoil_part(random, path)
    else:
        path.write_bytes(_spoil_bytes(random, path.read_bytes()))


def _spoil_bytes(random: Random, content: bytes) -> bytes:
    spoilt_content = bytearray(content)
    for _ in range(random.choice((1, 1, 3, 20))):
        spoilt_content[random.randrange(len(spoilt_content))] = random.randrange(256)
    return bytes(spoilt_content[: random.randrange(len(spoilt_content))] if random.random() < 0.2 else spoilt_content)


def _spoil_part(random: Random, path: Path) -> None:
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = random.choice(sorted(parts))
    how = random.randrange(5)
    if how == 0:
        del parts[name]
    elif how == 1:
        parts[name] = _spoil_bytes(random, parts[name])
    elif how == 2:
        parts[name] = parts[random.choice(sorted(parts))]
    else:
        parts[name] = _spoil_xml(random, parts[name])
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, content in parts.items():
            archive.writestr(part, content)


def _spoil_xml(random: Random, content: bytes) -> bytes:
    """Take out, repeat or change what stands between two angle brackets or two quotation marks."""
    mark = random.choice((b"<", b'"', b">"))
    pieces = content.split(mark)
    position = random.randrange(len(pieces))
    change = random.randrange(3)
    if change == 0:
        del pieces[position]
    elif change == 1:
        pieces.insert(position, random.choice(pieces))
    else:
        pieces[position] = random.choice((b"", b"-1", b"99999999999", b"ZZZ9999999", b"e", b"d", b"b", b"str", b"&#65;", b"]]>", b"\xff"))
    return mark.join(pieces)
