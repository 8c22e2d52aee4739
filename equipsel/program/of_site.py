"""The problem of a site: everything that may stand anywhere, every way to power each device, and the groups of like devices."""

from dataclasses import dataclass

from equipsel.feeds.builds import Build
from equipsel.feeds.dominance import worthwhile
from equipsel.feeds.ways import DeviceWays, all_builds, device_ways, groups, most_load_mw, uplinks_matter
from equipsel.program.model import Problem
from equipsel.program.restriction import FREE, Restriction
from equipsel.site import Site


@dataclass(frozen=True)
class Powered:
    """A site, what may stand anywhere in it, and every way to power each row of devices."""

    site: Site
    builds: list[Build]
    ways: list[DeviceWays]
    restriction: Restriction = FREE

    @property
    def possible(self) -> bool:
        """Whether every row of devices can be powered by itself."""
        return all(item.possible for item in self.ways)

    def problem(self, *, priced: bool = True) -> Problem:
        """The problem: builds that no kit needs are dropped, unless the restriction may make them wanted.

        priced: whether the cheapest kit is wanted; else any will do, and builds that are only cheaper are dropped too.
        """
        uplinks = uplinks_matter(self.site, self.builds)
        most, beaten = most_load_mw(self.ways, self.builds), _beaten_wanted(self.site, self.restriction)
        kept = self.builds if beaten else worthwhile(self.builds, self.site, most, priced=priced)
        return Problem(self.site, groups(self.ways, self.site, uplinks), kept, uplinks, restriction=self.restriction)


def powered(site: Site, restriction: Restriction = FREE) -> Powered:
    """Find everything that may stand and every way to power."""
    beaten = _beaten_wanted(site, restriction)
    builds = all_builds(site, beaten=beaten)
    return Powered(site, builds, device_ways(site, builds, beaten=beaten), restriction)


def _beaten_wanted(site: Site, restriction: Restriction) -> bool:
    """Whether sets of supplies and extenders that others beat may be wanted: where what beats them may be what is not bought."""
    beating = (site.catalog.supply, site.catalog.extender)
    return restriction.of_site or any(name in table for _, name in restriction.unbought_at for table in beating)
