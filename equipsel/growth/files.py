"""The files a study of growth is handed on in: every table as CSV and in one workbook, a page, and all of it as JSON."""

import json
from collections.abc import Mapping
from typing import Any

from equipsel.files.csv_out import to_csv
from equipsel.files.schedules.schedule import Schedule
from equipsel.growth.book import growth_workbook
from equipsel.growth.page import growth_page
from equipsel.growth.plans import Plan
from equipsel.growth.study import Study
from equipsel.growth.tables import amount, in_order, tables
from equipsel.growth.words import why_ahead
from equipsel.kit import Kit

GROWTH_JSON, GROWTH_XLSX, GROWTH_HTML = "growth.json", "growth.xlsx", "growth.html"
TABLE_NAMES = ("stages", "growth", "purchases", "reach", "headroom", "curve", "what_if")
FILE_NAMES = (GROWTH_JSON, GROWTH_XLSX, GROWTH_HTML, *(f"{name}.csv" for name in TABLE_NAMES))
"""Every file that `growth_files` may give."""


def growth_files(found: Study, title: str) -> dict[str, bytes]:
    """The files of a study, as bytes by name."""
    made = tables(found)
    files = {f"{table.name}.csv": to_csv(table) for table in made}
    files[GROWTH_JSON] = growth_json(found).encode("utf-8")
    files[GROWTH_XLSX] = growth_workbook(found, made, title)
    files[GROWTH_HTML] = growth_page(found, made, title)
    return files


def growth_json(found: Study) -> str:
    """The text of growth.json: stages with their whole kits, plans with theirs, and every table."""
    scenario = found.stages[0].site.scenario
    made = {table.name: _rows(table) for table in tables(found)}
    content: dict[str, Any] = {
        "title": scenario.title,
        "currency": scenario.currency,
        "interrupted": found.interrupted,
        "notes": list(found.asked.stages.notes),
        "stages": made.pop("stages", []),
        "kits": [_kit(found.kits.get(at)) for at in range(len(found.stages))],
        "plans": [_plan(plan) for plan in in_order(found)],
        **made,
    }
    if sentence := why_ahead(found.stages, found.plans):
        content["why_ahead"] = sentence
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"


def _rows(table: Schedule) -> list[Mapping[str, Any]]:
    return [dict(zip(table.columns, row, strict=True)) for row in table.rows]


def _kit(kit: Kit | None) -> Any:
    return None if kit is None else json.loads(kit.to_json())


def _plan(plan: Plan) -> dict[str, Any]:
    return {
        "plan": plan.how.value,
        "proven": plan.proven,
        "total": amount(plan.total_cents),
        "paid": [amount(paid) for paid in plan.payments_cents],
        "kits": [_kit(kit) for kit in plan.kits],
    }
