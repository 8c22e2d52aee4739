"""Several catalogs together as one: what could be bought if every list were at hand.

- A model on two lists with the same data is one. With other data (a price is enough) both are there, the later one as "model (list)".
- Which supplies fit is told by supply_fit and fit: the same word means the same on every list.
- A cable's name stands in the scenario, so it is one cable: the cheaper, if the lists agree on what it is, else they cannot be mixed.
- Extras counted by the same thing for the same thing are one need: they come from the list where they cost least together, and
  a list without any costs nothing. So whatever can be built from one list costs no more from all together.
"""

from collections.abc import Mapping
from decimal import Decimal
from functools import reduce
from typing import Any

from equipsel.catalog import Cable, Catalog, Extra
from equipsel.columns import NOT_COLUMNS, Row
from equipsel.compare.ask import PRICED


class CannotMix(Exception):  # noqa: N818 (the name says what happened)
    """Lists that contradict each other; the text says in what and how to mend it."""


def mixed(catalogs: Mapping[str, Catalog]) -> Catalog:
    """All catalogs as one, by name of the list; the first goes before the others. Raises CannotMix."""
    names = list(catalogs)
    return reduce(lambda one, name: _merged(one, catalogs[name], name), names[1:], catalogs[names[0]])


def _merged(one: Catalog, other: Catalog, name: str) -> Catalog:
    other = _renamed(other, _contradicted(one, other), name)
    tables: dict[str, Any] = {table: _union(getattr(one, table), getattr(other, table)) for table in PRICED}
    known = {row.model for row in one.ports}
    tables["ports"] = (*one.ports, *(row for row in other.ports if row.model not in known))
    tables["cables"] = _cables(one.cables, other.cables, name)
    tables["extras"] = _extras(one, other)
    if [_data(row) for row in one.bundles] != [_data(row) for row in other.bundles]:
        raise CannotMix(f"{name} has other limits in bundles than the lists before it: give all the same, they come from the local code")
    return Catalog(**{**dict(one), **tables})


def _data(row: Row) -> dict[str, Any]:
    return {key: value for key, value in dict(row).items() if key not in NOT_COLUMNS}


def _facts(catalog: Catalog) -> dict[str, object]:
    """Everything a list says of each model, its ports included."""
    found: dict[str, object] = {}
    for table in PRICED:
        for row in getattr(catalog, table):
            groups = catalog.groups.get(row.model, ()) if table == "switches" else ()
            found[row.model] = (table, _data(row), [_data(group) for group in groups])
    return found


def _contradicted(one: Catalog, other: Catalog) -> set[str]:
    mine, theirs = _facts(one), _facts(other)
    return {model for model, facts in theirs.items() if model in mine and mine[model] != facts}


def _renamed(catalog: Catalog, models: set[str], name: str) -> Catalog:
    """The catalog with some models called "model (list)", also where their ports and extras name them."""
    if not models:
        return catalog

    def called(model: str | None) -> str | None:
        return f"{model} ({name})" if model in models else model

    tables: dict[str, Any] = {
        table: tuple(row.model_copy(update={"model": called(row.model)}) for row in getattr(catalog, table)) for table in (*PRICED, "ports")
    }
    tables["extras"] = tuple(row.model_copy(update={"for_": called(row.for_)}) for row in catalog.extras)
    return Catalog(**{**dict(catalog), **tables})


def _union(one: tuple[Any, ...], other: tuple[Any, ...]) -> tuple[Any, ...]:
    known = {row.model for row in one}
    return (*one, *(row for row in other if row.model not in known))


def _cables(one: tuple[Cable, ...], other: tuple[Cable, ...], name: str) -> tuple[Cable, ...]:
    theirs = {row.model: row for row in other}
    return _union(tuple(_cheaper(row, theirs.get(row.model, row), name) for row in one), other)


MONEY = {"price_per_m", "install_cost_per_m"}


def _cheaper(one: Cable, other: Cable, name: str) -> Cable:
    mine, theirs = _data(one), _data(other)
    differ = sorted(key for key in mine if key not in MONEY and mine[key] != theirs[key])
    if differ:
        raise CannotMix(f"{name} has another {one.model} than the lists before it ({', '.join(differ)}): give one of them another name")
    if one.sold_m and (one.price_per_m - other.price_per_m) * (one.install_cost_per_m - other.install_cost_per_m) < 0:
        raise CannotMix(f"{name} sells {one.model} in boxes at another price and another cost of pulling: give both lists the same of one")
    return min((one, other), key=lambda row: row.price_per_m + row.install_cost_per_m)


def _extras(one: Catalog, other: Catalog) -> tuple[Extra, ...]:
    """The extras of each need from the list where they cost least; those of a model only one list has, from there."""
    mine, theirs = _needs(one), _needs(other)
    models = {name: set(_facts(catalog)) | {row.model for row in catalog.cables} for name, catalog in (("one", one), ("other", other))}
    kept: list[Extra] = []
    for need in dict.fromkeys([*mine, *theirs]):
        only_one = need[1] in models["one"] and need[1] not in models["other"]
        only_other = need[1] in models["other"] and need[1] not in models["one"]
        sets = [mine.get(need, []), theirs.get(need, [])]
        kept += sets[0] if only_one else sets[1] if only_other else (sets[0] if _price(sets[0]) <= _price(sets[1]) else sets[1])
    return tuple(kept)


def _needs(catalog: Catalog) -> dict[tuple[str, str | None], list[Extra]]:
    found: dict[tuple[str, str | None], list[Extra]] = {}
    for row in catalog.extras:
        found.setdefault((row.per, row.for_ or None), []).append(row)
    return found


def _price(rows: list[Extra]) -> Decimal:
    return sum((row.price + row.install_cost for row in rows), Decimal(0))
