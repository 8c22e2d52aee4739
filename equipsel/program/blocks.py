"""Blocks of a problem: builds that may feed each other, tied to other blocks by devices with a choice alone.

A place whose switches may be fed from different places belongs to the blocks of both, where nothing ties its switches but the devices
that either may serve.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from equipsel.feeds.builds import Build
from equipsel.feeds.fed import FedBuild
from equipsel.program.model import Problem
from equipsel.program.parts import Part, Union, cut, places_of
from equipsel.site import Site


@dataclass(frozen=True)
class Block:
    """A block: every group of the whole that can reach it; `shared`: those that can reach another one too, and their positions here."""

    part: Part
    shared: Mapping[int, int]

    @cached_property
    def problem(self) -> Problem:
        """The block alone; of shared groups it may serve as many as it likes."""
        return replace(self.part.problem, optional=frozenset(self.shared.values()))


def alone(problem: Problem) -> Block:
    """A whole problem as a block without others."""
    return Block(Part(problem, tuple(range(len(problem.groups))), tuple(range(len(problem.builds)))), {})


@dataclass(frozen=True)
class Blocks:
    """All blocks of a problem; which share devices; how many devices of each shared group there are, and who can serve them."""

    problem: Problem
    all: tuple[Block, ...]
    near: tuple[frozenset[int], ...]
    counts: Mapping[int, int]
    holders: Mapping[int, frozenset[int]]

    def some(self, numbers: Iterable[int]) -> dict[int, Block]:
        """Some of them, by number."""
        return {at: self.all[at] for at in sorted(numbers)}

    def inner(self, numbers: frozenset[int]) -> dict[int, int]:
        """Shared groups that only some blocks can serve, and how many devices each has."""
        return {group: count for group, count in self.counts.items() if self.holders[group] <= numbers}

    def pairs(self) -> list[frozenset[int]]:
        """Blocks that share devices, two by two."""
        return sorted({frozenset({at, other}) for at, near in enumerate(self.near) for other in near}, key=sorted)


def blocks(problem: Problem) -> Blocks:
    """The blocks of a problem that any device can reach, in the order of their first places."""
    reached = {name for group in problem.groups for name in places_of(group)}
    stands = [stand for stand in _stands(problem) if stand.places & reached]
    number: dict[str, list[int]] = defaultdict(list)
    for at, stand in enumerate(stands):
        for name in stand.places:
            number[name].append(at)
    reach = [sorted({at for name in places_of(group) for at in number[name]}) for group in problem.groups]
    shared = [at for at, found in enumerate(reach) if len(found) > 1]
    near: dict[int, set[int]] = defaultdict(set)
    held: dict[int, dict[int, int]] = defaultdict(dict)
    for at, found in enumerate(reach):
        for block in found:
            near[block] |= {*found} - {block}
            held[block][at] = problem.groups[at].count
    cuts = (cut(problem, stand.places, stand.builds, held[at]) for at, stand in enumerate(stands))
    all_ = tuple(Block(part, {at: part.groups.index(at) for at in shared if at in part.groups}) for part in cuts)
    counts = {at: problem.groups[at].count for at in shared}
    holders = {at: frozenset(reach[at]) for at in shared}
    return Blocks(problem, all_, tuple(frozenset(near[at]) for at in range(len(all_))), counts, holders)


@dataclass(frozen=True, slots=True)
class _Stand:
    """What belongs to one block: its places, and its builds by number."""

    places: frozenset[str]
    builds: tuple[int, ...]


Spot = tuple[str, str]
"""A place, and where what stands there is fed from: nowhere for what is not fed, or where nothing depends on it."""


def _stands(problem: Problem) -> list[_Stand]:
    """Builds that may feed each other, with their places; in the order of their first places."""
    spots = {at: _spot(problem, build) for at, build in enumerate(problem.builds)}
    of_place: dict[str, list[Spot]] = {name: [] for name in problem.site.scenario.place}
    for spot in dict.fromkeys(spots.values()):
        of_place[spot[0]].append(spot)
    together = Union()
    for at, build in enumerate(problem.builds):
        if isinstance(build, FedBuild):
            above = of_place[build.fed[1].place]
            together.join(_name(spot) for spot in [spots[at], *above] if spot == spots[at] or build.level > 1 or not spot[1])
    places: dict[str, list[str]] = defaultdict(list)
    for name, found in of_place.items():
        for root in dict.fromkeys(together.root(_name(spot)) for spot in found or [(name, "")]):
            places[root].append(name)
    builds: dict[str, list[int]] = defaultdict(list)
    for at, spot in spots.items():
        builds[together.root(_name(spot))].append(at)
    return [_Stand(frozenset(names), tuple(builds[root])) for root, names in places.items()]


def _name(spot: Spot) -> str:
    return repr(spot)


def _spot(problem: Problem, build: Build) -> Spot:
    return build.place, build.fed[1].place if isinstance(build, FedBuild) and _parts(problem, build.place) else ""


def _parts(problem: Problem, place: str) -> bool:
    """Whether no rule and no line of the bill ties switches in a place that are fed from different places."""
    site, spot = problem.site, problem.site.scenario.place[place]
    rules = site.rules
    tied = spot.mains or spot.rack_u is not None or spot.open_cost or rules.spare_ports_pct or rules.max_critical_share_pct < 100
    bought = any(row.place == place for row in site.scenario.owned) or any(extra.per == "place" for extra in site.catalog.extras)
    held = rules.backup_minutes and any(row.backup for row in site.scenario.devices)
    apart = _cables_apart(problem, place) and _whole_cents(site)
    return apart and not (tied or bought or held or problem.restriction.any or problem.paid is not None)


def _whole_cents(site: Site) -> bool:
    """Whether no line of fed switches or extenders breaks a cent: such a line is rounded once for a place."""
    prices = [row.price + row.install_cost for row in site.catalog.switches if row.feed == "port"]
    prices += [row.price + row.install_cost for row in site.catalog.extenders]
    return not any((price + site.rules.piece_cost) * 100 % 1 for price in prices)


def _cables_apart(problem: Problem, place: str) -> bool:
    """Whether the cables that are there for devices of a place are none, or enough for all: else their number ties who uses them."""
    there = ((ways.route.existing, group.count) for group in problem.groups for ways in group.first.routes if ways.route.place == place)
    return all(not existing or existing >= count for existing, count in there)
