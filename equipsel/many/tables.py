"""The two tables over all sites: how each one ended, and the one order."""

from equipsel.files import to_csv
from equipsel.files.schedules.schedule import Schedule, plain
from equipsel.many.order import Order
from equipsel.many.outcome import Outcome

SITE_COLUMNS = ("site", "title", "ending", "cost", "lower_bound", "currency", "devices", "units", "warnings", "message")
ORDER_COLUMNS = ("kind", "model", "part_no", "supplier", "count", "unit_cost", "cost", "currency", "sites")


def sites_table(outcomes: list[Outcome]) -> Schedule:
    """A row for each site: how it ended, cost and bound, and why where there is no kit."""
    return Schedule("sites", SITE_COLUMNS, tuple(_site_row(outcome) for outcome in outcomes))


def _site_row(outcome: Outcome) -> tuple[str | int | float | None, ...]:
    return (
        outcome.site,
        outcome.title,
        outcome.ending.value,
        plain(outcome.cost),
        plain(outcome.lower_bound),
        outcome.currency,
        outcome.devices,
        outcome.units,
        outcome.warnings,
        " | ".join(outcome.messages),
    )


def order_table(order: Order) -> Schedule:
    """A row for each thing ordered, over all sites; boxes of cable are those of each site, which are not shared between sites."""
    rows = tuple(
        (
            line.kind,
            line.model,
            line.part_no,
            line.supplier,
            plain(line.count),
            plain(line.unit_cost),
            plain(line.cost),
            line.currency,
            line.sites,
        )
        for line in order.lines()
    )
    return Schedule("order", ORDER_COLUMNS, rows)


def order_files(outcomes: list[Outcome], order: Order) -> dict[str, bytes]:
    """Both as CSV, by file name."""
    return {f"{table.name}.csv": to_csv(table) for table in (sites_table(outcomes), order_table(order))}
