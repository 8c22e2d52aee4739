"""Conflicts and remedies on made-up questions: what is smallest, what is least, and what is said when time runs out."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from sketch import catalog, device, ports, scenario, switch

from equipsel.explain.conflict import Conflict, Filter
from equipsel.explain.remedy import Remedies
from equipsel.explain.rules import Ease, Rule, Step
from equipsel.explain.verdict import Judge, Verdict
from equipsel.site import Site
from equipsel.variants import with_rules

SITE = Site(scenario(device("cam", 5)), catalog(switch("s", 50, 62, ports(4, 30))))
NAMES = ("spare_watts_pct", "spare_ports_pct", "run_extra_m", "backup_minutes", "piece_cost")


class Made(Judge):
    """Answers by the values of rules alone, and counts the questions."""

    def __init__(self, none: Callable[[dict[str, int]], bool], most: int = 10_000) -> None:
        super().__init__(60)
        self.none, self.most, self.seen = none, most, 0

    def verdict(self, site: Site, seconds: float = 0) -> Verdict:
        del seconds
        self.seen += 1
        if self.seen > self.most:
            return Verdict.UNKNOWN
        return Verdict.NONE if self.none({name: int(getattr(site.rules, name)) for name in NAMES}) else Verdict.KIT


def lowered(name: str, value: int) -> Step:
    return Step(f"{name} {value}", lambda site: with_rules(site, **{name: Decimal(value)}))


RULES = [Rule(name, lowered(name, 0).change, (Ease([lowered(name, at) for at in range(29, -1, -1)]),)) for name in NAMES]
FULL = with_rules(SITE, **{name: Decimal(30) for name in NAMES})


def names(conflicts: list[Conflict]) -> list[set[str]]:
    return [{rule.words for rule in conflict.rules} for conflict in conflicts]


@pytest.mark.parametrize("held", [{0}, {4}, {0, 4}, {1, 2, 3}, set(range(5))])
def test_the_smallest_set_is_found(held: set[int]) -> None:
    judge = Made(lambda now: all(now[NAMES[at]] for at in held))
    found = list(Filter(FULL, RULES, judge).conflicts())
    assert names(found) == [{NAMES[at] for at in held}]
    assert found[0].smallest
    assert {rule.words for rule in found[0].others} == set(NAMES) - names(found)[0]


def test_a_rule_that_was_needed_only_while_another_held_goes_too() -> None:
    # the second rule matters only where the third holds, and without the third the first alone cannot hold
    judge = Made(lambda now: bool(now[NAMES[0]] and (now[NAMES[1]] or not now[NAMES[2]])))
    assert names(list(Filter(FULL, RULES, judge).conflicts())) == [{NAMES[0]}]


def test_conflicts_beside_each_other_are_all_found() -> None:
    judge = Made(lambda now: bool((now[NAMES[0]] and now[NAMES[1]]) or now[NAMES[3]]))
    assert sorted(names(list(Filter(FULL, RULES, judge).conflicts())), key=len) == [{NAMES[3]}, {NAMES[0], NAMES[1]}]


def test_where_time_runs_out_a_set_is_not_called_smallest() -> None:
    found = list(Filter(FULL, RULES, Made(lambda now: bool(now[NAMES[0]]), most=3)).conflicts())
    assert not found[0].smallest
    assert NAMES[0] in names(found)[0]


@pytest.mark.parametrize("most", [0, 1, 13, 28, 29])
def test_the_least_step_is_found(most: int) -> None:
    judge = Made(lambda now: now[NAMES[2]] > most)
    found = list(Remedies(FULL, list(Filter(FULL, RULES, judge).conflicts()), judge).found())
    assert [remedy.words for remedy in found] == [f"{NAMES[2]} {most}"]
    assert found[0].least


def test_each_rule_of_a_conflict_is_a_way_out() -> None:
    judge = Made(lambda now: now[NAMES[0]] + now[NAMES[1]] > 40)
    found = [remedy.words for remedy in Remedies(FULL, list(Filter(FULL, RULES, judge).conflicts()), judge).found()]
    assert sorted(found) == [f"{NAMES[1]} 10", f"{NAMES[0]} 10"]


def test_two_conflicts_need_two_changes() -> None:
    judge = Made(lambda now: now[NAMES[0]] > 9 or now[NAMES[1]] > 20)
    found = list(Remedies(FULL, list(Filter(FULL, RULES, judge).conflicts()), judge).found())
    assert {step.words for step in found[0].steps} == {f"{NAMES[0]} 9", f"{NAMES[1]} 20"}


def test_rules_that_must_all_give_way_are_eased_together() -> None:
    # any two of three cannot hold: no single change helps
    judge = Made(lambda now: sum(bool(now[name]) for name in NAMES[:3]) >= 2)
    conflicts = list(Filter(FULL, RULES, judge).conflicts())
    assert len(names(conflicts)[0]) == 2
    found = list(Remedies(FULL, conflicts, judge).found())
    assert len(found) == 1
    assert judge.verdict(found[0].site) is Verdict.KIT
    assert all(step.words.endswith(" 0") for step in found[0].steps)


def test_what_does_not_help_is_not_said() -> None:
    judge = Made(bool)
    conflict = Conflict((RULES[0],), (), FULL, FULL)
    assert list(Remedies(FULL, [conflict], judge).found()) == []


def test_out_of_time_nothing_is_known() -> None:
    assert Judge(0).verdict(SITE) is Verdict.UNKNOWN
    assert Judge(20).verdict(SITE) is Verdict.KIT
