"""`equipsel check`: any kit re-checked against the tables."""

import json
from collections.abc import Iterator
from pathlib import Path

import typer

from equipsel.audit import audit
from equipsel.commands.endings import Ending, plain_endings
from equipsel.commands.speech import complain, say, say_json, warn
from equipsel.console import findings_text, terminal_width
from equipsel.files import InputError, read_kit, read_site
from equipsel.files.folder import is_workbook
from equipsel.kit import Finding, Kit, Severity
from equipsel.site import Site

NO_KIT = "no kit is given: give KIT.json or kit.xlsx after the scenario, or a kit.xlsx alone (it holds the inputs too)"


def run(scenario: Path, kit: Path | None, catalog: Path | None, as_json: bool) -> None:
    """Print every rule that a kit breaks, and end with exit code 5 if there is one. Without a kit the scenario is a kit.xlsx."""
    with plain_endings():
        if kit is None and not is_workbook(scenario):
            complain([NO_KIT])
            raise typer.Exit(Ending.WRONG_INPUT)
        site, given = _read(scenario, kit or scenario, catalog)
        warn(site.warnings)
        findings = [*audit(given, site.scenario, site.catalog), *_certificate(given, site)]
    if as_json:
        say_json(json.dumps([finding.model_dump(mode="json") for finding in findings], indent=2, ensure_ascii=False) + "\n")
    else:
        say(findings_text(findings, terminal_width()))
    broken = any(finding.severity is Severity.ERROR for finding in findings)
    raise typer.Exit(Ending.RULES_BROKEN if broken else Ending.DONE)


def _certificate(kit: Kit, site: Site) -> Iterator[Finding]:
    """What is to be said of a kit's certificate: the program it is about is built from the tables again."""
    if kit.certificate is not None:
        from equipsel.certificate import check_certificate  # noqa: PLC0415 - the program's rules load only where they are asked for

        yield from check_certificate(kit, site)


def _read(scenario: Path, kit: Path, catalog: Path | None) -> tuple[Site, Kit]:
    """The site and the kit. Raises InputError with what is wrong with both."""
    try:
        site = read_site(scenario, catalog)
    except InputError as error:
        try:
            read_kit(kit)
        except InputError as another:
            raise InputError([*error.problems, *another.problems]) from error
        raise
    return site, read_kit(kit)
