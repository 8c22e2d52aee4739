"""Sites like another but for some rules or rows: new objects, since inputs are frozen and remember what was asked of them."""

from typing import Any

from equipsel.catalog import Catalog
from equipsel.columns import Row
from equipsel.scenario import Rules, Scenario
from equipsel.site import Site


def with_rules(site: Site, **values: Any) -> Site:
    """The site under other rules, by rule and value. Raises pydantic's ValidationError where a value is not allowed."""
    rules = Rules.model_validate({**_values(site.rules), **values})
    return Site(_scenario(site.scenario, rules=rules), site.catalog)


def with_tables(site: Site, **tables: tuple[Row, ...]) -> Site:
    """The site with other rows, by the name of the table (of its scenario or of its catalog)."""
    of_catalog = {name: rows for name, rows in tables.items() if name in Catalog.model_fields and name != "catalog"}
    of_scenario = {name: rows for name, rows in tables.items() if name not in of_catalog}
    catalog = Catalog(**{**dict(site.catalog), **of_catalog}) if of_catalog else site.catalog
    return Site(_scenario(site.scenario, **of_scenario) if of_scenario else site.scenario, catalog)


def with_values(row: Row, **values: Any) -> Row:
    """A row with other values in some of its fields. Raises pydantic's ValidationError where a value is not allowed."""
    return type(row).model_validate({**_values(row), **values})


def _values(row: Row) -> dict[str, Any]:
    return dict(row)


def _scenario(scenario: Scenario, **values: Any) -> Scenario:
    return Scenario(**{**dict(scenario), **values})
