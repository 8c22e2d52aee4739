"""Which tables there are, and which of them a catalog or a scenario cannot do without."""

from equipsel.catalog import Battery, BundleLimit, Cable, Extender, Extra, Injector, PortGroup, Supply, Switch
from equipsel.columns import Row
from equipsel.scenario import Device, Growth, Owned, Place, Rules, Run

CATALOG_TABLES: tuple[type[Row], ...] = (Switch, PortGroup, Supply, Injector, Extender, Cable, Battery, BundleLimit, Extra)
SCENARIO_TABLES: tuple[type[Row], ...] = (Place, Device, Run, Owned, Growth)
REQUIRED = frozenset({Switch.table, PortGroup.table, Device.table})
"""Every device needs a port of a switch, if only for its data."""

SETTINGS = "scenario"
"""The file scenario.toml, or the sheet of a workbook, that holds what is not a table."""

TABLE_NAMES = frozenset(model.table for model in (*CATALOG_TABLES, *SCENARIO_TABLES))
ALL_TABLES: tuple[type[Row], ...] = (Rules, *SCENARIO_TABLES, *CATALOG_TABLES)
"""Every table in the order a user fills them in."""
