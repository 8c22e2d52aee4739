"""The files that a kit is handed on in."""

from equipsel.files.csv_out import to_csv
from equipsel.files.schedules import SCHEDULES, schedules
from equipsel.kit import Kit
from equipsel.lengths import Lengths
from equipsel.site import Site

KIT_JSON, KIT_XLSX, REPORT = "kit.json", "kit.xlsx", "report.html"
FILE_NAMES = (KIT_JSON, *(f"{make.__name__}.csv" for make in SCHEDULES), KIT_XLSX, REPORT)
"""Every file that `kit_files` gives."""


def kit_files(kit: Kit, site: Site, lengths: Lengths = Lengths.METRIC) -> dict[str, bytes]:
    """kit.json, the schedules of a kit, its workbook and its report, as bytes by file name; the report shows lengths in these units."""
    from equipsel.files.kit_xlsx import kit_workbook  # noqa: PLC0415 - only those who write files wait for it
    from equipsel.report import report_html  # noqa: PLC0415 - the report reads the schedules, which stand below this package

    made = schedules(kit, site)
    tables = {f"{schedule.name}.csv": to_csv(schedule) for schedule in made}
    report = report_html(kit, site, lengths)
    return {KIT_JSON: kit.to_json().encode("utf-8"), **tables, KIT_XLSX: kit_workbook(kit, site, made), REPORT: report}
