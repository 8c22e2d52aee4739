"""The problem of a site: everything that may stand anywhere, every way to power each device, and the groups of like devices."""

from collections import Counter
from dataclasses import dataclass

from equipsel.feeds.builds import Build
from equipsel.feeds.dominance import worthwhile
from equipsel.feeds.needless import needed
from equipsel.feeds.ways import DeviceWays, all_builds, device_ways, groups, most_load_mw, uplinks_matter
from equipsel.program.model import Problem
from equipsel.program.paid import Paid
from equipsel.program.restriction import FREE, Restriction
from equipsel.program.rows import Counted
from equipsel.site import Site


@dataclass(frozen=True)
class Powered:
    """A site, what may stand anywhere in it, and every way to power each row of devices."""

    site: Site
    builds: list[Build]
    ways: list[DeviceWays]
    restriction: Restriction = FREE
    paid: Paid | None = None

    @property
    def possible(self) -> bool:
        """Whether every row of devices can be powered by itself."""
        return all(item.possible for item in self.ways)

    def problem(self, *, priced: bool = True) -> Problem:
        """The problem: builds that no kit needs are dropped, unless the restriction or what is paid for may make them wanted.

        priced: whether the cheapest kit is wanted; else any will do, and builds that are only cheaper are dropped too.
        """
        uplinks = uplinks_matter(self.site, self.builds)
        kept = self.builds
        if not _beaten_wanted(self.site, self.restriction, self.paid):
            kept = needed(kept, self.ways, self.site)
            kept = worthwhile(kept, self.site, most_load_mw(self.ways, kept), priced=priced)
        if self.paid is not None and self.paid.frozen:
            kept = [build for build in kept if _is_there(build, self.site, self.paid)]
        alike = groups(self.ways, self.site, uplinks, by_row=self.paid is not None)
        return Problem(self.site, alike, kept, uplinks, restriction=self.restriction, paid=self.paid)


def powered(site: Site, restriction: Restriction = FREE, paid: Paid | None = None) -> Powered:
    """Find everything that may stand and every way to power."""
    beaten = _beaten_wanted(site, restriction, paid)
    builds = all_builds(site, beaten=beaten)
    return Powered(site, builds, device_ways(site, builds, beaten=beaten), restriction, paid)


def _beaten_wanted(site: Site, restriction: Restriction, paid: Paid | None) -> bool:
    """Whether supplies, extenders, fed switches that others beat may be wanted: they are paid for, or what beats them is not bought."""
    beating = (site.catalog.supply, site.catalog.extender)
    unbought = any(name in table for _, name in restriction.unbought_at for table in beating)
    return paid is not None or restriction.of_site or unbought


def _is_there(build: Build, site: Site, paid: Paid) -> bool:
    """Whether a unit of a build can stand without buying any: its switch or injector and its supplies are there or paid for."""
    owned = site.owned()
    rows = Counter(row.model for row in (build.model, *build.supplies))
    bought = {name: paid.counts.get(("unit", name, build.place), Counted()).always for name in rows}
    return all(count <= bought[name] + owned[build.place, name] for name, count in rows.items())
