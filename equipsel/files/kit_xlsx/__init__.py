"""kit.xlsx: a kit as a workbook to hand on, which holds its inputs too, and the kit read back from it."""

from equipsel.files.kit_xlsx.book import kit_workbook

__all__ = ["kit_workbook"]
