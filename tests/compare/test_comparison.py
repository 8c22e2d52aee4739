"""A whole comparison on the workshop's lists: the same twice, never dearer together, and what each table says."""

import json
from decimal import Decimal
from pathlib import Path

import pytest

from equipsel.compare.ask import Question
from equipsel.compare.comparison import Comparison
from equipsel.compare.figures import CRITERIA
from equipsel.compare.files import FILE_NAMES, comparison_files, comparison_json
from equipsel.compare.near import NearKits
from equipsel.compare.options import Asked, options
from equipsel.compare.pieces import Studies, compare
from equipsel.compare.stepwise import worked_out
from equipsel.compare.text import comparison_text
from equipsel.workers import workers

ROOT = Path(__file__).parents[2]
WORKSHOP = ROOT / "scenarios" / "workshop"


def lists(*names: str) -> tuple[Path, ...]:
    return tuple(ROOT / "catalogs" / name for name in names)


def compared(asked: Asked, studies: Studies) -> Comparison:
    """In this process."""
    return compare(options(WORKSHOP, asked), studies, workers(1))


@pytest.fixture(scope="module")
def three() -> Comparison:
    return compared(Asked(lists("generic", "large", "small"), settings=("rules.spare_watts_pct=40",)), Studies(gap=Decimal(0)))


def test_the_same_catalog_twice_gives_identical_columns() -> None:
    found = compared(Asked(lists("generic", "generic")), Studies())
    one, other, both = found.figures()
    assert one == other == both
    assert found.differences() == []
    assert not any(found.best().values())
    assert found.mixing_saves() == {"": Decimal(0)}


def test_together_is_never_dearer_than_the_cheapest_alone(three: Comparison) -> None:
    kits = [three.kits[place] for place in range(4)]
    assert all(kit.cost == kit.lower_bound for kit in kits)
    cheapest = min(kit.cost or 0 for kit in kits[:3])
    assert (kits[3].lower_bound or 0) <= cheapest
    assert (kits[3].cost or 0) <= cheapest
    assert three.mixing_saves()[""] == Decimal(str(cheapest)) - Decimal(str(kits[3].cost))


def test_costs_add_up_and_a_change_is_valued_against_the_same_catalog(three: Comparison) -> None:
    for found in three.figures():
        parts = [found[key] or 0 for key in ("equipment", "installation", "cable", "energy")]
        assert round(sum(parts), 2) == found["cost"]
    assert three.more(0) is None
    assert three.more(4) == Decimal(str(three.kits[4].cost)) - Decimal(str(three.kits[0].cost)) > 0


def test_the_best_of_a_figure_is_marked_by_a_word(three: Comparison) -> None:
    text = comparison_text(three, "Workshop", 200)
    row = next(line for line in text.splitlines() if line.strip().startswith("cost EUR"))
    assert row.count("best") == len(three.best()["cost"]) >= 1
    assert set(json.loads(comparison_json(three))["options"][0]["figures"]) == {column.key for column in CRITERIA}
    assert set(comparison_files(three)) <= set(FILE_NAMES)


def test_an_option_without_a_kit_says_why() -> None:
    found = compared(Asked(settings=("places.cabinet.rack_u=0; places.cabinet.outlets=0",)), Studies())
    assert found.refusals(0) == []
    assert found.refusals(1)
    assert "no kit: " in comparison_text(found, "Workshop", 100)


def test_processes_give_the_same_and_studies_come_along() -> None:
    asked = Asked(settings=("rules.spare_watts_pct=40",))
    found = compare(options(WORKSHOP, asked), Studies(near=3, within_pct=Decimal(2)), workers(2, apart=True))
    assert found.figures() == compared(asked, Studies()).figures()
    assert found.near
    alone = worked_out(NearKits(Question(found.options[0].site), 3, Decimal(2)))
    assert [one.bought for one in found.near.kits] == [one.bought for one in alone.kits]
    assert len({tuple(one.bought.items()) for one in found.near.kits}) == len(found.near.kits) == 3
    content = json.loads(comparison_json(found))
    assert [one["cost"] for one in content["near"]["kits"]] == sorted(one["cost"] for one in content["near"]["kits"])
