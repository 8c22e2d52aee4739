"""Kits are read from JSON, and what is wrong with one is said in words."""

# ruff: noqa: E501 - whole messages are compared, and read best on one line

import json
from pathlib import Path
from typing import Any

import pytest

from equipsel.files import InputError, read_kit

CONNECTION = {"device": "cam", "place": "hall", "unit": "hall-1", "group": "all", "port": 1}


def kit(**changes: Any) -> dict[str, Any]:
    return {"status": "optimal", "units": [{"unit": "hall-1", "model": "plain", "place": "hall"}], "connections": [CONNECTION], **changes}


def problems_of(folder: Path, content: bytes) -> list[str]:
    (folder / "kit.json").write_bytes(content)
    with pytest.raises(InputError) as error:
        read_kit(folder / "kit.json")
    return [str(problem) for problem in error.value.problems]


def test_a_kit_made_by_hand_may_leave_out_what_can_be_recomputed(tmp_path: Path) -> None:
    (tmp_path / "kit.json").write_text("\ufeff" + json.dumps(kit()), encoding="utf-8")
    read = read_kit(tmp_path / "kit.json")
    assert (read.connections[0].device, read.cost, read.lines) == ("cam", None, None)


def test_a_kit_written_is_read_back_the_same(tmp_path: Path) -> None:
    (tmp_path / "kit.json").write_text(json.dumps(kit(connections=[{**CONNECTION, "class": 3, "amps": 0.25}])))
    first = read_kit(tmp_path / "kit.json")
    (tmp_path / "kit.json").write_text(first.to_json())
    assert read_kit(tmp_path / "kit.json") == first
    assert first.connections[0].class_ == 3


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"status": "fine"},
            "kit.json, status: \"fine\" is not one of the words it may be; write 'optimal', 'feasible', 'infeasible' or 'stopped'",
        ),
        (
            {"connections": [{**CONNECTION, "port": "one"}]},
            'kit.json, connections[0].port: "one" is not a whole number; write a whole number',
        ),
        ({"connections": [{**CONNECTION, "port": 1.5}]}, "kit.json, connections[0].port: 1.5 is not a whole number; write a whole number"),
        (
            {"connections": [{**CONNECTION, "devise": "x"}]},
            "kit.json, connections[0].devise: is not a field of a kit; did you mean device?",
        ),
        (
            {"connections": [{"place": "hall", "unit": "hall-1", "group": "all", "port": 1}]},
            "kit.json, connections[0].device: is missing; add it",
        ),
        (
            {"connections": [{**CONNECTION, "extenders": [{"modle": "x", "model": "x"}]}]},
            "kit.json, connections[0].extenders[0].modle: is not a field of a kit; did you mean model?",
        ),
        ({"connections": 3}, "kit.json, connections: 3 is not a list; write a list"),
        ({"cost": "much"}, 'kit.json, cost: "much" is not a number; write a number'),
        ({"conections": []}, "kit.json, conections: is not a field of a kit; did you mean connections?"),
    ],
)
def test_a_wrong_field_is_told_with_its_path(tmp_path: Path, changes: dict[str, Any], message: str) -> None:
    assert problems_of(tmp_path, json.dumps(kit(**changes)).encode()) == [message]


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"{", "kit.json: is not JSON: Expecting property name enclosed in double quotes at line 1, column 2; mend it there"),
        (b"", "kit.json: is not JSON: Expecting value at line 1, column 1; mend it there"),
        (b"[]", "kit.json: holds no object; it must begin with { and hold units, connections"),
        (
            b'{"cost": NaN}',
            "kit.json: is not JSON that can be used (NaN is not a finite number); write plain numbers, and no deeper nesting than a kit has",
        ),
        (
            b'{"cost": 1e999}',
            "kit.json: is not JSON that can be used (1e999 is not a finite number); write plain numbers, and no deeper nesting than a kit has",
        ),
        (b"\x00\x01", "kit.json: is not a text file; save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)"),
        (
            b'{"currency": "\xe9"}',
            "kit.json: is not UTF-8 text (line 1 holds byte 0xE9); save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)",
        ),
    ],
)
def test_what_is_no_kit_at_all(tmp_path: Path, content: bytes, message: str) -> None:
    assert problems_of(tmp_path, content) == [message]


def test_nesting_and_digits_without_end(tmp_path: Path) -> None:
    assert len(problems_of(tmp_path, b"[" * 200_000)) == 1
    assert len(problems_of(tmp_path, b'{"cost": ' + b"9" * 100_000 + b"}")) == 1


def test_a_kit_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"none\.json: does not exist; check the path"):
        read_kit(tmp_path / "none.json")
