"""How much is missing: the devices left over when as many as possible are served, in ports and watts."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import pulp

from equipsel.feeds.ways import Group
from equipsel.program import link_rules
from equipsel.program.adapter import Stop, solve, whole
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.rules import RULES
from equipsel.site import Site
from equipsel.variants import with_tables, with_values

MOST_GROUPS = 3
"""Groups of devices told apart at most (our own limit)."""


@dataclass(frozen=True)
class Shortage:
    """Devices of a part of a site that cannot be served with the others: so many of each group, no fewer."""

    left: Mapping[Group, int]

    def texts(self) -> list[str]:
        """What each place is short of, in words; one text for all where many groups are."""
        if len(self.left) <= MOST_GROUPS:
            return [self._text(group, count) for group, count in self.left.items()]
        places = ", ".join(dict.fromkeys(item.route.place for group in self.left for item in group.first.routes))
        count = sum(self.left.values())
        return [f"{places} are together {_short(self.left)} short: {count} devices of {len(self.left)} kinds cannot be served"]

    def _text(self, group: Group, count: int) -> str:
        names = [name for _, name in group.members[-count:]]
        shown = ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")
        places = " or ".join(dict.fromkeys(item.route.place for item in group.first.routes))
        like = f"{count} of {group.count} devices like {group.first.device.device} cannot be served ({shown})"
        like = f"{shown} cannot be served" if group.count == 1 else like
        return f"{places} is {_short({group: count})} short: {like}"

    def without(self, site: Site) -> Site:
        """The site without these devices."""
        fewer = Counter(ways.device.device for group, count in self.left.items() for ways, _ in group.members[-count:])
        left = {row.device: row.count - fewer[row.device] for row in site.scenario.devices}
        devices = tuple(with_values(row, count=left[row.device]) for row in site.scenario.devices if left[row.device])
        gone = {name for name, count in left.items() if not count}
        return with_tables(site, devices=devices, runs=tuple(row for row in site.scenario.runs if row.from_ not in gone))


def _short(left: Mapping[Group, int]) -> str:
    """Ports, and watts reserved at the least, in words."""
    ports = sum(left.values())
    watts = sum(count * _least_mw(group) for group, count in left.items()) / 1000
    return f"{ports} port{'' if ports == 1 else 's'}" + (f" and {watts:g} W" if watts else "")


def _least_mw(group: Group) -> int:
    return min((one.reserved_mw for item in group.first.routes for feeds in item.feeds.values() for one in feeds), default=0)


def shortage(problem: Problem, time_limit_s: float) -> Shortage | None:
    """The devices left over; None where none are (whole units cannot be packed), or no fewer was not proven in time."""
    model = Model(problem, Refinement())
    left = {index: model.rows.variable(f"unserved_{index}", 0, group.count) for index, group in enumerate(problem.groups)}
    link_rules.define_served(model, left)
    for rule in RULES:
        rule(model)
    model.rows.problem += pulp.lpSum(left.values())
    answer = solve(model.rows.problem, 0.0, time_limit_s)
    counts = {problem.groups[index]: whole(count) for index, count in left.items() if whole(count)} if answer.found else {}
    return Shortage(counts) if counts and answer.stop is Stop.PROVEN else None
