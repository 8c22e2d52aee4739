"""Which tables there are, and which of them a catalog or a scenario cannot do without."""

from equipsel.catalog import Battery, BundleLimit, Cable, Extender, Extra, Injector, PortGroup, Supply, Switch
from equipsel.columns import Column, Row
from equipsel.scenario import Device, Growth, Owned, Place, Rules, Run

CATALOG_TABLES: tuple[type[Row], ...] = (Switch, PortGroup, Supply, Injector, Extender, Cable, Battery, BundleLimit, Extra)
SCENARIO_TABLES: tuple[type[Row], ...] = (Place, Device, Run, Owned, Growth)
REQUIRED = frozenset({Switch.table, PortGroup.table, Device.table})
"""Every device needs a port of a switch, if only for its data."""

SETTINGS = "scenario"
"""The file scenario.toml, or the sheet of a workbook, that holds what is not a table."""

SETTING_COLUMNS = (
    Column(SETTINGS, "title", "", False, "", "text", "what the site is called"),
    Column(SETTINGS, "currency", "", False, "EUR", "text", "what all prices are in"),
    Column(SETTINGS, "catalog", "", False, "", "text", "path of the catalog, relative to this file; --catalog goes before it"),
)

TABLE_NAMES = frozenset(model.table for model in (*CATALOG_TABLES, *SCENARIO_TABLES))
ALL_TABLES: tuple[type[Row], ...] = (Rules, *SCENARIO_TABLES, *CATALOG_TABLES)
"""Every table in the order a user fills them in."""
