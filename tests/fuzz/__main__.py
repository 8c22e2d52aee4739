"""Every reader fed with bytes that follow its own branches (atheris): `python -m tests.fuzz --seconds 3600 [CORPUS_DIR]`.

Anything but a site, a kit, or an InputError that says what is wrong stops it, with the bytes kept beside. Needs `pip install atheris`.
"""

import os
import sys
import tempfile
from argparse import ArgumentParser
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).parents[1] / "files"))

with atheris.instrument_imports(include=["equipsel", "small_site"]):
    from small_site import CATALOG, OTHER_CATALOG_FILES, SCENARIO

    from equipsel.files import InputError, read_kit, read_site

TABLES = sorted([*CATALOG, *OTHER_CATALOG_FILES, *SCENARIO, "places.csv", "runs.csv", "owned.csv", "growth.csv"])
KINDS = [*TABLES, "kit.json", "kit.xlsx", "site.xlsx"]
FOLDER = Path(tempfile.mkdtemp(prefix="fuzz"))


def prepared() -> None:
    """A sound site on disk, so that only what is fed in can be wrong."""
    for where, files in (("catalog", CATALOG), ("site", SCENARIO)):
        (FOLDER / where).mkdir()
        for name, text in files.items():
            (FOLDER / where / name).write_text(text)


def seeds(folder: Path) -> None:
    """The sound tables, each as a first input."""
    for number, name in enumerate(KINDS):
        text = {**CATALOG, **SCENARIO}.get(name, "place,mains\nhall,yes\n")
        (folder / f"seed{number}").write_bytes(bytes([number]) + text.encode())


def one_input(data: bytes) -> None:
    """Feed a table, a kit or a workbook: the first byte says which."""
    if not data:
        return
    name, content = KINDS[data[0] % len(KINDS)], data[1:]
    where = FOLDER / ("catalog" if name in CATALOG or name in OTHER_CATALOG_FILES else "site" if name in TABLES else ".") / name
    before = {**CATALOG, **SCENARIO}.get(name)
    where.write_bytes(content)
    try:
        if name.startswith("kit."):
            read_kit(where)
        else:
            read_site(where if name == "site.xlsx" else FOLDER / "site")
    except InputError as error:
        if not "".join(str(problem) for problem in error.problems):
            raise RuntimeError("an input error that does not say what is wrong") from error
    finally:
        where.unlink() if before is None else where.write_text(before)


def main() -> None:
    """Read the command line and hand over to the fuzzer."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("corpus", nargs="?", type=Path)
    asked = parser.parse_args()
    corpus = asked.corpus or Path(tempfile.mkdtemp(prefix="corpus"))
    corpus.mkdir(parents=True, exist_ok=True)
    prepared()
    seeds(corpus)
    os.chdir(FOLDER)
    options = [sys.argv[0], f"-max_total_time={asked.seconds}", "-timeout=20", "-rss_limit_mb=3000", "-max_len=4096", "-len_control=0"]
    atheris.Setup([*options, str(corpus)], one_input)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
