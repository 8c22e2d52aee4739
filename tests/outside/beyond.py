"""What a model of this folder does not know is refused, so that no two different questions are compared."""

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario


class Beyond(Exception):  # noqa: N818 (the name says what happened)
    """The site asks for something a model does not know."""


def refuse(scenario: Scenario, catalog: Catalog, *, energy: bool) -> None:
    """Raise Beyond where a site asks for what neither numbered model knows, and for energy if so said."""
    rules = scenario.rules
    fed = rules.max_cascade > 0 and any(row.feed == "port" for row in catalog.switches)
    asked = {
        "fed switches by stated or granted draw": fed and rules.budget_basis != "class",
        "energy": energy and rules.energy_price_kwh * rules.years > 0,
        "batteries": rules.backup_minutes > 0 and any(row.backup for row in scenario.devices),
        "critical shares": rules.max_critical_share_pct < 100,
        "a limit on models": rules.max_models is not None,
        "circuits": any(row.circuit_a is not None for row in scenario.places),
        "extras": bool(catalog.extras),
        "boxes": any(row.sold_m > 0 for row in catalog.cables),
    }
    named = [name for name, present in asked.items() if present]
    if named:
        raise Beyond(", ".join(named))
