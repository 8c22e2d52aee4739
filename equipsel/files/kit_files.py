"""The files that a kit is handed on in."""

from equipsel.files.csv_out import to_csv
from equipsel.files.schedules import SCHEDULES, schedules
from equipsel.kit import Kit
from equipsel.site import Site

KIT_JSON = "kit.json"
FILE_NAMES = (KIT_JSON, *(f"{make.__name__}.csv" for make in SCHEDULES))
"""Every file that `kit_files` gives."""


def kit_files(kit: Kit, site: Site) -> dict[str, bytes]:
    """kit.json and the schedules of a kit, as bytes by file name. Raises ImportError where pandas is not installed."""
    tables = {f"{schedule.name}.csv": to_csv(schedule) for schedule in schedules(kit, site)}
    return {KIT_JSON: kit.to_json().encode("utf-8"), **tables}
