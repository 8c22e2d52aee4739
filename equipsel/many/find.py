"""The sites in a folder: a folder with a scenario.toml each, or a workbook each."""

from os.path import isdir
from pathlib import Path

from equipsel.files.folder import is_workbook
from equipsel.files.problems import InputError, file_problem
from equipsel.files.source import TOML

MEND = f"give a folder that holds one folder (with its {TOML}) or one .xlsx workbook for each site"


def find_sites(folder: Path, out: Path | None = None) -> dict[str, Path]:
    """The scenarios directly below a folder by name, in the order of their names; `out`, where kits are written, is passed over.

    Raises InputError where there are none, or two of one name.
    """
    try:
        below = sorted(folder.iterdir(), key=lambda one: one.name)
    except (OSError, ValueError):
        wrong = "is a file, not a folder of sites" if folder.exists() else "does not exist"
        raise InputError([file_problem(str(folder), wrong, MEND)]) from None
    found: dict[str, Path] = {}
    for path in below:
        if _is_site(path) and not (out is not None and path.resolve() == out.resolve()):
            name = path.stem if is_workbook(path) else path.name
            if name in found:
                raise InputError([file_problem(str(path), f"and {found[name]} are both called {name}", "rename one of them")])
            found[name] = path
    if not found:
        raise InputError([file_problem(str(folder), "holds no site", MEND)])
    return found


def _is_site(path: Path) -> bool:
    hidden = path.name.startswith((".", "~"))
    return not hidden and (is_workbook(path) or (isdir(path) and (path / TOML).is_file()))
