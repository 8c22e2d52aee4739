"""What the report says, how large it is, and that the same kit gives the same bytes."""

import re
import resource
from html.parser import HTMLParser

import pytest
from crowd import crowd
from kits import CASES, hostile_case, scenario_case

from equipsel.console import CAUTIONS
from equipsel.kit import Why
from equipsel.lengths import Lengths
from equipsel.report import report_html
from equipsel.scenario import Rules

PARTS = (
    "client",
    "summary",
    "bill",
    "diagrams",
    "ports",
    "cables",
    "budget",
    "places",
    "findings",
    "cautions",
    "assumptions",
    "labels",
    "sign-off",
    "origin",
)


class Tags(HTMLParser):
    """Every element of a page with its attributes, in order."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str]]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, {name: value or "" for name, value in attrs}))


def test_the_parts_stand_in_their_order() -> None:
    page = report_html(*scenario_case("workshop")).decode()
    assert tuple(re.findall(r'<section id="([^"]+)"', page)) == PARTS


def test_an_explanation_is_shown_where_the_kit_has_one() -> None:
    kit, site = scenario_case("workshop")
    told = kit.model_copy(update={"why": Why(odd=("Two ports look alike.",), complete=False)})
    page = report_html(told, site).decode()
    assert "Two ports look alike." in page
    assert "Time ran out" in page


def test_the_seconds_of_the_search_leave_no_trace() -> None:
    kit, site = scenario_case("workshop")
    assert report_html(kit.model_copy(update={"seconds": 999.25}), site) == report_html(kit, site)


def test_the_policy_pins_the_one_style_and_the_one_script() -> None:
    page = report_html(*hostile_case()).decode()
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page)[1]
    assert policy.startswith("default-src 'none'; style-src 'sha256-")
    assert "unsafe" not in policy
    tags = Tags(page).found
    assert [tag for tag, _ in tags].count("script") == [tag for tag, _ in tags].count("style") == 1
    assert all(value.startswith("#") for _, attributes in tags for name, value in attributes.items() if name in ("src", "href", "action"))


def test_no_unseen_letter_gets_through() -> None:
    page = report_html(*hostile_case()).decode()
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069\ufffe\uffff]", page)


def test_lengths_in_feet_where_they_are_asked_for() -> None:
    kit, site = scenario_case("yard")
    metric, imperial = (report_html(kit, site, units).decode() for units in Lengths)
    assert '<td data-value="305">305</td>' in metric
    assert '<td data-value="305">1,000.7</td>' in imperial  # 305 / 0.3048
    assert "ext-60w-out at 328.1 ft" in imperial
    assert "Run ft" in imperial
    assert "Run ft" not in metric


def test_the_cautions_are_those_of_the_console() -> None:
    page = report_html(*scenario_case("workshop")).decode()
    for caution in CAUTIONS:
        assert caution in page


def test_every_rule_is_listed_with_who_set_it() -> None:
    page = report_html(*scenario_case("yard")).decode()
    set_by = dict(re.findall(r'<th scope="row">([a-z_]+)</th><td>[^<]*</td><td>[^<]*</td><td>(user|default)</td>', page))
    assert set(set_by) == set(Rules.model_fields) - {"line", "carried"}
    assert {name for name, who in set_by.items() if who == "user"} == {"budget_basis", "spare_watts_pct", "backup_minutes"}


def test_warnings_come_first_in_the_summary_and_notes_do_not() -> None:
    kit, site = scenario_case("yard")
    page = report_html(kit, site).decode()
    summary = page[page.index('<section id="summary"') : page.index('<section id="bill"')]
    assert summary.index("Warnings") < summary.index("quay-end: 3 extenders") < summary.index("The kit")
    assert "<b>Note</b>" not in summary


@pytest.mark.parametrize("name", CASES)
def test_every_picture_has_a_title_and_a_description(name: str) -> None:
    page = report_html(*CASES[name]()).decode()
    tags = Tags(page).found
    pictures = [at for at, (tag, _) in enumerate(tags) if tag == "svg"]
    assert pictures
    for at in pictures:
        (_, picture), (title, named), (desc, described) = tags[at : at + 3]
        assert (title, desc) == ("title", "desc")
        assert (picture["aria-labelledby"], picture["aria-describedby"]) == (named["id"], described["id"])


def test_2000_devices_are_written_in_time_and_in_size() -> None:
    """Measured: 1.6 s of CPU, 3.3 MB."""
    kit, site = crowd(2000)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_utime
    page = report_html(kit, site)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_utime - before < 5
    assert len(page) < 5_000_000
    assert page.count(b'<tr id="run-') == 2000
