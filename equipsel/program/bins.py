"""Bins of like units, and what may feed those that are fed through a port."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar, cast

from equipsel.feeds.builds import Build, Ports
from equipsel.feeds.fed import FedBuild, accepts
from equipsel.program.rows import Variable
from equipsel.scenario import Rules

Kind = TypeVar("Kind", bound=Build)


@dataclass(frozen=True, eq=False)
class Bin:
    """`count` like units of a build: a pool of many, or one of its own (`most` = 1) where a pool could not be packed."""

    build: Build
    count: Variable
    most: int
    position: int

    @property
    def name(self) -> str:
        """A name for rows about it."""
        return f"bin{self.position}_{self.build.place}_{self.build.model.model}"

    @property
    def fed_build(self) -> FedBuild:
        """Its build, where that is a fed switch."""
        assert isinstance(self.build, FedBuild), "only fed switches are plugged in"
        return self.build


class Hosts:
    """The ports that can feed each fed switch, and the most it can hand out when one does."""

    def __init__(self, at: Mapping[str, Sequence[Bin]], rules: Rules, alike: Mapping[Build, tuple[Build, ...]]) -> None:
        """Look at the bins of each place. alike: the builds that each stands for."""
        self.at, self.alike, self.by_class = at, alike, rules.budget_basis == "class"
        self._of: dict[int, tuple[tuple[Bin, Ports], ...]] = {}
        self._most_handed: dict[int, int] = {}

    def of(self, fed: Bin) -> tuple[tuple[Bin, Ports], ...]:
        """The groups of ports that can feed a fed switch."""
        if fed.position not in self._of:
            self._of[fed.position] = tuple(self._accepting(fed.fed_build))
        return self._of[fed.position]

    def _accepting(self, build: FedBuild) -> Iterator[tuple[Bin, Ports]]:
        for host in self.at[build.fed[1].place]:
            if host.build.is_injector or host.build.level == build.level - 1:
                for number, ports in enumerate(host.build.ports):
                    if any(accepts(one.ports[number], one, fed) for one in self._all(host.build) for fed in self._all(build)):
                        yield host, ports

    def _all(self, build: Kind) -> tuple[Kind, ...]:
        """The builds that one stands for."""
        return cast(tuple[Kind, ...], self.alike.get(build, (build,)))

    def most_handed_mw(self, item: Bin) -> int:
        """The most a unit may hand out, mW: its limit; of a fed switch what leaves its draw within what some port above may reserve.

        -1 where no port does. By class the draw above is settled, and a port takes it or not.
        """
        if not isinstance(item.build, FedBuild) or self.by_class:
            return item.build.limit_mw
        if item.position not in self._most_handed:
            above = max((min(host.build.most_mw(ports), self.most_handed_mw(host)) for host, ports in self.of(item)), default=-1)
            self._most_handed[item.position] = _most_below(item.build, above)
        return self._most_handed[item.position]


def _most_below(build: FedBuild, above_mw: int) -> int:
    """The most mW a fed switch can hand out while the port above reserves so much at most; -1 where it needs more itself."""
    if build.upstream_mw(build.limit_mw) <= above_mw:
        return build.limit_mw
    low, high = -1, build.limit_mw
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if build.upstream_mw(middle) <= above_mw else (low, middle)
    return low
