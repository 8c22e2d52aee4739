"""What the re-check found, and the cautions that go with every kit."""

from equipsel.console import CAUTIONS
from equipsel.report.html import Content, bullets, paragraph
from equipsel.report.parts.summary import WORDS
from equipsel.report.table import Row, table
from equipsel.report.view import View


def findings(view: View) -> tuple[Content, ...]:
    """Every finding, the gravest first."""
    if not view.kit.findings:
        return (paragraph("The re-check found nothing."),)
    rows = (Row((WORDS[one.severity], one.where, one.message, one.rule)) for one in view.kit.findings)
    return (table("Findings of the re-check", ("Gravity", "Where", "What", "Rule"), rows, class_="sort quiet"),)


def cautions() -> tuple[Content, ...]:
    """What every kit is handed on with."""
    return (bullets(CAUTIONS), paragraph("Local codes and those licensed to apply them go before anything that stands here."))
