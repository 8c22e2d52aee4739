"""Whether what an explanation says holds: checked by solving each claim with the whole search, which re-checks every kit."""

from equipsel.catalog import Catalog
from equipsel.explain.conflict import Conflict
from equipsel.explain.no_kit import Explanation, NoKit
from equipsel.explain.rules import without
from equipsel.kit import Status
from equipsel.program.of_site import powered
from equipsel.program.parts import parts
from equipsel.program.search import any_kit
from equipsel.scenario import Scenario
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit
from equipsel.variants import with_rules

KITS = (Status.OPTIMAL, Status.FEASIBLE)


def outcome(site: Site, seconds: float = 300) -> Status:
    """What the whole search says of a site; no reasons are sought."""
    return cheapest_kit(site.scenario, site.catalog, Limits(time_limit_s=seconds, reasons_s=0)).status


def has_kit(site: Site) -> bool:
    """Whether a site has a kit: with few fed switches in a row first, which the search finds sooner; a kit of fewer is a kit of more."""
    return any(outcome(with_rules(site, max_cascade=most), 60) in KITS for most in range(site.rules.max_cascade + 1))


def explained(scenario: Scenario, catalog: Catalog, seconds: float = 20) -> Explanation:
    """The explanation of a site without a kit."""
    asked = powered(Site(scenario, catalog))
    hopeless = [part.problem for part in parts(asked.problem()) if any_kit(part.problem, 10) == "infeasible"] if asked.possible else []
    return NoKit(asked, hopeless, seconds).found()


def faults(found: Explanation) -> list[str]:
    """What does not hold of it: a set of rules that can hold, or is not the smallest, or a suggestion that gives no kit."""
    wrong = [fault for conflict in found.conflicts for fault in _faults(conflict)]
    return wrong + [f"no kit with {remedy.words}" for remedy in found.remedies if not has_kit(remedy.site)]


def _faults(conflict: Conflict) -> list[str]:
    words = " | ".join(rule.words for rule in conflict.rules)
    alone = without(conflict.site, conflict.others)
    wrong = [] if outcome(alone) is Status.INFEASIBLE else [f"these can hold: {words}"]
    wrong += [] if conflict.smallest else [f"not shown to be smallest: {words}"]
    return wrong + [f"not needed: {rule.words} of {words}" for rule in conflict.rules if not has_kit(without(alone, [rule]))]
