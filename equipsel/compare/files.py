"""The files a comparison is handed on in: every table as CSV, a workbook, a page, and all of it as JSON."""

import json
from typing import Any

from equipsel.compare.comparison import Comparison
from equipsel.compare.figures import CRITERIA
from equipsel.compare.tables import tables
from equipsel.files.csv_out import to_csv
from equipsel.kit import Kit

COMPARISON_JSON, COMPARE_XLSX, COMPARE_HTML = "comparison.json", "compare.xlsx", "compare.html"
TABLE_NAMES = ("options", "side_by_side", "differences", "break_even", "trade_off_spare", "trade_off_models", "near_kits")
FILE_NAMES = (COMPARISON_JSON, *(f"{name}.csv" for name in TABLE_NAMES), COMPARE_XLSX, COMPARE_HTML)
"""Every file that `comparison_files` may give."""


def comparison_files(found: Comparison) -> dict[str, bytes]:
    """The files of a comparison, as bytes by name: comparison.json, a CSV for every table that has anything in it, workbook, page."""
    from equipsel.compare.book import comparison_workbook  # noqa: PLC0415 - only those who write files wait for it
    from equipsel.compare.page import comparison_html  # noqa: PLC0415 - likewise

    csv = {f"{table.name}.csv": to_csv(table) for table in tables(found)}
    book, page = comparison_workbook(found), comparison_html(found)
    return {COMPARISON_JSON: comparison_json(found).encode("utf-8"), **csv, COMPARE_XLSX: book, COMPARE_HTML: page}


def comparison_json(found: Comparison) -> str:
    """The text of comparison.json: options with their figures and whole kits, and every study that was asked for."""
    content = {
        "title": found.options[0].site.scenario.title,
        "currency": found.currency,
        "interrupted": found.interrupted,
        "options": [_option(found, place) for place in range(len(found.options))],
        "best": {key: [place + 1 for place in sorted(places)] for key, places in found.best().items()},
        "differences": [{"kind": kind, "model": model, "counts": counts} for kind, model, counts in found.differences()],
        "mixing_saves": {change: float(saved) for change, saved in found.mixing_saves().items()},
        **_studies(found),
    }
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"


def _option(found: Comparison, place: int) -> dict[str, Any]:
    option, kit, more = found.options[place], found.kit(place), found.more(place)
    known = found.figures()[place]
    return {
        "option": place + 1,
        "catalog": option.catalog,
        "change": option.change,
        "figures": {column.key: known.get(column.key) for column in CRITERIA} if known else None,
        "costs_more": None if more is None else float(more),
        "why_not": found.refusals(place),
        "kit": None if kit is None else _whole(kit),
    }


def _whole(kit: Kit) -> dict[str, Any]:
    """kit.json but for the seconds, which differ from run to run."""
    content: dict[str, Any] = json.loads(kit.to_json())
    del content["seconds"]
    return content


def _studies(found: Comparison) -> dict[str, Any]:
    content: dict[str, Any] = {}
    if found.break_even:
        content["break_even"] = [
            {
                "model": one.model,
                "kind": one.kind,
                "price": float(one.price),
                "bought": one.count,
                "break_even": None if one.break_even is None else float(one.break_even),
                "cost_without": None if one.without is None else float(one.without),
                "verdict": one.verdict.value,
            }
            for _, one in sorted(found.break_even.items())
        ]
    for one in found.trade_offs():
        points = [{one.axis: point.shown, "cost": float(point.cost)} for point in one.points]
        content[f"trade_off_{one.axis}"] = {"complete": one.complete, "points": points}
    if found.near:
        near = found.near
        kits = [{"cost": float(one.cost), "bought": one.bought, "kit": _whole(one.kit)} for one in near.kits]
        content["near"] = {
            "within_pct": float(near.within_pct),
            "complete": near.complete,
            "ties": near.ties,
            "ties_counted": near.counted,
            "kits": kits,
        }
    return content
