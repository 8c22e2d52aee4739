"""The schedules say what an installer needs, and open safely in a spreadsheet."""

import csv
import io
import json
from typing import Any

import pytest
from made_up_kit import KIT, SITE

from equipsel.catalog import Catalog
from equipsel.files import FILE_NAMES, kit_files
from equipsel.files.csv_out import safe, to_csv
from equipsel.files.schedules.schedule import Schedule
from equipsel.scenario import Owned, Scenario
from equipsel.site import Site


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    return kit_files(KIT, SITE)


def rows(files: dict[str, bytes], name: str, *columns: str) -> list[tuple[str, ...]]:
    return [tuple(row[column] for column in columns) for row in csv.DictReader(io.StringIO(files[name].decode()))]


def test_all_files_are_there(files: dict[str, bytes]) -> None:
    tables = ("bill_of_materials.csv", "port_schedule.csv", "cable_schedule.csv", "power_budget.csv")
    assert tuple(files) == FILE_NAMES == ("kit.json", *tables, "report.html")


def test_the_same_kit_gives_the_same_bytes(files: dict[str, bytes]) -> None:
    assert kit_files(KIT, SITE) == files


def test_kit_json_names_fields_as_programs_expect(files: dict[str, bytes]) -> None:
    kit = json.loads(files["kit.json"])
    assert kit["connections"][0]["class"] == 3
    assert kit["units"][2]["fed_by"]["injector"] is None


def test_the_bill_of_materials(files: dict[str, bytes]) -> None:
    assert files["bill_of_materials.csv"].decode().splitlines() == [
        "kind,model,place,count,unit_cost,cost,currency,part_no,supplier",
        "switch,core,hall,1,200,200,EUR,'@007,",
        "switch,mast,'-1 floor,1,90,90,EUR,,",
        "cable,cat6,,154.5,0.8,123.6,EUR,,",
        "extra,cord,,6,2,12,EUR,,A",
        "place,opening,hall,1,50,50,EUR,,",
    ]


def test_the_port_schedule_lists_every_port_with_what_it_leads_to(files: dict[str, bytes]) -> None:
    assert rows(files, "port_schedule.csv", "unit", "group", "port", "port_w", "use", "connected_to", "class") == [
        ("hall-1", "strong", "1", "90", "device", "cam.3", "3"),
        ("hall-1", "strong", "2", "90", "switch", "'-1 floor-1", "6"),
        ("hall-1", "data", "1", "0", "injector data", "hall-2 port 1", ""),
        ("hall-2", "", "1", "90", "device", "light", "8"),
        ("'-1 floor-1", "out", "1", "15.4", "device", "cam.1", "3"),
        ("'-1 floor-1", "out", "2", "15.4", "device", "cam.2", "3"),
        ("'-1 floor-1", "out", "3", "15.4", "device", "clock", ""),
    ]


def test_a_free_port_is_listed_as_free() -> None:
    fewer = KIT.model_copy(update={"connections": KIT.connections[1:]})
    listed = rows(kit_files(fewer, SITE), "port_schedule.csv", "unit", "port", "use", "connected_to", "reserved_w", "label")
    assert ("'-1 floor-1", "1", "free", "", "", "") in listed


def test_the_port_schedule_tells_watts_volts_amps_extenders_and_labels(files: dict[str, bytes]) -> None:
    columns = ("connected_to", "reserved_w", "pd_volts", "amps", "run_m", "extenders", "label")
    listed = rows(files, "port_schedule.csv", *columns)
    assert ("cam.1", "15.4", "43.1", "0.28", "66", "", "'=C") in listed
    assert ("light", "", "", "", "275", "ext at 100 m; ext at 200 m", "") in listed


def test_the_cable_schedule_numbers_every_run_and_tells_which_cables_are_there(files: dict[str, bytes]) -> None:
    assert rows(files, "cable_schedule.csv", "run", "unit", "group", "port", "to", "use", "run_m", "existing", "label") == [
        ("1", "'-1 floor-1", "out", "1", "cam.1", "device", "66", "yes", "shaft"),
        ("2", "'-1 floor-1", "out", "2", "cam.2", "device", "66", "no", "shaft"),
        ("3", "hall-1", "strong", "1", "cam.3", "device", "33", "no", "'=C"),
        ("4", "hall-2", "", "1", "light", "device", "275", "yes", ""),
        ("5", "'-1 floor-1", "out", "3", "clock", "device", "5.5", "no", ""),
        ("6", "hall-1", "strong", "2", "'-1 floor-1", "switch", "22", "no", ""),
    ]


def test_the_cable_schedule_tells_what_a_meter_should_read(files: dict[str, bytes]) -> None:
    readings = rows(files, "cable_schedule.csv", "cable", "class", "pse_w", "pd_volts", "pd_w", "pd_amps", "amps", "loss_w")
    assert readings[0] == ("cat6", "3", "12.5", "43.1", "12", "0.2784", "0.28", "0.5")  # 12 W / 43.1 V at the device


def test_the_power_budget(files: dict[str, bytes]) -> None:
    columns = ("unit", "supplies", "fed_by", "budget_w", "free_w", "reserved_pct", "heat_btu_h", "outlets")
    assert rows(files, "power_budget.csv", *columns) == [
        ("hall-1", "rail240; rail240", "", "470", "350", "25.5", "34.1", "2"),
        ("hall-2", "", "", "90", "0", "100", "17.1", "1"),
        ("'-1 floor-1", "", "hall-1 strong 2", "46.2", "0", "100", "", "0"),
    ]


def test_the_power_budget_counts_free_ports(files: dict[str, bytes]) -> None:
    fewer = kit_files(KIT.model_copy(update={"connections": KIT.connections[:2]}), SITE)
    columns = ("unit", "powered_ports", "powered_ports_free", "data_ports_free")
    assert rows(files, "power_budget.csv", *columns) == [
        ("hall-1", "2", "0", "0"),
        ("hall-2", "1", "0", "0"),
        ("'-1 floor-1", "3", "0", "0"),
    ]
    assert rows(fewer, "power_budget.csv", *columns) == [
        ("hall-1", "2", "1", "1"),
        ("hall-2", "1", "1", "0"),
        ("'-1 floor-1", "3", "1", "0"),
    ]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx"])
def test_a_text_that_looks_like_a_formula_gets_an_apostrophe(text: str) -> None:
    assert safe(text) == "'" + text


@pytest.mark.parametrize("cell", [-1, -1.5, 0, None, "a=b", "", "1-2"])
def test_numbers_and_other_texts_stay_as_they_are(cell: Any) -> None:
    assert safe(cell) is cell


def test_numbers_are_written_as_numbers_and_texts_are_quoted_where_needed() -> None:
    table = Schedule("x", ("=a", "b", "c"), ((-1.5, 'say "a, b"', None), (3, "\u00e9\nnext", "")))
    assert to_csv(table).decode() == '\'=a,b,c\n-1.5,"say ""a, b""",\n3,"\u00e9\nnext",\n'


def test_a_feed_has_its_readings_too() -> None:
    """A fed switch's line is one that an installer measures like any other."""
    fed = next(unit for unit in KIT.units if unit.fed_by)
    read = {"reserved_w": 60, "pse_w": 31.5, "pd_w": 30, "pd_volts": 48, "amps": 0.63, "loss_w": 1.5}
    above = fed.fed_by.model_copy(update=read)
    units = tuple(unit.model_copy(update={"fed_by": above}) if unit is fed else unit for unit in KIT.units)
    listed = rows(kit_files(KIT.model_copy(update={"units": units}), SITE), "cable_schedule.csv", "use", "pse_w", "pd_volts", "pd_amps")
    assert ("switch", "31.5", "48", "0.625") in listed


def test_ports_places_and_owned_rows_carry_their_columns_too() -> None:
    unit = KIT.units[0].model_copy(update={"owned": True})
    group = SITE.catalog.groups[unit.model][0].model_copy(update={"carried": (("note_port", "left half"),)})
    others = tuple(row for row in SITE.catalog.ports if (row.model, row.group) != (group.model, group.group))
    bought = Catalog(**{**dict(SITE.catalog), "ports": (group, *others)})
    place = SITE.scenario.place[unit.place].model_copy(update={"carried": (("note_place", "under the stairs"),)})
    owned = Owned(model=unit.model, place=unit.place, count=1, carried=(("note_own", "from 2020"),))
    rest = tuple(row for row in SITE.scenario.place.values() if row.place != unit.place)
    described = Scenario(**{**dict(SITE.scenario), "places": (place, *rest), "owned": (owned,)})
    files = kit_files(KIT.model_copy(update={"units": (unit, *KIT.units[1:])}), Site(described, bought))
    assert (unit.unit, "under the stairs", "from 2020") in rows(files, "power_budget.csv", "unit", "note_place", "note_own")
    assert (unit.unit, group.group, "left half") in rows(files, "port_schedule.csv", "unit", "group", "note_port")
