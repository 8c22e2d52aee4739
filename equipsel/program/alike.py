"""Fed switches that differ in the volts of the port above and in nothing that a program reckons with: one stands for all of them.

Budgets by class make many: what a port sets aside then depends on the class alone, and each kind of port, and each class of the
switch above, is another head for the line. What stands for others may be plugged in wherever one of them may: a kit of theirs is one
of its own at the same cost, so a bound without them is true.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from equipsel.feeds.builds import Build, Ports
from equipsel.feeds.fed import FedBuild, accepts
from equipsel.feeds.lines import Feed, Head
from equipsel.program.model import Problem

Likeness = tuple[object, ...]
"""Equal for builds that one may stand for."""


@dataclass(frozen=True, slots=True)
class StandIns:
    """Builds by position: which stands for each fed one, and which may feed it."""

    of: Mapping[int, int] = field(default_factory=dict)
    above: Mapping[int, frozenset[int]] = field(default_factory=dict)

    def one_for(self, build: int) -> int:
        """The build that stands for one: itself where none does."""
        return self.of.get(build, build)

    def may_be(self, units: Mapping[int, int]) -> dict[int, int]:
        """As many of each build as were chosen of what stands for it; but none of what no other one feeds."""
        found = {at: number for at, number in units.items() if number and at not in self.of}
        waiting = {at: number for at, one in self.of.items() if (number := units.get(one, 0))}
        while standing := [at for at in waiting if self.above[at] & found.keys()]:
            found |= {at: waiting.pop(at) for at in standing}
        return found


def stand_ins(problem: Problem) -> StandIns:
    """Which fed builds of a problem stand for others: the first of those alike; each for itself where draws are reckoned with."""
    return _Sorting(problem).run()


def without_others(problem: Problem, found: StandIns) -> Problem:
    """The problem with only those builds that stand for others, or that none stands for."""
    alike: dict[Build, list[Build]] = defaultdict(list)
    for at, build in enumerate(problem.builds):
        alike[problem.builds[found.one_for(at)]].append(build)
    return replace(problem, builds=list(alike), alike={build: tuple(all_) for build, all_ in alike.items()})


class _Sorting:
    """The work of `stand_ins`: the furthest from the mains first, since a switch is like another where it may feed the same."""

    def __init__(self, problem: Problem) -> None:
        self.problem, self.by_class = problem, problem.site.rules.budget_basis == "class"
        self.fed = {at: build for at, build in enumerate(problem.builds) if isinstance(build, FedBuild)}
        self.of: dict[int, int] = {}
        self.above: dict[int, set[int]] = defaultdict(set)
        self.below: dict[tuple[int, str], set[int]] = defaultdict(set)
        self.served: dict[tuple[str, Head], Likeness] = {}

    def run(self) -> StandIns:
        self._look()
        seen: dict[Likeness, int] = {}
        for at, build in sorted(self.fed.items(), key=lambda item: (-item[1].level, item[0])):
            self.of[at] = seen.setdefault(self._likeness(at, build), at) if self.by_class else at
        return StandIns(self.of, {at: frozenset(self.above[at]) for at in self.fed})

    def _look(self) -> None:
        """What may feed what."""
        hosts: dict[str, list[int]] = defaultdict(list)
        for at, build in enumerate(self.problem.builds):
            hosts[build.place].append(at)
        for at, build in self.fed.items():
            for above in hosts[build.fed[1].place]:
                host = self.problem.builds[above]
                for ports in host.ports if host.is_injector or host.level == build.level - 1 else ():
                    if accepts(ports, host, build):
                        self.above[at].add(above)
                        self.below[above, ports.group].add(at)

    def _likeness(self, at: int, build: FedBuild) -> Likeness:
        solved, route = build.fed
        line = (build.level, build.through_injector, build.port_pairs, route, solved.chain, solved.number, solved.pairs, solved.reserved_mw)
        ports = tuple(self._of_ports(at, build, ports) for ports in build.ports)
        return build.place, build.model.model, build.class_, build.budget_mw, build.limit_mw, *line, ports

    def _of_ports(self, at: int, build: FedBuild, ports: Ports) -> Likeness:
        head, fed = ports.head, frozenset(self.of[below] for below in self.below[at, ports.group])
        return ports.group, ports.count, ports.limit_mw, head.port_w, head.mbps, self._devices(build.place, head), fed

    def _devices(self, place: str, head: Head) -> Likeness:
        """What a head means to every device that may be cabled to its place."""
        if (place, head) not in self.served:
            routes = (ways for group in self.problem.groups for ways in group.first.routes)
            found = (tuple(map(_of_feed, ways.feeds.get(head, ()))) if ways.route.place == place else () for ways in routes)
            self.served[place, head] = tuple(found)
        return self.served[place, head]


def _of_feed(solved: Feed) -> Likeness:
    return solved.chain, solved.number, solved.pairs, solved.reserved_mw
