"""A kit's status, bound and gap, and what a kit without lines is told of batteries."""

import pytest
from good_kit import Case


@pytest.mark.parametrize(
    ("fields", "word"),
    [
        ({"status": "infeasible"}, "status is infeasible"),
        ({"status": "stopped"}, "status is stopped"),
        ({"lower_bound": 99_999}, "lower bound is 99999"),
        ({"lower_bound": 0, "gap": -3}, "gap is -3"),
        ({"lower_bound": 0, "gap": 0}, "by its cost and bound it is 1"),
    ],
)
def test_an_answer_that_contradicts_itself(fields: dict[str, object], word: str) -> None:
    case = Case()
    case.state_everything()
    case.kit.update(fields)
    assert any(word in message for message in case.broken()["cost"])


def test_a_kit_without_lines_is_only_warned_of_batteries() -> None:
    case = Case()
    case.device("cam")["backup"] = True
    case.rules["backup_minutes"] = 30
    assert case.broken() == {}
    assert case.remarks()["backup"]


def test_what_a_feed_states_is_compared() -> None:
    case = Case()
    above = case.unit("mast-1")["fed_by"]
    above["reserved_w"] = 45
    assert case.broken() == {}
    above["reserved_w"] = 44
    assert list(case.broken()) == ["connection figures"]
    above.update(reserved_w=45, pse_w=1)
    assert list(case.broken()) == ["connection figures"]
