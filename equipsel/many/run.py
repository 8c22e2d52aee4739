"""Every site's kit, those of an earlier run taken as they are, the rest solved side by side and written as they come."""

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

from equipsel import __version__
from equipsel.audit import audit
from equipsel.digest import inputs_sha256
from equipsel.files import FILE_NAMES, KIT_JSON, InputError, OutputError, read_kit, read_site, write_whole
from equipsel.kit import Kit, Severity, Status
from equipsel.lengths import Lengths
from equipsel.many.order import Order, ordered
from equipsel.many.outcome import Ending, Outcome, outcome_of
from equipsel.many.work import Answer, Work, lost, solve
from equipsel.site import Site
from equipsel.sweep import sweep
from equipsel.variants import with_rules


@dataclass(frozen=True, slots=True)
class Asked:
    """What holds for every site: another catalog, gap and seconds (None: its own), where kits are written, and in what lengths."""

    catalog: Path | None = None
    gap: Decimal | None = None
    time_limit_s: float | None = None
    out: Path | None = None
    lengths: Lengths = Lengths.METRIC


@dataclass
class Results:
    """What has been found so far: how each site ended, by name, and everything ordered."""

    outcomes: dict[str, Outcome] = field(default_factory=dict)
    order: Order = field(default_factory=Order)


class Sites:
    """Many sites on their way to kits. `results` grows as they are done and is whole at any moment, also when stopped."""

    def __init__(self, sites: Mapping[str, Path], asked: Asked, told: Callable[[Outcome], None]) -> None:
        """Tell `told` of each site as it is done."""
        self.sites, self.asked, self.told = sites, asked, told
        self.results = Results()

    def run(self, executor: Executor | None) -> None:
        """Solve what is not solved yet. Ctrl-C is the caller's to catch: what is done is in the results and on disk."""
        for _, answer in sweep(solve, self._to_solve(), executor, lost):
            self._keep(answer)

    def outcomes(self) -> list[Outcome]:
        """How each site ended, in the order of their names."""
        return [self.results.outcomes.get(name, Outcome(name, Ending.NOT_DONE)) for name in self.sites]

    def _to_solve(self) -> Iterator[Work]:
        """The sites that an earlier run has not solved, read as they are wanted."""
        for name, path in self.sites.items():
            try:
                site = self._read(path)
            except InputError as error:
                self._done(Outcome(name, Ending.WRONG_INPUT, messages=tuple(str(problem) for problem in error.problems)))
                continue
            kit = self._earlier(name, site)
            if kit is None:
                yield Work(name, site, self.asked.lengths if self.asked.out else None)
            else:
                self.results.order.add(ordered(kit, site) if kit.cost is not None else ())
                self._done(outcome_of(name, site, kit, reused=True))

    def _read(self, path: Path) -> Site:
        """A site under the limits asked for: they are part of what its kit was made from."""
        asked = {"mip_gap": self.asked.gap, "time_limit_s": self.asked.time_limit_s}
        limits = {name: Decimal(str(value)) for name, value in asked.items() if value is not None}
        site = read_site(path, self.asked.catalog)
        return with_rules(site, **limits) if limits else site

    def _earlier(self, name: str, site: Site) -> Kit | None:
        """The kit an earlier run wrote for the same inputs, if all its files are there and it passes its re-check."""
        if self.asked.out is None:
            return None
        folder = self.asked.out / name
        try:
            kit = read_kit(folder / KIT_JSON)
        except InputError:
            return None
        if (kit.inputs_sha256, kit.tool_version) != (inputs_sha256(site), __version__) or kit.status is Status.STOPPED:
            return None
        return kit if kit.status is Status.INFEASIBLE or _is_whole(kit, site, folder) else None

    def _keep(self, answer: Answer) -> None:
        outcome = answer.outcome
        try:
            self._write(answer)
        except OutputError as error:
            outcome = Outcome(outcome.site, Ending.FAILED, messages=(str(error),))
        else:
            self.results.order.add(answer.ordered)
        self._done(outcome)

    def _write(self, answer: Answer) -> None:
        if self.asked.out is None or not answer.files:
            return
        folder, files = self.asked.out / answer.outcome.site, dict(answer.files)
        write_whole(folder, files)
        for name in FILE_NAMES:
            if name not in files:  # of an earlier kit, where there is none now
                (folder / name).unlink(missing_ok=True)

    def _done(self, outcome: Outcome) -> None:
        self.results.outcomes[outcome.site] = outcome
        self.told(outcome)


def _is_whole(kit: Kit, site: Site, folder: Path) -> bool:
    there = all((folder / name).is_file() for name in FILE_NAMES)
    return there and not any(finding.severity is Severity.ERROR for finding in audit(kit, site.scenario, site.catalog))
