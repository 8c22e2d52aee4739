"""One site's kit as a piece of work that a process, here or elsewhere, does on its own."""

from dataclasses import dataclass

from equipsel.files import KIT_JSON, kit_files
from equipsel.kit import Kit
from equipsel.lengths import Lengths
from equipsel.many.order import Ordered, ordered
from equipsel.many.outcome import Ending, Outcome, outcome_of
from equipsel.site import Site
from equipsel.solve import AuditFailed, cheapest_kit


@dataclass(frozen=True, slots=True)
class Work:
    """A site to solve under its own limits; `written`: in what lengths its report shows runs, None where nothing is written."""

    name: str
    site: Site
    written: Lengths | None


@dataclass(frozen=True, slots=True)
class Answer:
    """How it went, what is ordered, and the files to write by name: kit.json last, since it says that the rest is there."""

    outcome: Outcome
    ordered: tuple[Ordered, ...] = ()
    files: tuple[tuple[str, bytes], ...] = ()


def solve(work: Work) -> Answer:
    """The cheapest kit of a site; a kit that fails its re-check is a failure of this site alone."""
    try:
        kit = cheapest_kit(work.site.scenario, work.site.catalog)
    except AuditFailed as failed:
        return Answer(Outcome(work.name, Ending.FAILED, messages=(f"a bug in equipsel: {failed}",)))
    outcome = outcome_of(work.name, work.site, kit)
    last = sorted(_files(work, kit, outcome).items(), key=lambda item: item[0] == KIT_JSON)
    return Answer(outcome, ordered(kit, work.site) if outcome.has_kit else (), tuple(last))


def _files(work: Work, kit: Kit, outcome: Outcome) -> dict[str, bytes]:
    if work.written is None:
        return {}
    return kit_files(kit, work.site, work.written) if outcome.has_kit else {KIT_JSON: kit.to_json().encode()}


def lost(work: Work) -> Answer:
    """What is said of a site whose every worker died."""
    text = "the process that solved it died each time: it may need more memory than there is"
    return Answer(Outcome(work.name, Ending.FAILED, messages=(text,)))
