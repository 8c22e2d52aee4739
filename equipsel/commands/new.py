"""`equipsel new`: starter tables in a new folder or workbook."""

from os.path import exists, isdir
from pathlib import Path

from equipsel.commands.endings import plain_endings
from equipsel.commands.speech import say
from equipsel.files import OutputError, write_whole
from equipsel.files.folder import WORKBOOKS
from equipsel.starter import starter_folder, starter_workbook


def run(target: Path) -> None:
    """Write the starter tables, whole or not at all, where nothing stands yet; end with exit code 2 where something does."""
    with plain_endings():
        if target.suffix.lower() in WORKBOOKS:
            _refuse_if(exists(target), target)
            write_whole(target.parent, {target.name: starter_workbook()})
        else:
            _refuse_if(exists(target) and not (isdir(target) and not any(target.iterdir())), target)
            write_whole(target, starter_folder())
    say(f"Written: {target}. All in it is invented: put your own rows in their place (equipsel tables tells of every column).\n")
    say(f"It runs as it is: equipsel kit {target}\n")


def _refuse_if(there: bool, target: Path) -> None:
    if there:
        raise OutputError(f"{target}: is there already, and nothing is overwritten; give another name")
