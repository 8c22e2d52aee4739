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

Plan = tuple[Ease, ...]


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
                yield tuple(ease for plan in chosen for ease in plan)

    def _ways_out(self, at: int) -> Iterator[Plan]:
        """Eases of a conflict that suffice where all others are lifted; where no single one does, all its rules together."""
        others = [rule for other, conflict in enumerate(self.conflicts) if other != at for rule in conflict.rules]
        site, some = without(self.site, others), False
        eases = [ease for rule in self.conflicts[at].rules for ease in rule.eases]
        for ease in eases:
            if self.judge.verdict(ease.steps[-1].change(site)) is Verdict.KIT:
                some = True
                yield (ease,)
        together = tuple(rule.eases[0] for rule in self.conflicts[at].rules if rule.eases)
        if not some and len(together) > 1:
            yield together

    def _gives_kit(self, steps: Iterable[Step | None]) -> bool:
        verdict = self.judge.verdict(self._eased(steps))
        self.sure = self.sure and verdict is not Verdict.UNKNOWN
        return verdict is Verdict.KIT

    def _eased(self, steps: Iterable[Step | None]) -> Site:
        return reduce(lambda site, step: step.change(site) if step else site, steps, self.site)

    def _settled(self, plan: Plan) -> Remedy | None:
        """The least steps of a plan that give a kit, one ease after the other; None where all of it does not."""
        chosen: list[Step | None] = [ease.steps[-1] for ease in plan]
        if not self._gives_kit(chosen):
            return None
        self.sure = True
        for at, ease in enumerate(plan):
            chosen[at] = self._least(chosen, at, ease)
        steps = tuple(step for step in chosen if step)
        return Remedy(steps, self._eased(steps), self.sure) if steps else None

    def _least(self, chosen: list[Step | None], at: int, ease: Ease) -> Step | None:
        """The least step that still gives a kit: by doubling, then bisection. None where none is needed; the last is known to do."""
        options: list[Step | None] = [*([None] if len(chosen) > 1 else []), *ease.steps]

        def does(number: int) -> bool:
            return self._gives_kit([*chosen[:at], options[number], *chosen[at + 1 :]])

        low, high = -1, 0
        while high < len(options) - 1 and not does(high):
            low, high = high, min(2 * high + 1, len(options) - 1)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if does(middle) else (middle, high)
        return options[high]
