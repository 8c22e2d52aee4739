"""Charts: round ticks, bars to scale, and pictures that stay readable."""

import pytest

from equipsel.report.charts import Axis, Bar, Series, bars, lines, ticks
from equipsel.report.html import to_text
from equipsel.report.svg import fitted, wide


@pytest.mark.parametrize(
    ("low", "high", "found"),
    [
        (0, 100, (0, 20, 40, 60, 80, 100)),
        (37, 54.2, (35, 40, 45, 50, 55)),
        (0, 0, (0, 0.2, 0.4, 0.6, 0.8, 1.0)),
        (0, 0.03, (0, 0.01, 0.02, 0.03)),
    ],
)
def test_ticks_are_round_and_cover_the_values(low: float, high: float, found: tuple[float, ...]) -> None:
    assert ticks(low, high) == pytest.approx(found)


@pytest.mark.parametrize(("low", "high"), [(-3, 7), (1, 1), (0, 1e9), (1234.5, 1234.6), (-5, -5)])
def test_ticks_always_cover_the_values_in_a_few_steps(low: float, high: float) -> None:
    found = ticks(low, high)
    assert found[0] <= low <= high <= found[-1]
    assert 2 <= len(found) <= 9


def test_bars_are_as_long_as_their_values() -> None:
    drawn = bars("b", "Cost", "switch 200, cable 100", [Bar("switch", 200, "200"), Bar("cable", 100, "100")])
    lengths = [float(one.get("width") or 0) for one in drawn.iter("rect")]
    assert lengths[0] == 2 * lengths[1] > 0


def test_a_chart_without_values_is_still_drawn() -> None:
    assert "<svg" in to_text(bars("b", "t", "d", [Bar("x", 0, "0")]))
    assert "<svg" in to_text(lines("l", "t", "d", [Series("one", ((0, 0),))], Axis("m"), Axis("V")))


def test_a_step_holds_its_value_until_the_next_point() -> None:
    drawn = lines("l", "t", "d", [Series("one", ((0, 1), (1, 2)), step=True)], Axis("x"), Axis("y"))
    path = next(
        one
        for one in drawn.iter("polyline")
        if len((one.get("points") or "").split()) == 3 and one.get("class") == "stroke" and "," in one.get("points", "")
    )
    assert path is not None


def test_words_are_cut_to_their_room() -> None:
    assert fitted("short", 100) == "short"
    cut = fitted("a name that is much too long for its room", 100)
    assert cut.endswith("\u2026")
    assert wide(cut) <= 100
