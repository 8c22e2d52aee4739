"""Smallest sets of rules that cannot all hold, by a deletion filter; then as many more as there are beside them.

Whether rules cannot all hold does not get better by adding rules. So rules are taken away in chunks, half of them at first, as long
as what is left still cannot hold (Junker's idea, Chinneck's deletion filter); a rule that had to stay once has to stay for good.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from equipsel.explain.rules import Rule, without
from equipsel.explain.verdict import Judge, Verdict
from equipsel.site import Site


@dataclass(frozen=True)
class Conflict:
    """Rules that cannot all hold. `smallest`: proven that without any one of them they can; else time ran out on some."""

    rules: tuple[Rule, ...]
    smallest: bool = True


class Filter:
    """Looks for conflicts among the rules of one site."""

    def __init__(self, site: Site, rules: Sequence[Rule], judge: Judge) -> None:
        """Know the site and the rules that may be lifted."""
        self.site, self.rules, self.judge = site, rules, judge
        self.known: dict[frozenset[int], Verdict] = {}

    def conflicts(self) -> list[Conflict]:
        """Conflicts that share no rule, until a kit is left when all of their rules are lifted, or time is up."""
        found: list[Conflict] = []
        held = list(range(len(self.rules)))
        while held and self._holds(held) is Verdict.NONE:
            kept, sure = self._smallest(held)
            if not kept:
                break
            found.append(Conflict(tuple(self.rules[at] for at in kept), sure))
            held = [at for at in held if at not in kept]
        return found

    def _holds(self, held: Iterable[int]) -> Verdict:
        """Whether there is a kit where only these rules hold."""
        key = frozenset(held)
        if key not in self.known:
            lifted = [rule for at, rule in enumerate(self.rules) if at not in key]
            self.known[key] = self.judge.verdict(without(self.site, lifted))
        return self.known[key]

    def _smallest(self, held: list[int]) -> tuple[list[int], bool]:
        """A smallest part of the held rules that cannot hold; whether that is proven."""
        sure, size = True, max(1, len(held) // 2)
        while True:
            for chunk in [held[at : at + size] for at in range(0, len(held), size)]:
                rest = [at for at in held if at not in chunk]
                verdict = self._holds(rest)
                if verdict is Verdict.NONE:
                    held = rest
                elif verdict is Verdict.UNKNOWN and size == 1:
                    sure = False
            if size == 1:
                return held, sure
            size //= 2
