"""Tables as people and spreadsheets write them give the same scenario and catalog."""

import time
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from books import write_shared
from small_site import CATALOG, SCENARIO, read_changed, write_site

from equipsel.files import InputError, read_catalog, read_scenario, read_site
from equipsel.quantities import milliwatts_up
from equipsel.scenario import Device


def devices(folder: Path, text: str | bytes) -> tuple[Device, ...]:
    return read_changed(folder, {"devices.csv": text}).scenario.devices


def test_the_site_reads_as_it_is_written(tmp_path: Path) -> None:
    site = read_changed(tmp_path)
    cam = site.scenario.devices[0]
    assert (cam.device, cam.count, cam.watts, cam.class_, cam.run_m) == ("cam", 2, Decimal("12.5"), 3, Decimal(30))
    assert site.scenario.title == "Invented kiosk"
    assert site.rules.spare_watts_pct == 20
    assert [row.feed for row in site.catalog.switches] == ["mains", "supply", "port"]


def test_the_three_calls_agree(tmp_path: Path) -> None:
    path = write_site(tmp_path)
    site, catalog = read_site(path), read_catalog(tmp_path / "catalog")
    assert catalog == site.catalog
    assert read_scenario(path, catalog) == site.scenario == read_scenario(path)
    assert read_site(path / "scenario.toml") == site
    assert read_site(str(path), str(tmp_path / "catalog")) == site


def test_a_given_catalog_goes_before_the_one_in_the_scenario(tmp_path: Path) -> None:
    path = write_site(tmp_path, {"scenario.toml": 'catalog = "nowhere"\n'})
    assert read_site(path, tmp_path / "catalog").catalog.switches


def test_a_scenario_is_checked_against_the_catalog_it_is_read_with(tmp_path: Path) -> None:
    path = write_site(tmp_path, {"owned.csv": "model,place,count\nplane,hall,1\n"})
    assert read_scenario(path).owned
    with pytest.raises(InputError, match="did you mean 'plain'"):
        read_scenario(path, read_catalog(tmp_path / "catalog"))


@pytest.mark.parametrize("bom", ["", "\ufeff"])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_bom_line_ends_and_separators_make_no_difference(tmp_path: Path, bom: str, newline: str, delimiter: str) -> None:
    text = bom + SCENARIO["devices.csv"].replace(",", delimiter).replace("\n", newline)
    assert devices(tmp_path, text.encode()) == devices(tmp_path, SCENARIO["devices.csv"])


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_a_decimal_comma_is_a_point_where_the_separator_is_no_comma(tmp_path: Path, delimiter: str) -> None:
    text = SCENARIO["devices.csv"].replace(",", delimiter).replace("12.5", "12,5").replace("45.5", "45,5")
    assert devices(tmp_path, text) == devices(tmp_path, SCENARIO["devices.csv"])


def test_a_comma_in_a_text_stays_a_comma(tmp_path: Path) -> None:
    (cam,) = devices(tmp_path, "device;watts;place;run_m;note\ncam 1,5;5;hall;1,5;3,5 m up\n")
    assert (cam.device, cam.run_m, cam.carried) == ("cam 1,5", Decimal("1.5"), (("note", "3,5 m up"),))


def test_feet_are_metres_exactly(tmp_path: Path) -> None:
    changes: dict[str, str | bytes | None] = {
        "devices.csv": "device,watts,place,run_ft\ncam,5,hall,1000\n",
        "cables.csv": "model,price_per_ft,awg,sold_ft,install_cost_per_ft\ncat6,0.3048,23,1000,0.6096\n",
        "runs.csv": "from,to,run_ft\ncam,loft,10\n",
        "extenders.csv": "model,price,own_w,in_class,port_w,span_ft\next,90,3,8,60,250\n",
        "scenario.toml": 'catalog = "../catalog"\n[rules]\nspan_ft = 300\nrun_extra_ft = 10.5\n',
    }
    site = read_changed(tmp_path, changes)
    cable = site.catalog.cables[0]
    assert site.scenario.devices[0].run_m == Decimal("304.8")
    assert (cable.price_per_m, cable.sold_m, cable.install_cost_per_m) == (1, Decimal("304.8"), 2)
    assert site.scenario.runs[0].run_m == Decimal("3.048")
    assert site.catalog.extenders[0].span_m == Decimal("76.2")
    assert (site.rules.span_m, site.rules.run_extra_m) == (Decimal("91.44"), Decimal("3.2004"))


@pytest.mark.parametrize(("word", "value"), [("yes", True), ("No", False), ("TRUE", True), ("false", False), ("1", True), ("0", False)])
def test_yes_and_no_in_every_word(tmp_path: Path, word: str, value: bool) -> None:
    (cam,) = devices(tmp_path, f"device,watts,place,run_m,backup\ncam,5,hall,30,{word}\n")
    assert cam.backup is value


def test_an_empty_cell_and_a_missing_column_take_the_default(tmp_path: Path) -> None:
    empty, missing = (
        devices(tmp_path, "device,watts,place,run_m,count,port_mbps\na,5,hall,30,,\n"),
        devices(tmp_path, "device,watts,place,run_m\na,5,hall,30\n"),
    )
    assert empty == missing
    assert (empty[0].count, empty[0].port_mbps) == (1, 100)


def test_free_columns_are_carried_unchanged(tmp_path: Path) -> None:
    (cam,) = devices(tmp_path, "Device,watts,place,run_m,Label,note for Ana,part_no\ncam,5,hall,30,=A1,,007\n")
    assert cam.carried == (("label", "=A1"), ("note for Ana", ""), ("part_no", "007"))


def test_what_a_spreadsheet_leaves_blank_is_skipped_and_rows_keep_their_numbers(tmp_path: Path) -> None:
    text = "device,watts,place,run_m,,\n\na,5,hall,30,,\n,,,,,\nb,5,hall,30,,\n,,,,,\n   ,,,,,\n\n"
    assert [(row.device, row.line) for row in devices(tmp_path, text)] == [("a", 3), ("b", 5)]


def test_capitals_in_names_of_columns_and_files_make_no_difference(tmp_path: Path) -> None:
    site = read_changed(tmp_path, {"devices.csv": None, "Devices.CSV": SCENARIO["devices.csv"].replace("run_m", "Run_m")})
    assert len(site.scenario.devices) == 3


def test_ip_codes_and_temperatures(tmp_path: Path) -> None:
    site = read_changed(tmp_path, {"places.csv": "place,ip,low_c\nhall,IP6X,-20\n"})
    assert (site.scenario.places[0].ip, site.scenario.places[0].low_c) == ((6, 0), -20)


def test_numbers_stay_exact(tmp_path: Path) -> None:
    (cam,) = devices(tmp_path, "device,watts,place,run_m\ncam,1.295E+01,hall,0.1\n")
    assert (milliwatts_up(cam.watts or 0), cam.run_m * 3) == (12950, Decimal("0.3"))


def test_a_percent_sign_is_understood_in_percentages(tmp_path: Path) -> None:
    site = read_changed(
        tmp_path, {"scenario.toml": 'catalog = "../catalog"\n[rules]\nspare_watts_pct = "12.5%"\nbudget_basis = "Stated"\n'}
    )
    assert (site.rules.spare_watts_pct, site.rules.budget_basis) == (Decimal("12.5"), "stated")


def test_an_extra_for_a_kind_that_this_site_lacks_is_no_mistake(tmp_path: Path) -> None:
    site = read_changed(tmp_path, {"extras.csv": "item,price,per,for\nmount,9,device,door station\n"})
    assert site.catalog.extras[0].for_ == "door station"


@pytest.mark.parametrize("form", ["folder", "workbook"])
def test_ten_thousand_devices_read_and_validate_within_three_seconds(tmp_path: Path, form: str) -> None:
    head = [*("device", "kind", "count", "watts", "class", "place", "run_m", "cable", "mbps", "port_mbps", "existing_cable"), "label"]
    rows = [[f"cam {one}", "camera", 1, 12.5, 3, "hall", one % 90 + 0.5, "cat6", 4, 100, "no", f"L{one}"] for one in range(10_000)]
    path = write_site(tmp_path, {"places.csv": "place\nhall\n"})
    if form == "folder":
        (path / "devices.csv").write_text("\n".join(",".join(map(str, row)) for row in [head, *rows]))
    else:
        (path / "devices.csv").unlink()
        write_shared(path / "site.xlsx", {"devices": [head, *rows]})
    started = time.process_time()
    assert len(read_site(path).scenario.devices) == 10_000
    spent, bare = time.process_time() - started, _bare_s(path / "site.xlsx") if form == "workbook" else 0.0
    # on a slow machine, where openpyxl alone takes long to hand over the cells: at most three times as long
    assert spent < max(3, 3 * bare)


def _bare_s(path: Path) -> float:
    """Seconds that openpyxl by itself takes to read a workbook."""
    started = time.process_time()
    for sheet in openpyxl.load_workbook(path, read_only=True):
        for _ in sheet.iter_rows(values_only=True):
            pass
    return time.process_time() - started


def test_the_catalog_alone_needs_no_scenario(tmp_path: Path) -> None:
    write_site(tmp_path)
    assert [row.model for row in read_catalog(tmp_path / "catalog").switches] == ["plain", "modular", "mast"]
    (tmp_path / "catalog" / "supplies.csv").write_text(CATALOG["supplies.csv"].replace("rail,", "rial,"))
    with pytest.raises(InputError, match="no supply has fit = 'rail'"):
        read_catalog(tmp_path / "catalog")
