"""The files that a kit is handed on in."""

from equipsel.files.csv_out import to_csv
from equipsel.files.schedules import SCHEDULES, schedules
from equipsel.kit import Kit
from equipsel.site import Site

KIT_JSON, KIT_XLSX = "kit.json", "kit.xlsx"
FILE_NAMES = (KIT_JSON, *(f"{make.__name__}.csv" for make in SCHEDULES), KIT_XLSX)
"""Every file that `kit_files` gives."""


def kit_files(kit: Kit, site: Site) -> dict[str, bytes]:
    """kit.json, the schedules of a kit and its workbook, as bytes by file name."""
    from equipsel.files.kit_xlsx import kit_workbook  # noqa: PLC0415 - only those who write files wait for it

    made = schedules(kit, site)
    tables = {f"{schedule.name}.csv": to_csv(schedule) for schedule in made}
    return {KIT_JSON: kit.to_json().encode("utf-8"), **tables, KIT_XLSX: kit_workbook(kit, site, made)}
