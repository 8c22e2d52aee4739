from decimal import Decimal
from pathlib import Path

import pytest
from small_site import read_changed

from equipsel.files import InputError
from equipsel.files.changes import FORM, changed
from equipsel.site import Site

SETTINGS = [
    "rules.spare_watts_pct=30%",
    "devices.cam.watts = 40",
    "devices.cam.class=5",
    "switches.plain.price=0.5",
    "ports.plain.all.count=4",
]


@pytest.fixture
def site(tmp_path: Path) -> Site:
    return read_changed(tmp_path)


def messages(site: Site, *settings: str) -> list[str]:
    with pytest.raises(InputError) as refused:
        changed(site, settings)
    return [str(problem) for problem in refused.value.problems]


def test_rules_devices_and_catalog_rows_change(site: Site) -> None:
    other = changed(
        site,
        [
            "rules.spare_watts_pct=30%",
            "devices.cam.watts = 40",
            "devices.cam.class=5",
            "switches.plain.price=0.5",
            "ports.plain.all.count=4",
        ],
    )
    assert other.rules.spare_watts_pct == 30
    assert (other.scenario.device["cam"].watts, other.scenario.device["cam"].number) == (40, 5)
    assert other.catalog.switch["plain"].price == Decimal("0.5")
    assert [row.count for row in other.catalog.groups["plain"]] == [4]
    assert other.scenario.device["light"] == site.scenario.device["light"]


def test_an_empty_value_is_the_default(site: Site) -> None:
    assert changed(site, ["rules.spare_watts_pct="]).rules.spare_watts_pct == 0
    assert changed(site, ["devices.cam.class="]).scenario.device["cam"].class_ is None


def test_nothing_changes_nothing(site: Site) -> None:
    assert changed(site, []) == site


@pytest.mark.parametrize(
    ("setting", "message"),
    [
        (
            "spare",
            "--set: 'spare' is not a change; " + FORM,
        ),
        ("rule.spare_watts_pct=3", "--set: 'rule' is not a table; did you mean 'rules'?"),
        ("rules.spare_wats_pct=3", "--set, rules.spare_wats_pct: 'spare_wats_pct' is not a column of rules; did you mean spare_watts_pct?"),
        ("rules.spare_watts_pct=lots", "--set, rules.spare_watts_pct: 'lots' is not a number of at least 0 and below 100; write a number"),
        ("devices.cm.watts=3", "--set, devices.cm.watts: 'cm' is not in devices; did you mean 'cam'?"),
        (
            "devices.watts=3",
            "--set, devices.watts: names no row; " + FORM,
        ),
        ("switches.plain.price=", "--set, switches.plain.price: is empty; write a number of at least 0: price of one"),
    ],
)
def test_what_is_wrong_with_a_change_is_said(site: Site, setting: str, message: str) -> None:
    assert messages(site, setting) == [message]


def test_every_wrong_change_is_told_at_once(site: Site) -> None:
    assert len(messages(site, "rules.cable_c=hot", "devices.cam.count=0", "devices.cam.watts=12")) == 2


def test_changes_that_do_not_fit_together_are_refused(site: Site) -> None:
    assert messages(site, "devices.cam.watts=50") == [
        "devices.csv row 2, watts: 50 W is more than class 3 lets a device draw (12.95 W); write class 6, or leave class empty"
    ]
