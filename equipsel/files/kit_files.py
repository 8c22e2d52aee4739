"""The files that a kit is handed on in."""

from equipsel.files.csv_out import to_csv
from equipsel.files.schedules import SCHEDULES, schedules
from equipsel.kit import Kit
from equipsel.lengths import Lengths
from equipsel.site import Site

KIT_JSON = "kit.json"
REPORT = "report.html"
FILE_NAMES = (KIT_JSON, *(f"{make.__name__}.csv" for make in SCHEDULES), REPORT)
"""Every file that `kit_files` gives."""


def kit_files(kit: Kit, site: Site, lengths: Lengths = Lengths.METRIC) -> dict[str, bytes]:
    """kit.json, the schedules and the report of a kit, as bytes by file name; the report shows lengths in these units.

    Raises ImportError where pandas is not installed.
    """
    from equipsel.report import report_html  # noqa: PLC0415 - the report reads the schedules, which stand below this package

    tables = {f"{schedule.name}.csv": to_csv(schedule) for schedule in schedules(kit, site)}
    return {KIT_JSON: kit.to_json().encode("utf-8"), **tables, REPORT: report_html(kit, site, lengths)}
