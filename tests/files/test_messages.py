"""What a user sees for each kind of wrong input: the whole text, so that spot, finding and mend are all checked."""

# ruff: noqa: E501 - whole messages are compared, and read best on one line

from os import mkfifo
from pathlib import Path

import pytest
from small_site import CATALOG, SCENARIO, problems_of, write_site

from equipsel.files import InputError, limits, read_catalog, read_scenario, read_site

DEVICES = "device,watts,class,place,run_m\n"
TITLE_COLUMNS = "device, place, run_m, kind, watts, class, cable, mbps ... (18 in all)"
SITE_MEND = "give a folder that holds scenario.toml and devices.csv, that scenario.toml, or an .xlsx workbook with those sheets"
CATALOG_MEND = "give a folder that holds switches.csv and ports.csv, or an .xlsx workbook with those sheets"

CELLS = [
    ("devices.csv", DEVICES + "cam,abc,3,hall,30\n", "devices.csv row 2, watts: 'abc' is not a number of at least 0; write a number"),
    ("devices.csv", DEVICES + "cam,-1,3,hall,30\n", "devices.csv row 2, watts: '-1' is not a number of at least 0; write one that is"),
    ("devices.csv", DEVICES + "cam,NaN,3,hall,30\n", "devices.csv row 2, watts: 'NaN' is not a number of at least 0; write a number"),
    ("devices.csv", DEVICES + "cam,inf,3,hall,30\n", "devices.csv row 2, watts: 'inf' is not a number of at least 0; write a number"),
    ("devices.csv", DEVICES + "cam,1e99,3,hall,30\n", "devices.csv row 2, watts: '1e99' is too large; write at most 1,000,000,000"),
    (
        "devices.csv",
        DEVICES + "cam,1e999999999,3,hall,30\n",
        "devices.csv row 2, watts: '1e999999999' is not a number of at least 0; write a number",
    ),
    (
        "devices.csv",
        DEVICES + "cam,5,1e999999999,hall,30\n",
        "devices.csv row 2, class: '1e999999999' is not a whole number from 0 to 8; write a number",
    ),
    (
        "devices.csv",
        DEVICES + "cam,12 W,3,hall,30\n",
        "devices.csv row 2, watts: '12 W' is not a number of at least 0; write the number without its unit: 12",
    ),
    (
        "devices.csv",
        DEVICES + 'cam,"12,5",3,hall,30\n',
        "devices.csv row 2, watts: '12,5' is not a number of at least 0; write the decimal comma as a point: 12.5",
    ),
    (
        "devices.csv",
        DEVICES + 'cam,"1,234.5",3,hall,30\n',
        "devices.csv row 2, watts: '1,234.5' is not a number of at least 0; write it without thousands separators, with a point for the decimals",
    ),
    ("devices.csv", DEVICES + "cam,5,9,hall,30\n", "devices.csv row 2, class: '9' is not a whole number from 0 to 8; write one that is"),
    (
        "devices.csv",
        DEVICES + "cam,5,3.5,hall,30\n",
        "devices.csv row 2, class: '3.5' is not a whole number from 0 to 8; write one that is",
    ),
    (
        "devices.csv",
        DEVICES + "cam,5,3,hall,\n",
        "devices.csv row 2, run_m: is empty; write a number of at least 0: from port to device, cords included",
    ),
    (
        "devices.csv",
        DEVICES + ",5,3,hall,30\n",
        "devices.csv row 2, device: is empty; it must be given: name; with count > 1 they are numbered name.1, name.2 ...",
    ),
    (
        "devices.csv",
        DEVICES.replace("class", "backup") + "cam,5,perhaps,hall,30\n",
        "devices.csv row 2, backup: 'perhaps' is not yes or no; write yes or no",
    ),
    (
        "devices.csv",
        DEVICES.replace("class", "path_ip") + "cam,5,wet,hall,30\n",
        "devices.csv row 2, path_ip: 'wet' is not an IP code such as IP66, or none; write an IP code such as IP66, or none",
    ),
    (
        "devices.csv",
        DEVICES + f"{'x' * 300},5,3,hall,30\n",
        f"devices.csv row 2, device: '{'x' * 57}...' is 300 characters long; write at most 200",
    ),
    (
        "devices.csv",
        DEVICES.replace("class", "priority") + "cam,5,hihg,hall,30\n",
        "devices.csv row 2, priority: 'hihg' is not one of critical, high, low; did you mean high?",
    ),
    (
        "switches.csv",
        CATALOG["switches.csv"].replace(",supply,", ",PSU,"),
        "switches.csv row 3, feed: 'PSU' is not one of mains, supply, port; write one of these",
    ),
    (
        "growth.csv",
        "stage,device,add\nnext,cam,a few\n",
        "growth.csv row 2, add: 'a few' does not fit; write how many more: a count, or a percent such as 20%",
    ),
    (
        "devices.csv",
        DEVICES.replace("run_m", "run_ft") + "cam,5,3,hall,far\n",
        "devices.csv row 2, run_ft: 'far' is not a number of at least 0; write a number",
    ),
]

CELLS += [
    (
        "devices.csv",
        DEVICES + "cam,12-May,3,hall,30\n",
        "devices.csv row 2, watts: '12-May' is not a number of at least 0; a spreadsheet took it for a date: set the cell's format to a number, and write it again",
    ),
    (
        "devices.csv",
        DEVICES + "cam,12.05.2026,3,hall,30\n",
        "devices.csv row 2, watts: '12.05.2026' is not a number of at least 0; a spreadsheet took it for a date: set the cell's format to a number, and write it again",
    ),
    (
        "devices.csv",
        DEVICES + "cam,12%,3,hall,30\n",
        "devices.csv row 2, watts: '12%' is not a number of at least 0; this column takes no percentage: write the number itself",
    ),
    (
        "devices.csv",
        DEVICES + f"cam,5,3,{'x' * 10_000},30\n",
        f"devices.csv row 2, place: '{'x' * 57}...' is 10,000 characters long; write at most 200",
    ),
    (
        "devices.csv",
        DEVICES.replace("class", "note") + f"cam,5,{'x' * 10_000},hall,30\n",
        f"devices.csv row 2, note: '{'x' * 57}...' is 10,000 characters long; write at most 1,000",
    ),
    (
        "devices.csv",
        DEVICES + "cam\x07,5,3,hall,30\n",
        "devices.csv row 2, device: 'cam?' holds a control character; write it again by hand",
    ),
    (
        "devices.csv",
        DEVICES.replace("class", "count") + "cam,5,20001,hall,30\n",
        "devices.csv row 2, count: the counts add up to 20,001 devices, 20,001 of them here; at most 20,000 are planned in one go; check the count, or plan the site in parts",
    ),
]

LAYOUTS = [
    (
        "devices.csv",
        DEVICES.rstrip() + "," * 97 + "\ncam,5,3,hall,30" + "," * 97 + "5\n",
        "devices.csv row 2: has more than 100 columns; leave out what is not part of the table",
    ),
    (
        "devices.csv",
        DEVICES.encode("utf-16") + b"\x00\xd8",
        "devices.csv: begins like UTF-16 text and is none; save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)",
    ),
    ("devices.csv", None, "devices.csv: does not exist; add it: `equipsel tables` shows its columns"),
    ("devices.csv", "", "devices.csv: is empty; give it a row with the column names, and rows below it"),
    ("devices.csv", DEVICES, "devices.csv: has column names and no rows; add a row"),
    ("devices.csv", b"device,place\x00", "devices.csv: is not a text file; save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)"),
    (
        "devices.csv",
        DEVICES.encode() + b"kamera-\x81",
        "devices.csv: is not UTF-8 text (line 2 holds byte 0x81); save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)",
    ),
    (
        "devices.csv",
        DEVICES + 'cam,"5,3,hall,30\n',
        "devices.csv row 2: cannot be taken apart into cells (unexpected end of data); look for a quotation mark left open",
    ),
    (
        "devices.csv",
        DEVICES + "cam,5,3,hall\n",
        "devices.csv row 2: has 4 cells where the header has 5; add the missing separators (an empty cell takes the default)",
    ),
    (
        "devices.csv",
        DEVICES + "cam,5,3,hall,30,7\n",
        "devices.csv row 2: has 6 cells where the header has 5; put quotation marks around a cell that holds the separator, or name the column",
    ),
    (
        "devices.csv",
        "Our devices,,,,\n" + DEVICES + "cam,5,3,hall,30\n",
        "devices.csv row 1: the first row must hold the column names, not 'Our devices'; delete what stands above row 2, which holds them",
    ),
    (
        "devices.csv",
        "cam,5,3,hall,30\n",
        f"devices.csv row 1: the first row must hold the column names, not 'cam'; write them there: {TITLE_COLUMNS}",
    ),
    (
        "devices.csv",
        DEVICES.replace("watts", "wats") + "cam,5,3,hall,30\n",
        "devices.csv row 1, wats: is not a column of this table; did you mean watts? (a column beginning note is carried along)",
    ),
    (
        "devices.csv",
        DEVICES.replace("watts", "class") + "cam,5,3,hall,30\n",
        "devices.csv row 1, class: stands in cells 2 and 3; keep one of the two columns",
    ),
    (
        "devices.csv",
        DEVICES.replace("watts", "run_ft") + "cam,5,3,hall,30\n",
        "devices.csv row 1, run_m: both run_ft and run_m are given; keep one of them",
    ),
    (
        "devices.csv",
        DEVICES.replace("run_m", "note") + "cam,5,3,hall,30\n",
        "devices.csv: the column run_m is missing; add run_m (or run_ft): from port to device, cords included, in m",
    ),
    (
        "devices.csv",
        DEVICES.replace("watts", "") + "cam,5,3,hall,30\n",
        "devices.csv row 1: cell 2 is empty, and values stand below it; name the column, or empty it",
    ),
    ("scenario.toml", None, "scenario.toml: does not exist; check the path"),
    (
        "place.csv",
        "place\nhall\n",
        "place.csv: is no table, but named almost like places.csv; rename it to places.csv, or to something else",
    ),
]

RULES = [
    ("[rules]\nspare_watt_pct = 20", "scenario.toml, rules.spare_watt_pct: is not a rule; did you mean spare_watts_pct?"),
    (
        "[rules]\nspare_watts_pct = 120",
        "scenario.toml, rules.spare_watts_pct: '120' is not a number of at least 0 and below 100; write one that is",
    ),
    (
        '[rules]\nbudget_basis = "clas"',
        "scenario.toml, rules.budget_basis: 'clas' is not one of class, stated, granted; did you mean class?",
    ),
    (
        "[rules]\nmax_extenders = 1e999999999",
        "scenario.toml, rules.max_extenders: '1e999999999' is not a whole number from 0 to 6; write a number",
    ),
    ("[rules]\ncable_c = nan", "scenario.toml, rules.cable_c: 'nan' is not a number from -40 to 90; write a number"),
    ("[rules]\nspan_m = 90\nspan_ft = 300", "scenario.toml, rules.span_ft: both span_m and span_ft are given; keep one of them"),
    ("[rules]\nspan_m = [90]", "scenario.toml, rules.span_m: is a list; write one number, or one text in quotation marks"),
    ("spare_watts_pct = 20", "scenario.toml, spare_watts_pct: is a rule and stands outside [rules]; write it below the line [rules]"),
    ("rules = 3", "scenario.toml, rules: is a single value; write the rules below a line [rules]"),
    ('tittle = "x"', "scenario.toml, tittle: is not a key of a scenario; did you mean title?"),
    ('title = "two\\nlines"', "scenario.toml, title: 'two?lines' does not fit; write one line of at most 200 characters"),
    (
        "title = Kiosk",
        'scenario.toml: is not TOML: Invalid value (at line 2, column 9); write key = value, text in quotation marks: title = "My site"',
    ),
]

TOGETHER = [
    (
        "devices.csv",
        DEVICES + "cam,5,3,hall,30\ncam,5,3,hall,30\n",
        "devices.csv row 3, device: 'cam' is listed already in row 2; give each row its own name; several alike go into one row with a count",
    ),
    (
        "devices.csv",
        DEVICES.replace("class", "count") + "cam,5,3,hall,30\ncam.2,5,1,hall,30\n",
        "devices.csv row 3, device: 'cam.2' is also the name of one of the 3 'cam' of row 2; give this row another name",
    ),
    (
        "devices.csv",
        DEVICES + "cam,,,hall,30\n",
        "devices.csv row 2, watts: is empty, and so is class; write watts, class or both; 0 watts = data only",
    ),
    (
        "devices.csv",
        DEVICES + "cam,20,3,hall,30\n",
        "devices.csv row 2, watts: 20 W is more than class 3 lets a device draw (12.95 W); write class 4, or leave class empty",
    ),
    (
        "devices.csv",
        DEVICES + "cam,80,,hall,30\n",
        "devices.csv row 2, watts: 80 W is more than any class gives a device: IEEE 802.3 ends at 71.3 W (class 8); check the data sheet, or split the load over two ports",
    ),
    (
        "devices.csv",
        DEVICES + "cam,0,3,hall,30\n",
        "devices.csv row 2, watts: 0 W means data only, and class 3 asks for power; leave class empty, or watts",
    ),
    (
        "devices.csv",
        DEVICES.replace("class", "cable") + "cam,5,cat7,hall,30\n",
        "devices.csv row 2, cable: no cable is called 'cat7'; did you mean 'cat6'?",
    ),
    ("places.csv", "place\nhall\nhall\n", "places.csv row 3, place: 'hall' is listed already in row 2; keep one of the two rows"),
    ("places.csv", "place,low_c,high_c\nhall,40,10\n", "places.csv row 2, low_c: 40 is above high_c, 10; exchange the two"),
    (
        "runs.csv",
        "from,to,run_m\nhall,hall,9\n",
        "runs.csv row 2, to: the run ends where it starts, at 'hall'; name another place, or drop the row",
    ),
    (
        "runs.csv",
        "from,to,run_m\ncam,light,9\nlight,hall,9\n",
        "runs.csv row 3, from: 'light' is a device and a place; give one of them another name",
    ),
    (
        "runs.csv",
        "from,to,run_m\ncam.2,loft,9\n",
        "runs.csv row 2, from: 'cam.2' is one of several 'cam'; write 'cam' to mean all of them, or give this one a row of its own in devices.csv",
    ),
    (
        "runs.csv",
        "from,to,run_m\ncam,loft,9\ncam,loft,9\n",
        "runs.csv row 3, from: the same run from 'cam' to 'loft' stands already in row 2; keep one of the two rows",
    ),
    (
        "owned.csv",
        "model,place,count\nplane,hall,1\n",
        "owned.csv row 2, model: no switch, supply or injector is called 'plane'; did you mean 'plain'?",
    ),
    (
        "owned.csv",
        "model,place,count\ncat6,hall,1\n",
        "owned.csv row 2, model: 'cat6' is no switch, supply or injector; only these can be owned: drop the row",
    ),
    (
        "owned.csv",
        "model,place,count\nplain,hall,1\nplain,hall,2\n",
        "owned.csv row 3, model: 'plain' at 'hall' is listed already in row 2; add the counts up in one row",
    ),
    (
        "growth.csv",
        "stage,device,add\nnext,kam,20%\n",
        "growth.csv row 2, device: 20% of 'kam', and no device is called so; did you mean 'cam'?",
    ),
    (
        "growth.csv",
        "stage,device,add\nnext,door,2\n",
        "growth.csv row 2, device: no device is called 'door'; fill in what a new one needs: place, run_m, watts",
    ),
    (
        "growth.csv",
        "stage,device,add\nnext,cam,500%\n",
        "growth.csv row 2, add: 500% in one stage is more than twice what is there; write the number of devices to add, or at most 100%",
    ),
    (
        "growth.csv",
        "stage,device,add\nnext,cam,-3\n",
        "growth.csv row 2, add: '-3' does not fit; write how many more: a count, or a percent such as 20%",
    ),
    (
        "growth.csv",
        "stage,device,add\n,cam,3\n",
        "growth.csv row 2, stage: is empty; it must be given: name of the stage; stages follow in the order they appear",
    ),
    (
        "growth.csv",
        "stage,device,add,watts\nnext,cam,2,40\n",
        "growth.csv row 2, watts: 40 is not what 'cam' has (12.5), and more of it are like it; leave the cell empty, or give the other device a name of its own",
    ),
    (
        "growth.csv",
        "stage,device,add\nnext,cam,9000\nlast,clock,12000\n",
        "growth.csv row 3, add: with 12000 more there are 21,004 devices; at most 20,000 are planned in one go; check the count",
    ),
    (
        "growth.csv",
        "stage,device,watts,place,run_m,add\nnext,light,,,,2\nnext,light.1,5,hall,9,1\n",
        "growth.csv row 2, device: more of 'light' are numbered, and 'light.1' is a device already; give 'light.1' another name",
    ),
    (
        "switches.csv",
        "model,price,budget_w\nplain,100,\nmodular,1,9\nmast,1,9\n",
        "switches.csv row 2, budget_w: is empty; write the most watts it hands out over all ports (feed = mains needs it)",
    ),
    (
        "switches.csv",
        CATALOG["switches.csv"].replace("rail", ""),
        "switches.csv row 3, supply_fit: is empty; write the word that stands in column fit of the supplies it takes (feed = supply needs it)",
    ),
    (
        "switches.csv",
        CATALOG["switches.csv"].replace("rail", "rial"),
        "switches.csv row 3, supply_fit: no supply has fit = 'rial'; use a word from column fit of supplies.csv: rail",
    ),
    (
        "switches.csv",
        CATALOG["switches.csv"].replace(",6,", ",,"),
        "switches.csv row 4, in_class: is empty; write the highest class it may take, 3 to 8 (feed = port needs it)",
    ),
    (
        "switches.csv",
        CATALOG["switches.csv"] + "lone,9,mains,9,,,\n",
        "switches.csv row 5, model: 'lone' has no ports; add a row for it to ports.csv: lone, a group, a count, port_w",
    ),
    ("ports.csv", CATALOG["ports.csv"] + "mats,all,4,30\n", "ports.csv row 5, model: no switch is called 'mats'; did you mean 'mast'?"),
    (
        "ports.csv",
        CATALOG["ports.csv"] + "plain,all,4,30\n",
        "ports.csv row 5, group: 'plain' has a group 'all' already in row 2; give each group of a switch its own name",
    ),
    (
        "supplies.csv",
        CATALOG["supplies.csv"] + "plain,60,rail,240\n",
        "supplies.csv row 3, model: 'plain' is listed already in switches.csv row 2; give each model its own name",
    ),
    (
        "cables.csv",
        "model,price_per_m\ncat6,0.8\n",
        "cables.csv row 2, awg: is empty; write its gauge, or ohm_per_100m (one conductor at 20 C)",
    ),
    (
        "extras.csv",
        "item,price,per,for\ncord,2,unit,cat6\n",
        "extras.csv row 2, per: 'cat6' is in cables.csv, and is not counted per unit; write one of run",
    ),
    (
        "extras.csv",
        "item,price,per,for\ncord,2,unit,camera\n",
        "extras.csv row 2, per: 'camera' is a device kind, and units serve devices of many kinds; write one of port, device, place, extender, run",
    ),
    (
        "extras.csv",
        "item,price,per,for\ncord,2,port,cameras\n",
        "extras.csv row 2, for: no model or device kind is called 'cameras'; did you mean 'camera'?",
    ),
    (
        "extras.csv",
        "item,price,per,for\ncord,2,port,lihgt\n",
        "extras.csv row 2, for: no model or device kind is called 'lihgt'; did you mean 'light'?",
    ),
    (
        "extras.csv",
        "item,price,per,for\ncord,2,port,camara\n",
        "extras.csv row 2, for: no model or device kind is called 'camara'; did you mean 'camera'?",
    ),
    (
        "extras.csv",
        "item,price,per,for\ncord,2,run,cta6\n",
        "extras.csv row 2, for: no model or device kind is called 'cta6'; did you mean 'cat6'?",
    ),
]


@pytest.mark.parametrize(("name", "content", "message"), [*CELLS, *LAYOUTS, *TOGETHER])
def test_a_wrong_table_gives_exactly_this_message(tmp_path: Path, name: str, content: str | bytes | None, message: str) -> None:
    assert problems_of(tmp_path, {name: content}) == [message]


@pytest.mark.parametrize(("lines", "message"), RULES)
def test_a_wrong_rule_gives_exactly_this_message(tmp_path: Path, lines: str, message: str) -> None:
    assert problems_of(tmp_path, {"scenario.toml": f'catalog = "../catalog"\n{lines}\n'}) == [message]


def test_a_name_in_a_row_with_something_else_wrong_is_still_known(tmp_path: Path) -> None:
    switches = CATALOG["switches.csv"].replace("100,mains", "abc,mains")
    assert problems_of(tmp_path, {"switches.csv": switches}) == [
        "switches.csv row 2, price: 'abc' is not a number of at least 0; write a number"
    ]


def test_a_table_that_cannot_be_read_raises_no_second_problem(tmp_path: Path) -> None:
    assert problems_of(tmp_path, {"cables.csv": b"\x00", "devices.csv": DEVICES.replace("class", "cable") + "cam,5,cat6,hall,30\n"}) == [
        "cables.csv: is not a text file; save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)"
    ]


def test_all_problems_of_all_tables_come_at_once_and_the_worst_first(tmp_path: Path) -> None:
    changes = {
        "devices.csv": DEVICES + "cam,abc,9,hall,30\ncam,5,,nowhere,30\n",
        "places.csv": "place,colour\nhall,red\n",
        "ports.csv": "\x00",
        "supplies.csv": "model,price,fit,watts\nrail240,60,rail,-3\n",
        "scenario.toml": 'catalog = "../catalog"\n[rules]\nyears = -1\n',
    }
    assert [message.split(":")[0] for message in problems_of(tmp_path, changes)] == [
        "ports.csv",
        "places.csv row 1, colour",
        "scenario.toml, rules.years",
        "devices.csv row 2, watts",
        "devices.csv row 2, class",
        "supplies.csv row 2, watts",
        "devices.csv row 3, place",
    ]


def test_a_place_that_is_not_listed(tmp_path: Path) -> None:
    changes = {
        "places.csv": "place\nHall\n",
        "devices.csv": DEVICES + "cam,5,3,hall,30\n",
        "owned.csv": "model,place,count\nplain,attic,1\n",
    }
    assert problems_of(tmp_path, changes) == [
        "devices.csv row 2, place: no place is called 'hall'; did you mean 'Hall'?",
        "owned.csv row 2, place: no place is called 'attic'; choose one listed in places.csv: Hall",
    ]


def test_thousands_of_one_mistake_are_told_of_in_seconds(tmp_path: Path) -> None:
    devices = DEVICES + "".join(f"cam {number},5,3,hall {number},30\n" for number in range(5000))
    places = "place\n" + "".join(f"hull {number}\n" for number in range(5000))
    wrong = problems_of(tmp_path, {"devices.csv": devices, "places.csv": places})
    assert len(wrong) == 201
    assert wrong[-1] == "devices.csv row 202, place: more of the same follows; mend these first"


def messages(error: pytest.ExceptionInfo[InputError]) -> list[str]:
    return [str(problem) for problem in error.value.problems]


def test_a_scenario_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError) as error:
        read_site(tmp_path / "none")
    assert messages(error) == [f"{tmp_path}/none: does not exist; {SITE_MEND}"]


def test_a_folder_that_is_no_scenario(tmp_path: Path) -> None:
    with pytest.raises(InputError) as error:
        read_scenario(tmp_path)
    assert messages(error) == [f"{tmp_path}: holds neither scenario.toml nor devices.csv; {SITE_MEND}"]


def test_a_file_that_is_no_scenario(tmp_path: Path) -> None:
    (tmp_path / "devices.csv").write_text("x")
    with pytest.raises(InputError) as error:
        read_scenario(tmp_path / "devices.csv")
    assert messages(error) == [f"{tmp_path}/devices.csv: is not a scenario; {SITE_MEND}"]


def test_a_folder_that_is_no_catalog(tmp_path: Path) -> None:
    with pytest.raises(InputError) as error:
        read_catalog(tmp_path)
    assert messages(error) == [f"{tmp_path}: is a folder without any table of a catalog; {CATALOG_MEND}"]


def test_a_catalog_named_in_the_scenario_that_is_not_there(tmp_path: Path) -> None:
    wrong = problems_of(tmp_path, {"scenario.toml": 'catalog = "../katalog"\n'})
    assert wrong == [f"scenario.toml, catalog: '../katalog' does not exist; {CATALOG_MEND}"]


def test_a_scenario_that_names_no_catalog(tmp_path: Path) -> None:
    wrong = problems_of(tmp_path, {"scenario.toml": ""})
    assert wrong == ['scenario.toml: names no catalog; write catalog = "the path of its folder, relative to this file", or give --catalog']


@pytest.mark.parametrize("per", ["port", "device", "place", "run"])
def test_an_extra_for_a_name_of_two_things(tmp_path: Path, per: str) -> None:
    kinds = SCENARIO["devices.csv"].replace("cam,camera", "cam,plain")
    wrong = problems_of(tmp_path, {"extras.csv": f"item,price,per,for\ncord,2,{per},plain\n", "devices.csv": kinds})
    assert wrong == [
        "extras.csv row 2, for: 'plain' is both a device kind and a model, and an extra is for the one or the other; "
        "give the kind or the model another name"
    ]


def test_a_catalog_path_with_a_nul_character(tmp_path: Path) -> None:
    assert problems_of(tmp_path, {"scenario.toml": 'catalog = "a\\u0000b"\n'}) != []


@pytest.mark.parametrize("name", ["x" * 5000, "x" * 300 + ".toml", "x" * 300 + ".xlsx", "a\0b", "a\0b.toml", "a\0b.xlsx"])
def test_a_path_that_no_disk_can_hold(tmp_path: Path, name: str) -> None:
    for read in (read_site, read_scenario, read_catalog):
        with pytest.raises(InputError):
            read(tmp_path / name)


def test_a_pipe_and_a_link_to_itself_in_the_place_of_a_table(tmp_path: Path) -> None:
    write_site(tmp_path)
    mkfifo(tmp_path / "site" / "runs.csv")
    (tmp_path / "site" / "owned.csv").symlink_to("owned.csv")
    with pytest.raises(InputError) as error:
        read_site(tmp_path / "site")
    assert messages(error) == [
        "runs.csv: is a device or pipe, not a file; put a file of that name in its place",
        "owned.csv: cannot be read (Too many levels of symbolic links); check the path",
    ]


def test_more_rows_than_are_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "MOST_ROWS", 3)
    wrong = problems_of(tmp_path, {"devices.csv": SCENARIO["devices.csv"] + "door,,1,5,3,hall,9,\n"})
    assert wrong == ["devices.csv: has more than 3 rows; leave out what is not part of the site"]


def test_the_same_mistake_in_every_row_is_told_two_hundred_times(tmp_path: Path) -> None:
    wrong = problems_of(tmp_path, {"devices.csv": DEVICES + "".join(f"cam {one},x,y,hall,30\n" for one in range(300))})
    assert len(wrong) == 402
    assert "devices.csv row 202, class: more of the same follows; mend these first" in wrong


def test_a_folder_in_the_place_of_a_table(tmp_path: Path) -> None:
    (tmp_path / "site" / "devices.csv").mkdir(parents=True)
    assert problems_of(tmp_path, {"devices.csv": None}) == ["devices.csv: is a folder, not a file; put a file of that name in its place"]


def test_a_table_under_a_similar_name_is_pointed_out(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "device.csv").write_text(SCENARIO["devices.csv"])
    assert problems_of(tmp_path, {"devices.csv": None}) == ["devices.csv: does not exist; rename device.csv to devices.csv"]


def test_a_terminal_cannot_be_disturbed_through_a_cell(tmp_path: Path) -> None:
    wrong = problems_of(tmp_path, {"devices.csv": DEVICES + "cam,\x1b[2J,3,hall,30\n"})
    assert wrong == ["devices.csv row 2, watts: '?[2J' holds a control character; write it again by hand"]
    wrong = problems_of(tmp_path, {"devices.csv": "device,watts,place,run_m,\x1b[2J\ncam,5,hall,30,1\n"})
    assert "\x1b" not in wrong[0]
