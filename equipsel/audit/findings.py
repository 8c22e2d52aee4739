"""The re-check of a kit: every rule over everything recomputed."""

from equipsel.audit.facts import build_facts
from equipsel.audit.rules import CHECKS
from equipsel.catalog import Catalog
from equipsel.kit import Finding, Kit, Severity
from equipsel.scenario import Scenario

GRAVEST_FIRST = (Severity.ERROR, Severity.WARNING, Severity.NOTE)


def audit(kit: Kit, scenario: Scenario, catalog: Catalog) -> list[Finding]:
    """Re-check a kit, ours or hand-made, from the tables: given its units and connections, the rest is recomputed.

    Errors are broken rules, then come warnings and notes of what a professional would point out, each in the order of
    the rules. What the kit states beyond units and connections is compared where it is present. A kit that names what
    does not exist gives findings; nothing is raised.
    """
    facts = build_facts(kit, scenario, catalog)
    findings = [
        Finding(rule=rule, severity=found.severity, where=found.where, message=found.message)
        for rule, check in CHECKS.items()
        for found in check(facts)
    ]
    return sorted(findings, key=lambda finding: GRAVEST_FIRST.index(finding.severity))
