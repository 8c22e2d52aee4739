"""One site's kit as a piece of work that a process, here or elsewhere, does on its own."""

from dataclasses import dataclass

from equipsel.files import KIT_JSON, kit_files
from equipsel.many.order import Ordered, ordered
from equipsel.many.outcome import Ending, Outcome, outcome_of
from equipsel.site import Site
from equipsel.solve import AuditFailed, cheapest_kit


@dataclass(frozen=True, slots=True)
class Work:
    """A site to solve under its own limits; `files`: whether what is to be written is wanted too."""

    name: str
    site: Site
    files: bool


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
    files = {} if not work.files else kit_files(kit, work.site) if outcome.has_kit else {KIT_JSON: kit.to_json().encode()}
    last = sorted(files.items(), key=lambda item: item[0] == KIT_JSON)
    return Answer(outcome, ordered(kit, work.site) if outcome.has_kit else (), tuple(last))


def lost(work: Work) -> Answer:
    """What is said of a site whose every worker died."""
    text = "the process that solved it died each time: it may need more memory than there is"
    return Answer(Outcome(work.name, Ending.FAILED, messages=(text,)))
