"""What is wrong with a kit.xlsx is told; texts in it are taken apart as they were put together."""

from pathlib import Path

import pytest

from equipsel.files import InputError, read_kit
from equipsel.files.kit_xlsx.read import _extenders
from equipsel.workbook import Field, Form, Sheet, workbook

PORT_FIELDS = [Field("Unit"), Field("Port", form=Form.WHOLE), Field("Use"), Field("Leads to")]
PORTS = Sheet("port schedule", "", PORT_FIELDS, [("a", "x", "device", "d")])
POWER = Sheet("power budget", "", [Field("Unit"), Field("Model"), Field("Place")], [("a", "m", "p")])


def problems(path: Path, *sheets: Sheet) -> list[str]:
    path.write_bytes(workbook(sheets, title=""))
    with pytest.raises(InputError) as raised:
        read_kit(path)
    return [str(problem) for problem in raised.value.problems]


def test_a_workbook_without_a_kit_is_refused(tmp_path: Path) -> None:
    found = problems(tmp_path / "k.xlsx", POWER)
    assert found == [
        "k.xlsx: has no sheet called port schedule, or nothing on it; give the kit.xlsx that `equipsel kit --out` writes, or a kit.json"
    ]


def test_a_wrong_cell_is_told(tmp_path: Path) -> None:
    assert any("connections[0].port" in problem and "whole number" in problem for problem in problems(tmp_path / "k.xlsx", PORTS, POWER))


@pytest.mark.parametrize(
    ("text", "models"),
    [
        ("ext at 100 m; ext at 200.5 m", [("ext", "100"), ("ext", "200.5")]),
        ("a; b at 3 m", [("a; b", "3")]),
        ("x; y", [("x", None), ("y", None)]),
        ("", []),
    ],
)
def test_extenders_are_taken_apart(text: str, models: list[tuple[str, str | None]]) -> None:
    assert [(one["model"], one.get("at_m")) for one in _extenders(text)] == models
