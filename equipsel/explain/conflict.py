"""Smallest sets of rules that cannot all hold, by a deletion filter; then as many more as there are beside them.

Whether rules cannot all hold hardly ever gets better by adding rules. So rules are taken away in chunks, half of them at first, as
long as what is left still cannot hold (Junker's idea, Chinneck's deletion filter), then one by one until none can go.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from equipsel.explain.rules import Rule, without
from equipsel.explain.verdict import LAST_S, QUESTION_S, Judge, Verdict
from equipsel.site import Site


@dataclass(frozen=True)
class Conflict:
    """Rules that cannot all hold, even where the others of a site are lifted.

    shown_on: the site, or a part of it, where that shows. smallest: proven that without any one of them there is a kit, the others
    lifted; else time ran out on some.
    """

    rules: tuple[Rule, ...]
    others: tuple[Rule, ...]
    site: Site
    shown_on: Site
    smallest: bool = True


class Filter:
    """Looks for conflicts among the rules of one site, each lifted for good once it is found."""

    def __init__(self, site: Site, rules: Sequence[Rule], judge: Judge) -> None:
        """Know the site and the rules that may be lifted: a conflict tells the last first.

        The first are left out first, but for those without which a site is hard to solve.
        """
        self.site, self.rules, self.judge = site, rules, judge
        self.held = sorted(range(len(rules)), key=lambda at: rules[at].heavy)
        self.known: dict[frozenset[int], Verdict] = {}

    def hopeless(self) -> bool:
        """Whether there is no kit even where every rule is lifted."""
        return self._holds(()) is Verdict.NONE

    def conflicts(self) -> Iterator[Conflict]:
        """Conflicts that share no rule, until a kit is left when all of their rules are lifted, or time is up."""
        while self.held and self._holds(self.held) is Verdict.NONE:
            kept, sure = self._smallest(self.held)
            if not kept:
                return
            yield self._taken(kept, sure)

    def confirmed(self, supposed: Conflict) -> Conflict | None:
        """A conflict of a part of the site as one of the whole site: where that any one of its rules is lifted gives a kit here too.

        That its rules cannot hold for fewer devices shows that they cannot for all, but where critical devices count each other.
        """
        words = {rule.words for rule in supposed.rules}
        kept = [at for at in self.held if self.rules[at].words in words]
        counted = self.site.rules.max_critical_share_pct < 100
        if len(kept) < len(words) or (counted and self._holds(kept) is not Verdict.NONE):
            return None
        if any(self._holds(other for other in kept if other != at) is not Verdict.KIT for at in kept):
            return None
        return replace(self._taken(kept, sure=True), shown_on=supposed.site)

    def lifted(self) -> Site:
        """The site without the rules of the conflicts found."""
        return without(self.site, (rule for at, rule in enumerate(self.rules) if at not in self.held))

    def _taken(self, kept: list[int], sure: bool) -> Conflict:
        self.held = [at for at in self.held if at not in kept]
        others = tuple(rule for at, rule in enumerate(self.rules) if at not in kept)
        return Conflict(tuple(self.rules[at] for at in sorted(kept, reverse=True)), others, self.site, self.site, sure)

    def _holds(self, held: Iterable[int], seconds: float = QUESTION_S) -> Verdict:
        """Whether there is a kit where only these rules hold."""
        key = frozenset(held)
        if self.known.get(key, Verdict.UNKNOWN) is Verdict.UNKNOWN:
            lifted = [rule for at, rule in enumerate(self.rules) if at not in key]
            self.known[key] = self.judge.verdict(without(self.site, lifted), seconds)
        return self.known[key]

    def _smallest(self, held: list[int]) -> tuple[list[int], bool]:
        """A smallest part of the held rules that cannot hold; whether that is proven.

        One by one they are gone through until none can go: shorter runs need fewer extenders, so that lifting a rule may also hurt.
        """
        size = max(1, len(held) // 2)
        while True:
            sure, before = True, len(held)
            for chunk in [held[at : at + size] for at in range(0, len(held), size)]:
                rest = [at for at in held if at not in chunk]
                verdict = self._holds(rest, QUESTION_S if size > 1 else LAST_S)
                if verdict is Verdict.NONE:
                    held = rest
                elif verdict is Verdict.UNKNOWN:
                    sure = False
            if size == 1 and len(held) == before:
                return held, sure
            size = max(1, size // 2)
