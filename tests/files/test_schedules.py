"""The schedules say what an installer needs, and open safely in a spreadsheet."""

import csv
import io
import json
from decimal import Decimal
from typing import Any

import pytest
from made_up_kit import KIT, SITE

from equipsel.catalog import Cable, Catalog
from equipsel.files import FILE_NAMES, kit_files
from equipsel.files.csv_out import safe, to_csv
from equipsel.files.schedules.bill import bill_of_materials
from equipsel.files.schedules.owned import kit_as_owned
from equipsel.files.schedules.schedule import Schedule
from equipsel.kit import Kit, Line
from equipsel.scenario import Owned, Scenario
from equipsel.site import Site
from equipsel.variants import with_tables


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    return kit_files(KIT, SITE)


def rows(files: dict[str, bytes], name: str, *columns: str) -> list[tuple[str, ...]]:
    return [tuple(row[column] for column in columns) for row in csv.DictReader(io.StringIO(files[name].decode()))]


def test_all_files_are_there(files: dict[str, bytes]) -> None:
    tables = ("bill_of_materials.csv", "port_schedule.csv", "cable_schedule.csv", "power_budget.csv", "kit_as_owned.csv")
    assert tuple(files) == FILE_NAMES == ("kit.json", *tables, "kit.xlsx", "report.html")


def test_the_same_kit_gives_the_same_bytes(files: dict[str, bytes]) -> None:
    assert kit_files(KIT, SITE) == files


def test_kit_json_names_fields_as_programs_expect(files: dict[str, bytes]) -> None:
    kit = json.loads(files["kit.json"])
    assert kit["connections"][0]["class"] == 3
    assert kit["units"][2]["fed_by"]["injector"] is None


def test_the_bill_of_materials(files: dict[str, bytes]) -> None:
    assert files["bill_of_materials.csv"].decode().splitlines() == [
        "kind,model,place,count,measure,unit_cost,cost,currency,order,part_no,supplier",
        "switch,core,hall,1,piece,200,200,EUR,1,'@007,",
        "switch,mast,'-1 floor,1,piece,90,90,EUR,1,,",
        "cable,cat6,,154.5,m,0.8,123.6,EUR,155,,",
        "extra,cord,,6,piece,2,12,EUR,6,,A",
        "place,opening,hall,1,,50,50,EUR,,,",
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


def test_boxes_are_ordered_whole_and_what_is_there_is_not_ordered() -> None:
    boxed = Cable(model="cat6", price_per_m=Decimal(1), sold_m=Decimal("305"))
    site = Site(Scenario(owned=(Owned(model="core", place="hall", count=1),)), Catalog(switches=SITE.catalog.switches, cables=(boxed,)))
    lines = (
        Line(model="core", kind="switch", place="hall", count=1, unit_cost=0, cost=0),
        Line(model="core", kind="switch", place="hall", count=1, unit_cost=200, cost=200),
        Line(model="cat6", kind="cable", count=2, unit_cost=305, cost=610),
        Line(model="cat6 (pulling)", kind="cable", count=412.5, unit_cost=1, cost=412.5),
        Line(model="energy", kind="energy", count=10.5, unit_cost=1, cost=10.5),
    )
    listed = bill_of_materials(Kit(lines=lines), site)
    at = [listed.columns.index(name) for name in ("measure", "order")]
    assert [tuple(row[one] for one in at) for row in listed.rows] == [
        ("owned", 0), ("piece", 1), ("box of 305 m", 2), ("m", None), ("kWh", None),
    ]  # fmt: skip


def test_units_are_told_outlets_circuits_and_where_their_uplinks_land(files: dict[str, bytes]) -> None:
    assert rows(files, "power_budget.csv", "unit", "outlets", "outlet", "circuit", "uplink_to") == [
        ("hall-1", "2", "1 + 2", "", "core network"),
        ("hall-2", "1", "3", "", ""),
        ("'-1 floor-1", "0", "", "", "hall-1 strong 2"),
    ]
    place = SITE.scenario.places[0].model_copy(update={"circuit_a": Decimal(16), "circuit_v": Decimal(230)})
    site = with_tables(SITE, places=(place, SITE.scenario.places[1]))
    assert rows(kit_files(KIT, site), "power_budget.csv", "circuit") == [("hall, 16 A 230 V",), ("hall, 16 A 230 V",), ("",)]


def test_a_kit_as_owned_counts_what_is_used_and_what_is_there_unused() -> None:
    there = (Owned(model="rail240", place="hall", count=5), Owned(model="inj90", place="hall", count=1))
    site = Site(SITE.scenario.model_copy(update={"owned": there}), SITE.catalog)
    assert set(kit_as_owned(KIT, site).rows) == {
        ("core", "hall", 1), ("rail240", "hall", 5), ("inj90", "hall", 1), ("mast", "-1 floor", 1),
    }  # fmt: skip
