"""What is there once the kit is installed, as an `owned` table: the start of the next job on the site."""

from collections import Counter

from equipsel.files.schedules.schedule import Entry, Schedule, schedule
from equipsel.kit import Kit
from equipsel.site import Site

COLUMNS = ("model", "place", "count")


def kit_as_owned(kit: Kit, site: Site) -> Schedule:
    """Switches, supplies and injectors by place, the kit's and what was there before and is not used."""
    used = Counter((unit.place, model) for unit in kit.units for model in (unit.model, *unit.supplies))
    before = site.owned()
    there = {key: max(used[key], before[key]) for key in (*used, *before)}
    entries = (Entry({"model": model, "place": place, "count": count}, {}) for (place, model), count in there.items())
    return schedule("kit_as_owned", COLUMNS, entries)
