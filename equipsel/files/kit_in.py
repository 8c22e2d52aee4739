"""Reads a kit, ours or made by hand, from kit.json or kit.xlsx."""

from pathlib import Path

from equipsel.files.folder import is_workbook
from equipsel.files.kit_json import read_kit_json
from equipsel.kit import Kit


def read_kit(path: str | Path) -> Kit:
    """The kit in a JSON file or a workbook. Raises InputError with everything that keeps it from being read as one."""
    if not is_workbook(Path(path)):
        return read_kit_json(path)
    from equipsel.files.kit_xlsx.read import read_kit_workbook  # noqa: PLC0415 - few kits come as workbooks

    return read_kit_workbook(Path(path))
