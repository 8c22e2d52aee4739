"""The summary: warnings first, then what is bought, its total and how sure that is, what it powers and what is spare."""

from collections.abc import Iterable, Iterator
from xml.etree.ElementTree import Element

from equipsel.console import amount, certified_words, how_good
from equipsel.kit import Finding, Severity
from equipsel.report.charts import Bar, bars, chart
from equipsel.report.html import Content, element, link, paragraph
from equipsel.report.table import Row, decimals, money, table
from equipsel.report.view import View, number_of, total

WORDS = {Severity.ERROR: "Rule broken", Severity.WARNING: "Warning", Severity.NOTE: "Note"}
MOST_WARNINGS = 20
BOUGHT = ("switch", "supply", "injector", "extender", "backup")


def summary(view: View) -> tuple[Content, ...]:
    """Warnings, then the kit in figures, then what the money goes to."""
    grave = [finding for finding in view.kit.findings if finding.severity is not Severity.NOTE]
    warnings = [finding_box(finding) for finding in grave[:MOST_WARNINGS]] or [paragraph("No warnings.")]
    if len(grave) > MOST_WARNINGS:
        warnings.append(paragraph(f"And {len(grave) - MOST_WARNINGS} more: see ", link("findings", "findings"), "."))
    return (element("h3", "Warnings"), *warnings, element("h3", "The kit"), _facts(_pairs(view)), _costs(view))


def finding_box(finding: Finding) -> Element:
    """A finding with its gravity as a word."""
    where = f"{finding.where}: " if finding.where else ""
    return element("p", element("b", WORDS[finding.severity]), f"{where}{finding.message}", class_=f"finding {finding.severity.value}")


def _facts(pairs: Iterable[tuple[str, str]]) -> Element:
    cells = (element(tag, words) for pair in pairs for tag, words in zip(("dt", "dd"), pair, strict=True))
    return element("dl", *cells, class_="facts")


def _pairs(view: View) -> Iterator[tuple[str, str]]:
    kit = view.kit
    yield "Cost", f"{kit.currency} {amount(kit.cost)}"
    yield "How good", how_good(kit)
    if kit.lower_bound:
        yield "Lower bound", f"no kit can cost less than {kit.currency} {amount(kit.lower_bound)}"
    for words in certified_words(kit):
        yield "Certificate", words
    yield "Bought", _bought(view) or "no equipment"
    yield "Devices", f"{len(kit.connections)} in {len(view.places)} place{'' if len(view.places) == 1 else 's'}"
    columns = ("budget_w", "reserved_w", "free_w", "draw_w", "powered_ports", "powered_ports_free", "data_ports_free")
    sums = {name: decimals(total(number_of(entry, name) for entry in view.budgets)) for name in columns}
    yield "Power", f"{sums['reserved_w']} W reserved, {sums['draw_w']} W drawn at most, of budgets of {sums['budget_w']} W"
    ports = f"{sums['powered_ports_free']} of {sums['powered_ports']} powered ports, {sums['data_ports_free']} data ports"
    yield "Spare", f"{sums['free_w']} W, {ports}"
    heat, mains = (total(number_of(entry, name) for entry in view.budgets) for name in ("heat_w", "mains_w"))
    yield "Mains and heat", f"{decimals(mains)} W of mains, {decimals(heat)} W of it heat in the places"


def _bought(view: View) -> str:
    counts: dict[str, float] = {}
    for line in view.kit.lines or ():
        if line.kind in BOUGHT:
            counts[line.model] = counts.get(line.model, 0) + line.count
    return ", ".join(f"{decimals(count)} x {model}" for model, count in counts.items())


def _costs(view: View) -> Content:
    costs: dict[str, float] = {}
    for line in view.kit.lines or ():
        costs[line.kind] = float(total((costs.get(line.kind, 0), line.cost)))
    if not costs:
        return None
    falling = sorted(costs.items(), key=lambda item: -item[1])
    whole = sum(costs.values()) or 1
    rows = [Bar(kind, cost, f"{amount(cost)}  ({100 * cost / whole:.0f} %)") for kind, cost in falling]
    words = ", ".join(f"{kind} {amount(cost)}" for kind, cost in falling)
    figures = table(f"Cost by kind ({view.kit.currency})", ("Kind", "Cost"), (Row((kind, money(cost))) for kind, cost in falling))
    return chart(f"Cost by kind ({view.kit.currency})", bars("costs", "Cost by kind", words, rows), figures)
