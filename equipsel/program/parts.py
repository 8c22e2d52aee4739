"""Parts of a site that have nothing to do with each other: each is a problem of its own, and their costs add up.

Places belong together where a device may be cabled to either or a switch in one may be fed from the other; and where a line of
the bill over the whole site would be rounded otherwise than its parts (cable in boxes, prices that break a cent, energy), or a
rule looks at the whole site (max_models). Everything else of the bill is a line of one place, or a sum of whole cents.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from equipsel.catalog import Cable
from equipsel.feeds.fed import FedBuild
from equipsel.feeds.lines import Route
from equipsel.feeds.ways import Group
from equipsel.program.counts import has_one_run
from equipsel.program.model import Problem
from equipsel.program.restriction import Restriction
from equipsel.scenario import Owned, Run, Scenario
from equipsel.site import Site


@dataclass(frozen=True)
class Part:
    """A part of a problem: a problem of its own, and which groups and builds of the whole it holds, in its order."""

    problem: Problem
    groups: tuple[int, ...]
    builds: tuple[int, ...]


class Union:
    """Names that belong together."""

    def __init__(self) -> None:
        """Nothing belongs together yet."""
        self.above: dict[str, str] = {}

    def root(self, name: str) -> str:
        """The name that stands for all that belong with one."""
        while (above := self.above.setdefault(name, name)) != name:
            self.above[name] = self.above[above]
            name = above
        return name

    def join(self, names: Iterable[str]) -> None:
        """Let names belong together, and all that belong with them."""
        first: str | None = None
        for name in names:
            first = self.root(name) if first is None else first
            self.above[self.root(name)] = first


def parts(problem: Problem) -> list[Part]:
    """The parts of a problem that may be solved apart, in the order of their first places; parts without devices are left out."""
    together = Union()
    for group in problem.groups:
        together.join(places_of(group))
    for build in problem.builds:
        if isinstance(build, FedBuild):
            together.join((build.place, build.fed[1].place))
    for names in bound_by_the_bill(problem):
        together.join(names)
    return list(_parts(problem, together))


def places_of(group: Group) -> list[str]:
    """The places its devices may be cabled to, their own first."""
    return [ways.route.place for ways in group.first.routes]


def bound_by_the_bill(problem: Problem) -> Iterator[list[str]]:
    """Places that a line of the bill, or a rule, over the whole site ties together."""
    site, rules = problem.site, problem.site.rules
    models = len(site.catalog.switches) + len(site.catalog.injectors) + len(site.catalog.extenders)
    few = rules.max_models is not None and rules.max_models < models
    broken = any((extra.price + extra.install_cost) * 100 % 1 for extra in site.catalog.extras)
    if few or broken or problem.restriction.of_site or problem.paid is not None or (rules.energy_price_kwh and rules.years):
        yield list(site.scenario.place)
    runs: dict[Cable, list[tuple[Route, list[str], bool]]] = {}
    for route, places, settled in _new_cable(problem):
        runs.setdefault(route.cable, []).append((route, places, settled))
    for cable, used in runs.items():
        if any(not settled and _rounds(cable, route) for route, _, settled in used):
            yield [name for _, places, _ in used for name in places]


def _new_cable(problem: Problem) -> Iterator[tuple[Route, list[str], bool]]:
    """Every run that may take new cable, the places it bears on, and whether its use is settled before any choice."""
    for group in problem.groups:
        settled, places = has_one_run(group), places_of(group)
        for member in dict.fromkeys(ways for ways, _ in group.members):
            for item in member.routes:
                if item.route.existing is not None:
                    yield item.route, places, settled
    for build in problem.builds:
        if isinstance(build, FedBuild):
            yield build.fed[1], [build.place], False


def _rounds(cable: Cable, route: Route) -> bool:
    """Whether a run that may be used or not makes a cable's line other than a sum of whole cents."""
    by_metre = cable.install_cost_per_m if cable.sold_m else cable.price_per_m + cable.install_cost_per_m
    whole = (Fraction(by_metre) * Fraction(route.run_m) * 100).denominator == 1
    return bool(cable.sold_m) or not whole


def _parts(problem: Problem, together: Union) -> Iterator[Part]:
    groups: dict[str, list[int]] = {}
    for index, group in enumerate(problem.groups):
        groups.setdefault(together.root(places_of(group)[0]), []).append(index)
    if len(groups) <= 1:
        yield Part(problem, tuple(range(len(problem.groups))), tuple(range(len(problem.builds))))
        return
    places: dict[str, list[str]] = {}
    for name in problem.site.scenario.place:
        places.setdefault(together.root(name), []).append(name)
    builds: dict[str, list[int]] = {}
    for index, build in enumerate(problem.builds):
        builds.setdefault(together.root(build.place), []).append(index)
    sites = _sites(problem, places, groups, together)
    for root, names in places.items():
        if root in groups:
            held, standing = groups[root], builds.get(root, [])
            own_groups, own_builds = [problem.groups[at] for at in held], [problem.builds[at] for at in standing]
            own = Problem(sites[root], own_groups, own_builds, problem.uplinks, restriction=_of_places(problem, names))
            yield Part(own, tuple(held), tuple(standing))


def _sites(problem: Problem, places: dict[str, list[str]], groups: dict[str, list[int]], together: Union) -> dict[str, Site]:
    """The site of each part: its own places, devices, runs between places and equipment there; rules and catalog are the same."""
    scenario = problem.site.scenario
    runs: dict[str, list[Run]] = {}
    for run in scenario.runs:
        if run.from_ in scenario.place and run.to in scenario.place:
            runs.setdefault(together.root(run.from_), []).append(run)
    owned: dict[str, list[Owned]] = {}
    for row in scenario.owned:
        owned.setdefault(together.root(row.place), []).append(row)
    found = {}
    for root, held in groups.items():
        devices = dict.fromkeys(ways.device for at in held for ways, _ in problem.groups[at].members)
        own = Scenario.model_construct(
            title=scenario.title, currency=scenario.currency, catalog=scenario.catalog, rules=scenario.rules,
            places=tuple(scenario.place[name] for name in places[root]), devices=tuple(devices),
            runs=tuple(runs.get(root, ())), owned=tuple(owned.get(root, ())), growth=(),
        )  # fmt: skip
        found[root] = Site(own, problem.site.catalog)
    return found


def cut(problem: Problem, places: frozenset[str], standing: tuple[int, ...], counts: dict[int, int]) -> Part:
    """Some places of a problem, some of the builds there, and so many devices of its groups: the rest is chosen elsewhere."""
    groups = [Group(problem.groups[at].members[:number]) for at, number in counts.items()]
    scenario = problem.site.scenario
    own = Scenario.model_construct(
        title=scenario.title, currency=scenario.currency, catalog=scenario.catalog, rules=scenario.rules,
        places=tuple(row for name, row in scenario.place.items() if name in places),
        devices=tuple(dict.fromkeys(ways.device for group in groups for ways, _ in group.members)),
        runs=tuple(run for run in scenario.runs if run.from_ in places and run.to in places),
        owned=tuple(row for row in scenario.owned if row.place in places), growth=(),
    )  # fmt: skip
    site = Site(own, problem.site.catalog)
    restriction = _of_places(problem, places)
    own_builds = [problem.builds[at] for at in standing]
    return Part(Problem(site, groups, own_builds, problem.uplinks, restriction=restriction), tuple(counts), standing)


def _of_places(problem: Problem, places: Iterable[str]) -> Restriction:
    """What of a problem's restriction is about some places."""
    whole, held = problem.restriction, set(places)
    at = frozenset(spot for spot in whole.unbought_at if spot[0] in held)
    return replace(whole, unbought_at=at, closed=whole.closed & held)


def alike(part: Part) -> object | None:
    """Equal for parts that differ in names alone, so that one is solved for all; None where switches may be fed from others.

    Nor where a restriction names its places.
    """
    if part.problem.restriction.any or any(isinstance(build, FedBuild) for build in part.problem.builds):
        return None
    scenario = part.problem.site.scenario
    at = {name: number for number, name in enumerate(scenario.place)}
    places = tuple(repr(row.model_dump(exclude={"place", "line", "carried"})) for row in scenario.place.values())
    owned = tuple((row.model, at[row.place], row.count) for row in scenario.owned)
    builds = tuple((at[build.place], build.model.model, tuple(supply.model for supply in build.supplies)) for build in part.problem.builds)
    return (places, owned, builds, tuple(_group_likeness(group, at) for group in part.problem.groups))


def _group_likeness(group: Group, at: dict[str, int]) -> tuple[object, ...]:
    device, routes = group.first.device, group.first.routes
    own = (device.number, device.link_mbps, device.mbps, device.kind, device.priority, device.backup)
    lengths = None if has_one_run(group) else tuple((ways.route.run_m, ways.route.cable.model, ways.route.existing) for ways in routes)
    feeds = tuple(
        (at[ways.route.place], head, tuple((tuple(one.model for one in solved.chain), solved.reserved_mw) for solved in found))
        for ways in routes
        for head, found in ways.feeds.items()
    )
    return (group.count, own, lengths, feeds)
