"""From what is to be added to sites, stage by stage: each holds everything of the one before, and more devices."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from equipsel.files.limits import MOST_DEVICES
from equipsel.files.problems import InputError, cell_problem
from equipsel.growth.spread import spread
from equipsel.growth.wishes import Wish, Wishes
from equipsel.scenario import Device, DeviceColumns, Growth, Run
from equipsel.site import Site
from equipsel.variants import with_tables, with_values

NOW = "now"

NEW = " (new cable)"
"""What the row is called of those added to devices whose cable is there already: theirs is not."""


@dataclass(frozen=True)
class Stage:
    """A stage: its name, its site, how many devices of each row it adds to the stage before."""

    name: str
    site: Site
    added: dict[str, int] = field(default_factory=dict)

    @property
    def devices(self) -> int:
        """How many devices its site has."""
        return sum(row.count for row in self.site.scenario.devices)


@dataclass(frozen=True)
class Stages:
    """Today's site and every stage that adds something, in order; in words what was rounded or adds nothing."""

    stages: tuple[Stage, ...]
    notes: tuple[str, ...] = ()


def stages(site: Site, wishes: Wishes) -> Stages:
    """The stages of a site. Stages that add nothing collapse into the one before. Raises InputError where there are too many devices."""
    plain = with_tables(site, growth=())
    found, notes = [Stage(NOW, plain)], []
    grown = _Grown(plain)
    for name, asked in wishes.items():
        before = dict(grown.counts)
        for wish in asked:
            notes += [f"stage {name}: {words}" for words in grown.add(wish)]
        added = {device: more for device, count in grown.counts.items() if (more := count - before.get(device, 0))}
        if added:
            found.append(Stage(name, grown.site(), added))
        else:
            notes.append(f"stage {name} adds nothing: it is left out")
        if found[-1].devices > MOST_DEVICES:
            wrong = f"there are {found[-1].devices:,} devices by then; at most {MOST_DEVICES:,} are planned in one go"
            raise InputError([cell_problem("growth", None, name, wrong, "check the counts")])
    return Stages(tuple(found), tuple(notes))


def grown(site: Site, more: Mapping[str, int]) -> Site:
    """A site with so many more of some of its devices, all of new cable."""
    found = _Grown(site)
    for name, number in more.items():
        found.more(name, number)
    return found.site()


class _Grown:
    """A site that grows: its device rows with their counts by now."""

    def __init__(self, site: Site) -> None:
        self.base = site
        self.rows: dict[str, Device] = {row.device: row for row in site.scenario.devices}
        self.counts: dict[str, int] = {row.device: row.count for row in site.scenario.devices}
        self.runs: list[Run] = list(site.scenario.runs)
        self.described: dict[str, Device] = {}

    def site(self) -> Site:
        """The site by now."""
        rows = tuple(with_values(self.rows[name], count=count) for name, count in self.counts.items() if count)
        return with_tables(self.base, devices=rows, runs=tuple(self.runs))

    def add(self, wish: Wish) -> Iterator[str]:
        """Grant a wish; yields what was rounded, in words."""
        counts = self._kind(wish.target) if wish.of_kind else {wish.target: self._count(wish.target)}
        total = sum(counts.values())
        number = wish.number(total)
        if wish.rounds(total):
            yield f"{wish.amount} of {total} {wish.target} are rounded up to {number}"
        shares = spread(counts, number) if wish.of_kind else {wish.target: number}
        for name, more in shares.items():
            self.more(name, more, wish.row)

    def _kind(self, kind: str) -> dict[str, int]:
        names = [row.device for row in self.base.scenario.devices if row.kind == kind]
        return {name: self._count(name) for name in names}

    def _count(self, name: str) -> int:
        return self.counts.get(name, 0) + self.counts.get(name + NEW, 0)

    def more(self, name: str, more: int, wanted: Growth | None = None) -> None:
        """So many more of a device, as a row of the growth table may describe it."""
        if name not in self.rows:
            assert wanted is not None, "only the growth table describes new devices"
            self.rows[name] = _described(wanted)
        row = self.rows[name]
        if row.existing_cable and not (wanted is not None and wanted.existing_cable):
            name = self._with_new_cable(row)
        self.counts[name] = self.counts.get(name, 0) + more

    def _with_new_cable(self, row: Device) -> str:
        """The row of those added to devices whose cable is there already; they have the same runs, all of new cable."""
        name = row.device + NEW
        if name not in self.rows:
            self.rows[name] = row.model_copy(update={"device": name, "existing_cable": False})
            others = [run for run in self.base.scenario.runs if run.from_ == row.device]
            self.runs += [run.model_copy(update={"from_": name, "existing": 0}) for run in others]
        return name


def _described(row: Growth) -> Device:
    """A new device as its first row of the growth table describes it."""
    values = {name: getattr(row, name) for name in (*DeviceColumns.model_fields, "device", "place")}
    return Device.model_validate({**values, "count": 1})
