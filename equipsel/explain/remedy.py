"""What would make a kit: the least easing of one rule of each conflict, each tried on the whole site before it is said."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import reduce

from equipsel.explain.conflict import Conflict
from equipsel.explain.rules import Ease, Step, without
from equipsel.explain.verdict import Judge, Verdict
from equipsel.site import Site

MOST_REMEDIES = 6
"""Suggestions given at most (our own limit)."""


@dataclass(frozen=True)
class Part:
    """An ease in a plan, and which conflict it is a way out of; `alone`: it is all of that way."""

    ease: Ease
    conflict: int
    alone: bool = True


Plan = tuple[Part, ...]


@dataclass(frozen=True)
class Remedy:
    """Changes that, made together, give a kit; the changed site. `least`: proven that of no change a smaller step would do."""

    steps: tuple[Step, ...]
    site: Site
    least: bool = True

    @property
    def words(self) -> str:
        """The changes in words."""
        return ", and ".join(step.words for step in self.steps)


class Remedies:
    """Looks for remedies of conflicts on a site."""

    def __init__(self, site: Site, conflicts: Sequence[Conflict], judge: Judge) -> None:
        """Know the site and its conflicts; none found yet."""
        self.site, self.conflicts, self.judge = site, conflicts, judge
        self.sure = True

    def found(self) -> Iterator[Remedy]:
        """Remedies, each as soon as it is confirmed."""
        said: set[str] = set()
        for plan in self._plans():
            remedy = self._settled(plan)
            if remedy and remedy.words not in said:
                said.add(remedy.words)
                yield remedy
            if len(said) == MOST_REMEDIES or self.judge.left_s <= 0:
                return

    def _plans(self) -> Iterator[Plan]:
        """One way out of each conflict, every way of each once."""
        lists = [list(self._ways_out(at)) for at in range(len(self.conflicts))]
        if not lists or not all(lists):
            return
        for at, ways in enumerate(lists):
            for way in ways if at == 0 else ways[1:]:
                chosen = [way if other == at else found[0] for other, found in enumerate(lists)]
                yield tuple(part for way in chosen for part in way)

    def _ways_out(self, at: int) -> Iterator[Plan]:
        """Eases of a conflict that suffice where all others are lifted; where no single one does, all its rules together."""
        site, some = self._without_others(at), False
        rules = sorted(self.conflicts[at].rules, key=lambda rule: rule.wanted)
        for ease in (ease for rule in rules for ease in rule.eases):
            if self.judge.verdict(ease.steps[-1].change(site)) is Verdict.KIT:
                some = True
                yield (Part(ease, at),)
        together = tuple(Part(rule.eases[0], at, alone=False) for rule in self.conflicts[at].rules if rule.eases)
        if not some and len(together) > 1:
            yield together

    def _without_others(self, at: int) -> Site:
        """The site where a conflict shows, without the rules of the others."""
        others = [rule for other, conflict in enumerate(self.conflicts) if other != at for rule in conflict.rules]
        return without(self.conflicts[at].shown_on, others)

    def _gives_kit(self, site: Site, steps: Iterable[Step | None]) -> bool:
        verdict = self.judge.verdict(reduce(_eased, steps, site))
        self.sure = self.sure and verdict is not Verdict.UNKNOWN
        return verdict is Verdict.KIT

    def _settled(self, plan: Plan) -> Remedy | None:
        """The least steps of a plan that give a kit: what each conflict needs at least, then, where that is not enough, more."""
        self.sure = True
        least = [self._needed(part) for part in plan]
        steps: list[Step | None] = [part.ease.steps[at] if at >= 0 else None for part, at in zip(plan, least, strict=True)]
        if not self._gives_kit(self.site, steps):
            steps = [part.ease.steps[-1] for part in plan]
            if not self._gives_kit(self.site, steps):
                return None
            self.sure = True
            for at, part in enumerate(plan):
                found = self._least(self.site, part.ease, least[at], steps[:at], steps[at + 1 :])
                steps[at] = part.ease.steps[found] if found >= 0 else None
        made = tuple(step for step in steps if step)
        return Remedy(made, reduce(_eased, made, self.site), self.sure) if made else None

    def _needed(self, part: Part) -> int:
        """The first step of an ease that resolves its conflict where that shows; -1 where it needs others beside it."""
        return self._least(self._without_others(part.conflict), part.ease, 0) if part.alone else -1

    def _least(self, site: Site, ease: Ease, first: int, before: Sequence[Step | None] = (), after: Sequence[Step | None] = ()) -> int:
        """The first step from a given one on that gives a kit, by doubling, then bisection; the last is known to do. -1: no step."""
        last = len(ease.steps) - 1

        def does(at: int) -> bool:
            return self._gives_kit(site, [*before, ease.steps[at] if at >= 0 else None, *after])

        low, high, stride = first - 1, first, 1
        while high < last and not does(high):
            low, high, stride = high, min(high + stride, last), 2 * stride
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if does(middle) else (middle, high)
        return high


def _eased(site: Site, step: Step | None) -> Site:
    return step.change(site) if step else site
