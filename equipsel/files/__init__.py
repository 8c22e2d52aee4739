"""Reads scenarios, catalogs and kits, and writes the files of a kit."""

from equipsel.files.csv_out import to_csv
from equipsel.files.kit_files import FILE_NAMES, KIT_JSON, kit_files
from equipsel.files.kit_in import read_kit
from equipsel.files.problems import InputError, Problem
from equipsel.files.read import read_catalog, read_scenario, read_site
from equipsel.files.whole import OutputError, check_writable, write_whole

__all__ = [
    "FILE_NAMES",
    "KIT_JSON",
    "InputError",
    "OutputError",
    "Problem",
    "check_writable",
    "kit_files",
    "read_catalog",
    "read_kit",
    "read_scenario",
    "read_site",
    "to_csv",
    "write_whole",
]
