"""The options that are compared: every catalog as it is, then under every change, then all catalogs together."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from equipsel.catalog import Catalog
from equipsel.compare.ask import CHOSEN, without
from equipsel.compare.mixed import CannotMix, mixed
from equipsel.files import InputError, Problem, read_site
from equipsel.files.changes import changed
from equipsel.files.problems import cell_problem, name_mend, quoted
from equipsel.program.restriction import FREE, Restriction
from equipsel.site import Site
from equipsel.variants import with_tables

AS_IT_IS = ""
TOGETHER = "all together"


@dataclass(frozen=True)
class Asked:
    """What is compared, as asked for: catalogs (none: the scenario's), and changes, each an option of its own."""

    catalogs: tuple[Path, ...] = ()
    settings: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


@dataclass(frozen=True)
class Option:
    """One way of building it: the name of its catalog, the change in words (empty: as it is), its site; or why it cannot be."""

    catalog: str
    change: str
    site: Site
    restriction: Restriction = FREE
    refusal: str | None = None

    @property
    def name(self) -> str:
        """What it is called in tables."""
        return ", ".join(part for part in (self.catalog, self.change) if part)


Change = Callable[[Site], tuple[Site, Restriction]]


def options(scenario: Path, asked: Asked) -> list[Option]:
    """All options, in order. Raises InputError with everything that is wrong with any of them."""
    sites = _sites(scenario, asked.catalogs)
    models = {row.model for site in sites.values() for table in CHOSEN for row in getattr(site.catalog, table)}
    changes = {AS_IT_IS: _as_it_is, **_changes(asked, sites, models)}
    found: list[Option] = []
    problems: list[Problem] = []
    for words, change in changes.items():
        for name, site in sites.items():
            try:
                found.append(Option(name, words, *change(site)))
            except InputError as error:
                problems += error.problems
        if len(sites) > 1 and not problems:
            found.append(_together(sites, words, change))
    if problems:
        raise InputError(dict.fromkeys(problems))
    return found


def _sites(scenario: Path, catalogs: Sequence[Path]) -> dict[str, Site]:
    found: dict[str, Site] = {}
    problems: list[Problem] = []
    for path in catalogs or (None,):
        try:
            site = read_site(scenario, path)
            found[_unused(_name(path or Path(site.scenario.catalog)), found)] = site
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(dict.fromkeys(problems))
    return found


def _name(path: Path) -> str:
    return path.resolve().stem if path.suffix else path.resolve().name


def _unused(name: str, taken: Iterable[str]) -> str:
    number, known, free = 2, set(taken), name
    while free in known:
        free, number = f"{name} #{number}", number + 1
    return free


def _as_it_is(site: Site) -> tuple[Site, Restriction]:
    return site, FREE


def _changes(asked: Asked, sites: Mapping[str, Site], models: set[str]) -> dict[str, Change]:
    """Each --set (several changes in it apart by semicolons), --without and --only (models apart by commas) by its words."""
    problems: list[Problem] = []
    found: dict[str, Change] = {}
    for text in asked.settings:
        found[text] = _setting([part for part in text.split(";") if part.strip()])
    for option, texts in (("without", asked.without), ("only", asked.only)):
        for text in texts:
            names = frozenset(part.strip() for part in text.split(",") if part.strip())
            problems += _unknown(f"--{option}", names, models)
            gone = names if option == "without" else _others(names, sites)
            found[f"{option} {', '.join(sorted(names))}"] = _removal(gone)
    if problems:
        raise InputError(problems)
    return found


def _unknown(option: str, names: frozenset[str], models: set[str]) -> list[Problem]:
    if not names:
        return [cell_problem(option, None, "", "names no model", "list models apart by commas")]
    wrong = sorted(names - models)
    where = "the catalogs"
    return [cell_problem(option, None, "", f"{quoted(name)} is in no catalog", name_mend(name, models, where)) for name in wrong]


def _others(names: frozenset[str], sites: Mapping[str, Site]) -> frozenset[str]:
    """Every other model of the tables in which the named ones stand."""
    tables = {table for site in sites.values() for table in CHOSEN if any(row.model in names for row in getattr(site.catalog, table))}
    rows: Iterable[Any] = (row for site in sites.values() for table in tables for row in getattr(site.catalog, table))
    return frozenset(row.model for row in rows) - names


def _setting(parts: list[str]) -> Change:
    return lambda site: (changed(site, parts), FREE)


def _removal(models: frozenset[str]) -> Change:
    return lambda site: without(site, models)


def _together(sites: Mapping[str, Site], words: str, change: Change) -> Option:
    """All catalogs as one under a change, which is made to each before they are put together."""
    first = next(iter(sites.values()))
    made = {name: change(site) for name, site in sites.items()}
    scenario, restriction = next(iter(made.values()))
    catalogs: dict[str, Catalog] = {name: site.catalog for name, (site, _) in made.items()}
    try:
        return Option(TOGETHER, words, with_tables(scenario, **_tables(mixed(catalogs))), restriction)
    except CannotMix as error:
        return Option(TOGETHER, words, first, refusal=str(error))


def _tables(catalog: Catalog) -> dict[str, Any]:
    return {name: value for name, value in dict(catalog).items() if name in Catalog.model_fields}
