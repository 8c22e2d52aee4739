"""Writes .xlsx workbooks from typed tables: the same bytes for the same sheets. Knows nothing of the rest of the project."""

from equipsel.workbook.sheet import Cell, Field, Form, Formula, Mark, Sheet, Shown, references
from equipsel.workbook.text import column_letters as letters
from equipsel.workbook.write import workbook

__all__ = ["Cell", "Field", "Form", "Formula", "Mark", "Sheet", "Shown", "letters", "references", "workbook"]
