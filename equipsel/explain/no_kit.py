"""Why there is no kit: devices that cannot be powered alone, rules that cannot all hold, how much is short, and what would do."""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from equipsel.explain.catalog_rules import catalog_rules
from equipsel.explain.conflict import Conflict, Filter
from equipsel.explain.device_rules import device_rules
from equipsel.explain.devices import stopped, told
from equipsel.explain.place_rules import place_rules
from equipsel.explain.remedy import Remedies, Remedy
from equipsel.explain.rules import Rule, without
from equipsel.explain.scope import alone, captive, lacking, many, neighbourhoods
from equipsel.explain.shortage import Shortage, shortage
from equipsel.explain.site_rules import site_rules
from equipsel.explain.verdict import Judge, Tell, Verdict
from equipsel.program.model import Problem
from equipsel.program.of_site import Powered, powered
from equipsel.program.parts import parts
from equipsel.scenario import Device
from equipsel.site import Site

MOST_ALONE = 4
"""Devices whose own conflicts are looked for at most, each beside those before it (our own limit)."""

WHOLE_SITE = 600
"""Up to so many devices a suggestion is tried on the whole site; beyond, on the devices that it is about (our own limit)."""

SHORTAGE_SHARE = 0.4
"""Of the time left, what finding out how much is short may take (our own limit)."""


@dataclass
class Explanation:
    """What is known of why there is no kit. `complete`: nothing was cut short."""

    devices: list[str] = field(default_factory=list)
    conflicts: list[Conflict] = field(default_factory=list)
    shortages: list[Shortage] = field(default_factory=list)
    remedies: list[Remedy] = field(default_factory=list)
    tried_on: str = ""
    notes: list[str] = field(default_factory=list)

    def texts(self) -> tuple[str, ...]:
        """All of it, a sentence each."""
        found = [*self.devices, *(text for one in self.shortages for text in one.texts())]
        found += [_conflict_text(conflict) for conflict in self.conflicts]
        found += [self._remedy_text(remedy) for remedy in self.remedies]
        return tuple(found + self.notes)

    def _remedy_text(self, remedy: Remedy) -> str:
        unsure = "" if remedy.least else " (less may do: time ran out)"
        if self.tried_on:
            return f"{self.tried_on} can be powered with {remedy.words}{unsure}; the whole site was not solved again"
        return f"there is a kit with {remedy.words}{unsure}"


def _conflict_text(conflict: Conflict) -> str:
    words = "; ".join(rule.words for rule in conflict.rules)
    unsure = "" if conflict.smallest else " (time ran out before each of them was shown to matter)"
    return (f"in the way: {words}" if len(conflict.rules) == 1 else f"these cannot all hold: {words}") + unsure


class NoKit:
    """Finds out why a site has no kit, within its time; Ctrl-C gives what is known by then."""

    def __init__(self, asked: Powered, hopeless: Sequence[Problem], seconds: float, tell: Tell | None = None) -> None:
        """Know the site, every way to power it, and the parts that are known to have no kit."""
        self.asked, self.site, self.hopeless = asked, asked.site, hopeless
        self.judge = Judge(seconds, asked.restriction, tell)
        self.known = Explanation()
        self.short: list[Site] = []

    def found(self) -> Explanation:
        """The explanation."""
        with suppress(KeyboardInterrupt):
            self._look()
        return self.known

    def _look(self) -> None:
        impossible = stopped(self.asked)
        self.known.devices = [told(item, self.asked) for item in impossible]
        self._alone([item.device for item in impossible])
        self._together([item.device for item in impossible])
        if self.known.conflicts:
            self._remedies([item.device for item in impossible])
        for site in self.short:
            self._shortage(site)

    def _alone(self, impossible: list[Device]) -> None:
        """What is in the way of devices that cannot be powered alone, one after the other, what is found lifted for the next."""
        site, left = self.site, impossible
        for _ in range(MOST_ALONE):
            if not left:
                return
            found = self._of_device(site, left[0])
            self.known.conflicts += found
            site = without(site, (rule for conflict in found for rule in conflict.rules))
            left = [item for item in left[1:] if self.judge.verdict(alone(site, _now(site, item))) is not Verdict.KIT]
        if left:
            self.known.notes.append(f"of {len(left)} more devices, what is in their way was not looked for")

    def _of_device(self, site: Site, device: Device) -> list[Conflict]:
        own = alone(site, _now(site, device))
        asked = list(device_rules(_now(site, device), own))
        rules = [rule for rule in asked if not rule.wanted]
        needs = [rule for rule in asked if rule.wanted]
        return list(Filter(own, [*rules, *_rules(own), *needs], self.judge).conflicts())

    def _together(self, impossible: list[Device]) -> None:
        """What is in the way of the others together."""
        sites: list[Site] = [problem.site for problem in self.hopeless]
        if impossible:
            rest = lacking(self.site, impossible)
            if not rest.scenario.devices:
                return
            if many(rest) > WHOLE_SITE:
                self.known.notes.append("whether the other devices can be served together was not looked into")
                return
            sites = list(self._hopeless(rest))
        for site in sites:
            self._joint(site)

    def _hopeless(self, site: Site) -> Iterator[Site]:
        for part in parts(powered(site, self.asked.restriction).problem()):
            if self.judge.verdict(part.problem.site) is Verdict.NONE:
                yield part.problem.site

    def _joint(self, site: Site) -> None:
        known, rules = len(self.known.conflicts), Filter(site, _rules(site), self.judge)
        if rules.hopeless():
            self._one_by_one(site)
            return
        for places in neighbourhoods(site):
            own = captive(rules.lifted(), places)
            for conflict in Filter(own, _rules(own), self.judge).conflicts() if own.scenario.devices else ():
                confirmed = rules.confirmed(conflict)
                self.known.conflicts += [confirmed] if confirmed else []
        self.known.conflicts += rules.conflicts()
        if len(self.known.conflicts) > known:
            self.short.append(site)
        else:
            self.known.notes.append("which rules are in the way was not found in the time allowed")

    def _one_by_one(self, site: Site) -> None:
        """A device that has no kit alone although all its lines work: what is in its way, as for the others."""
        single = [row for row in site.scenario.devices if self.judge.verdict(alone(site, row)) is Verdict.NONE]
        self.known.devices += [f"{row.device}: each line works, and no unit that may stand there serves it alone" for row in single]
        self._alone(single)

    def _shortage(self, site: Site) -> None:
        problem = powered(site, self.asked.restriction).problem(priced=False)
        found = shortage(problem, SHORTAGE_SHARE * max(self.judge.left_s, 0.1))
        if found and self.judge.verdict(found.without(site)) is Verdict.KIT:
            self.known.shortages.append(found)

    def _remedies(self, impossible: list[Device]) -> None:
        site = self.site
        if many(site) > WHOLE_SITE and impossible:
            site = alone(site, impossible[0])
            self.known.tried_on = impossible[0].device
        for remedy in Remedies(site, self.known.conflicts, self.judge).found():
            self.known.remedies.append(remedy)
        if not self.known.remedies:
            self.known.notes.append("no change of these rules was found that gives a kit in the time allowed")


def _now(site: Site, device: Device) -> Device:
    """The row of a device as it is in a changed site."""
    return site.scenario.device[device.device]


def _rules(site: Site) -> list[Rule]:
    """Every named rule but those of single devices, what is nearest to the user last: the last is the last to be left out."""
    return [*catalog_rules(site), *site_rules(site), *place_rules(site)]
