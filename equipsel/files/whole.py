"""Writes several files whole or not at all."""

import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from glob import escape
from os.path import exists, isdir
from pathlib import Path


class OutputError(Exception):
    """A folder or file that cannot be written, and what to do about it."""


def write_whole(folder: str | Path, files: Mapping[str, bytes]) -> None:
    """Write all files into a folder (made if it is not there), or none; files of those names are replaced only at the end.

    Whatever stops it, an error or Ctrl-C, the folder is left as it was; a process that is killed leaves every file whole, old or new.
    Raises OutputError where it cannot be written to.
    """
    target = Path(folder)
    try:
        check_writable(target, files)
        with _parents(target.parent), _stage(target) as stage:
            for name, content in files.items():
                (stage / name).write_bytes(content)
            if target.exists():
                _replace_all(stage, target, list(files))
            else:
                stage.rename(target)
    except (OSError, ValueError) as error:
        raise OutputError(f"{target}: cannot be written ({getattr(error, 'strerror', None) or error}); give another folder") from error


def check_writable(folder: Path, names: Mapping[str, bytes] | tuple[str, ...]) -> None:
    """Raise OutputError if it is plain beforehand that these files cannot be put into a folder."""
    if exists(folder) and not isdir(folder):
        raise OutputError(f"{folder}: is a file, not a folder; give the name of a folder")
    for name in names:
        if Path(name).name != name or name in {"", "..", "."}:
            raise OutputError(f"{name!r} is no plain file name")
        if isdir(folder / name):
            raise OutputError(f"{folder / name}: is a folder where a file is to be written; move it away, or give another folder")


@contextmanager
def _parents(folder: Path) -> Iterator[None]:
    """Make the folders above; if what follows fails, take away again those that were not there."""
    made = [one for one in (folder, *folder.parents) if not one.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    try:
        yield
    except BaseException:
        for one in made:
            one.rmdir()
        raise


@contextmanager
def _stage(target: Path) -> Iterator[Path]:
    """A folder to prepare the files in, on the same disk as the target; gone afterwards, as are those of processes that were killed."""
    where, name = (target if target.exists() else target.parent), target.name or "kit"
    for left in where.glob(f".{escape(name)}.*.part"):
        if not _alive(left.name.split(".")[-2]):
            shutil.rmtree(left, ignore_errors=True)
    stage = where / f".{name}.{os.getpid()}.part"
    stage.mkdir()
    try:
        yield stage
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def _alive(pid: str) -> bool:
    """Whether a process still runs, as far as can be told; what is no number is not ours. On Windows asking would stop it."""
    if os.name == "nt":
        return True
    try:
        os.kill(int(pid), 0)
    except ProcessLookupError:
        return False
    except (ValueError, OSError, OverflowError):
        return True
    return True


def _replace_all(stage: Path, target: Path, names: list[str]) -> None:
    """Move the prepared files into place; if one cannot be moved, put back what stood there before."""
    kept = stage / "before"
    kept.mkdir()
    for name in names:
        if (target / name).exists():
            shutil.copy2(target / name, kept / name)
    try:
        for name in names:
            (stage / name).replace(target / name)
    except BaseException:
        for name in names:
            _put_back(kept / name, target / name, moved=not (stage / name).exists())
        raise


def _put_back(before: Path, now: Path, *, moved: bool) -> None:
    if moved and before.exists():
        before.replace(now)
    elif moved:
        now.unlink(missing_ok=True)
