"""The workbook of a kit: the sheets to hand on first, then the inputs."""

from equipsel.files.kit_xlsx.inputs import input_sheets
from equipsel.files.kit_xlsx.notes import findings_sheet, left_out_sheet
from equipsel.files.kit_xlsx.places import place_sheet
from equipsel.files.kit_xlsx.schedules import as_owned_sheet, bill_sheet, by_name, cable_sheet, port_sheet, power_sheet
from equipsel.files.kit_xlsx.summary import summary_sheet
from equipsel.files.schedules import Schedule
from equipsel.kit import Kit
from equipsel.site import Site
from equipsel.workbook import Sheet, workbook

UNTITLED = "Kit"


def kit_workbook(kit: Kit, site: Site, made: tuple[Schedule, ...]) -> bytes:
    """kit.xlsx from a kit and its schedules; the same bytes for the same kit, whatever seconds it took."""
    title = site.scenario.title or UNTITLED
    pages = {page.name: page for page in _hand_on(kit, site, by_name(made), title)}
    sheets = [summary_sheet(kit, site, pages, title), *pages.values(), *input_sheets(site, title)]
    return workbook(sheets, title=title)


def _hand_on(kit: Kit, site: Site, made: dict[str, Schedule], title: str) -> list[Sheet]:
    power = power_sheet(made["power_budget"], title, kit.currency)
    return [
        bill_sheet(made["bill_of_materials"], title, kit.currency),
        port_sheet(made["port_schedule"], title, kit.currency),
        cable_sheet(made["cable_schedule"], title, kit.currency),
        power,
        place_sheet(made["power_budget"], power, site, title),
        findings_sheet(kit, title),
        left_out_sheet(made["power_budget"], title),
        as_owned_sheet(made["kit_as_owned"], title),
    ]
