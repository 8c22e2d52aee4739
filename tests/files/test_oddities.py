"""What is legal but odd is told of, whole text for whole text, and keeps no site from being read."""

# ruff: noqa: E501 - whole messages are compared, and read best on one line

from pathlib import Path

import pytest
from small_site import CATALOG, SCENARIO, read_changed
from typer.testing import CliRunner

from equipsel.cli import app
from equipsel.files.checks.extras import one_slip

DEVICES = "device,count,watts,place,run_m\n"
TOML = SCENARIO["scenario.toml"]
DEAD_END = "shorten the run, name a nearer place, or allow extenders"

ODD = [
    (
        {"devices.csv": DEVICES + "cam,400,25,hall,30\nlamp,200,10,hall,31\n"},
        "devices.csv: the devices ask for 12,000 W together, 400 x 25 W of it in row 2 ('cam'); check count and watts: watts are those of one device",
    ),
    (
        {"devices.csv": DEVICES + "cam,1,5,hall,3\nlamp,1,5,hall,3.0\nbell,1,5,hall,3\n"},
        "devices.csv: every run is 3 m; write the length of each cable, port to device: it decides volts and cost",
    ),
    (
        {"devices.csv": DEVICES + "cam,1,5,hall,30\nfar,1,5,hall,120\n"},
        f"devices.csv row 3, run_m: 'far': beyond the 100 m that data reaches, and the catalog has no extenders; {DEAD_END}",
    ),
    (
        {
            "devices.csv": DEVICES + "far,1,5,hall,120\n",
            "extenders.csv": "model,price,own_w,in_class,port_w\nhop,70,3,4,20\n",
            "scenario.toml": TOML + "max_extenders = 0\n",
        },
        f"devices.csv row 2, run_m: 'far': beyond the 100 m that data reaches, and max_extenders is 0; {DEAD_END}",
    ),
    (
        {"places.csv": "place\nhall\nattic\ncellar\n"},
        "places.csv row 3, place: 'attic', 'cellar': no device, run or owned unit is there; check the name",
    ),
    (
        {"scenario.toml": TOML.replace("= 20", "= 0.2")},
        "scenario.toml, rules.spare_watts_pct: 0.2 is less than one percent; write 20 if 20 % was meant",
    ),
    (
        {"switches.csv": CATALOG["switches.csv"].replace(",100,", ",0,").replace(",150,", ",0.00,")},
        "switches.csv row 2, price: 'plain', 'modular' cost nothing; check the price",
    ),
    (
        {"cables.csv": CATALOG["cables.csv"].replace("0.8", "0")},
        "cables.csv row 2, price_per_m: 'cat6' costs nothing; check the price",
    ),
    (
        {"ports.csv": CATALOG["ports.csv"] + "plain,weak,2,3.5\n"},
        "ports.csv row 5, port_w: a port of 3.5 W powers nothing: the lowest class takes 4.0 W; check the watts, or write 0 for data only",
    ),
    (
        {"supplies.csv": CATALOG["supplies.csv"] + "brick,30,plug,90\n"},
        "supplies.csv row 3, fit: no switch of feed = supply takes 'plug', so 'brick' is never used; write the supply_fit of a switch, or drop the row",
    ),
    (
        {
            "switches.csv": CATALOG["switches.csv"]
            .replace("in_class,part_no", "in_class,own_w")
            .replace("rail,,", "rail,,241")
            .replace("P-1", "1")
        },
        "switches.csv row 3, own_w: 'modular' draws 241 W itself, and the supplies that fit it give 240 W at most: it is never used; check own_w, supply_slots and the watts of its supplies",
    ),
    (
        {"switches.csv": CATALOG["switches.csv"].replace("in_class,part_no", "in_class,own_w").replace(",6,", ",6,46").replace("P-1", "1")},
        "switches.csv row 4, own_w: 'mast' needs 51.11 W itself, and gets 51 W at most (in_class 6, best port 90 W): it is never used; check own_w and in_class, or add a stronger port",
    ),
    (
        {"extenders.csv": "model,price,own_w,in_class,port_w\nhop,70,13,3,20\n"},
        "extenders.csv row 2, own_w: 'hop' needs 13 W itself, and gets 12.95 W at most (in_class 3, best port 90 W): it is never used; check own_w and in_class, or add a stronger port",
    ),
    (
        {"bundles.csv": "awg,cables_up_to,amps_per_conductor\n22,24,0.4\n"},
        "bundles.csv row 2, awg: no cable is of 22 AWG, so the limit holds for nothing; check the gauge",
    ),
]


@pytest.mark.parametrize(("changes", "warning"), ODD)
def test_what_is_odd_is_told_of_in_exactly_these_words(tmp_path: Path, changes: dict[str, str | bytes | None], warning: str) -> None:
    assert read_changed(tmp_path, changes).warnings == (warning,)


NOT_ODD: list[dict[str, str | bytes | None]] = [
    {},
    {"devices.csv": DEVICES + "cam,400,25,hall,30\n"},
    {"devices.csv": DEVICES + "cam,1,5,hall,3\nlamp,1,5,hall,3\n"},
    {"devices.csv": DEVICES + "cam,1,5,hall,30\nlamp,1,5,hall,30\nbell,1,5,hall,30\n"},
    {"devices.csv": DEVICES + "far,1,5,hall,120\n", "runs.csv": "from,to,run_m\nfar,loft,90\n"},
    {"places.csv": "place\nhall\nattic\n", "owned.csv": "model,place,count\nplain,attic,1\n"},
    {"places.csv": "place\nhall\nattic\n", "runs.csv": "from,to,run_m\nattic,hall,20\n"},
    {"scenario.toml": TOML.replace("= 20", "= 1")},
    {"extenders.csv": "model,price,own_w,in_class,port_w\nhop,70,12.95,3,4\n"},
    {"bundles.csv": "awg,cables_up_to,amps_per_conductor\n23,24,0.4\n"},
    {"extras.csv": "item,price,per,for\nmount,9,device,door station\n"},
]


@pytest.mark.parametrize("changes", NOT_ODD)
def test_what_is_near_the_odd_and_in_order(tmp_path: Path, changes: dict[str, str | bytes | None]) -> None:
    assert read_changed(tmp_path, changes).warnings == ()


def test_warnings_go_to_standard_error_and_change_neither_kit_nor_exit_code(tmp_path: Path) -> None:
    read_changed(tmp_path, {"cables.csv": CATALOG["cables.csv"].replace("0.8", "0")})
    done = CliRunner().invoke(app, ["kit", str(tmp_path / "site"), "--json"])
    assert (done.exit_code, done.stderr) == (0, "warning: cables.csv row 2, price_per_m: 'cat6' costs nothing; check the price\n")
    assert "costs nothing" not in done.stdout
    (tmp_path / "kit.json").write_text(done.stdout)
    assert CliRunner().invoke(app, ["check", str(tmp_path / "site"), str(tmp_path / "kit.json")]).stderr == done.stderr


@pytest.mark.parametrize(
    ("one", "other", "slip"),
    [
        ("camm", "cam", True),
        ("cmaera", "camera", True),
        ("camera", "camara", True),
        ("lights", "light", True),
        ("lamp", "ramp", False),
        ("ap", "tap", False),
        ("camera-1", "camera-2", False),
        ("cam1", "cam", False),
        ("light", "lihgts", False),
        ("camera", "camera", False),
        ("door", "phone", False),
    ],
)
def test_slips_of_the_finger(one: str, other: str, slip: bool) -> None:
    assert (one_slip(one, other), one_slip(other, one)) == (slip, slip)
