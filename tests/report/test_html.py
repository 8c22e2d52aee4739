"""Elements, texts and numbers of a page."""

import pytest

from equipsel.report.html import element, link, to_text, visible
from equipsel.report.page import css_text
from equipsel.report.table import Row, decimals, figure, money, table


def test_texts_and_attributes_are_escaped() -> None:
    made = element("p", "<b>&", element("i", "x"), "</p>", title='"><script>', class_="a", data_value=2.0, hidden=None)
    assert to_text(made) == '<p title="&quot;&gt;<script&gt;" class="a" data-value="2">&lt;b&gt;&amp;<i>x</i>&lt;/p&gt;</p>'


@pytest.mark.parametrize("text", ["\x00", "\x1b", "\x7f", "\u202e", "\u2066", "\ud800", "\uffff"])
def test_unseen_letters_are_shown_as_such(text: str) -> None:
    assert visible(f"a{text}b") == "a\ufffdb"


@pytest.mark.parametrize("text", ["\u05d0\u200f", "\U0001f469\u200d\U0001f527", "a\tb\nc", "\u00e9"])
def test_letters_of_every_script_stay(text: str) -> None:
    assert visible(text) == text


def test_a_text_in_the_style_sheet_cannot_end_it() -> None:
    assert css_text('a"</style>') == '"a\\22 \\3c \\2f style\\3e "'


def test_a_link_leads_to_an_id() -> None:
    assert to_text(link("run-1", "x")) == '<a href="#run-1">x</a>'


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (12.95, 1, "13"),
        (12.945, 2, "12.95"),
        (1234.5, 2, "1,234.5"),
        (0, 2, "0"),
        (-0.004, 2, "-0"),
        (100, 0, "100"),
        (1e6, 2, "1,000,000"),
    ],
)
def test_numbers_are_rounded_half_up_without_idle_zeros(value: float, digits: int, text: str) -> None:
    assert decimals(value, digits) == text


def test_a_table_keeps_exact_values_and_names_its_rows() -> None:
    made = to_text(
        table("Bill", ("What", "Cost"), [Row(("cable", money(1234.567)), "r-1"), Row(("none", figure(None)))], foot=("total", money(1)))
    )
    assert '<tr id="r-1"><th scope="row">cable</th><td data-value="1234.567">1,234.57</td></tr>' in made
    assert "<tfoot>" in made
    assert '<th scope="col" class="number">Cost</th>' in made
