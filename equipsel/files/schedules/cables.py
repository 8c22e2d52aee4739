"""The cable schedule: every run, from port to device, and what a meter should read at its end."""

from collections import Counter
from collections.abc import Iterator

from equipsel.columns import Row
from equipsel.files.schedules.plugs import Plug, PortKey, plugs
from equipsel.files.schedules.schedule import Cell, Entry, Schedule, carried_from, device_amps, extender_words, plain, schedule
from equipsel.kit import Connection, FedBy, Kit
from equipsel.scenario import Run
from equipsel.site import Site

COLUMNS = (
    "run",
    "place",
    "unit",
    "group",
    "port",
    "to",
    "use",
    "run_m",
    "cable",
    "existing",
    "extenders",
    "class",
    "pse_w",
    "pd_volts",
    "pd_w",
    "pd_amps",
    "amps",
    "loss_w",
)


def cable_schedule(kit: Kit, site: Site) -> Schedule:
    """Each run in use, numbered: where it starts and ends, its cable, new or existing, and the readings at its end."""
    return schedule("cable_schedule", COLUMNS, _entries(kit, site))


def _entries(kit: Kit, site: Site) -> Iterator[Entry]:
    places = {unit.unit: unit.place for unit in kit.units}
    used: Counter[Run] = Counter()
    runs = [(key, plug) for key, plug in plugs(kit, site).items() if plug.run]
    for number, (key, plug) in enumerate(runs, 1):
        row = _row(plug, places, site)
        existing = _is_existing(plug, row, used)
        yield _entry(number, key, plug, places[key[0]], row, existing)


def _entry(number: int, key: PortKey, plug: Plug, place: str, row: Run | None, existing: bool) -> Entry:
    run = plug.run
    assert run is not None, "only ports with a run are listed"
    cells: dict[str, Cell] = {
        "run": number,
        "place": place,
        "unit": key[0],
        "group": key[1],
        "port": key[2],
        "to": plug.to,
        "use": plug.use,
        "run_m": plain(run.run_m),
        "cable": run.cable,
        "existing": "yes" if existing else "no",
        "extenders": extender_words(run.extenders),
        "class": run.class_,
    }
    readings: dict[str, Cell] = {name: getattr(run, name) for name in ("pse_w", "pd_volts", "pd_w", "amps", "loss_w")}
    rows: tuple[Row | None, ...] = (plug.device, row)
    return Entry({**cells, **readings, "pd_amps": device_amps(run)}, carried_from(*rows))


def _row(plug: Plug, places: dict[str, str], site: Site) -> Run | None:
    """The row of `runs` that a run is taken from; None for a device's own run."""
    run = plug.run
    assert run is not None, "only ports with a run are listed"
    head = places[run.injector.unit if run.injector else run.unit]
    device = plug.device
    if device and head == device.place and _is(run, device.cable, float(site.rules.run_m(device.run_m)), site):
        return None
    start = device.device if device else places[plug.to]
    rows = (row for row in site.scenario.runs if row.from_ == start and row.to == head)
    return next((row for row in rows if _is(run, row.cable, float(site.rules.run_m(row.run_m)), site)), None)


def _is(run: Connection | FedBy, cable: str | None, run_m: float, site: Site) -> bool:
    return run.cable in (None, site.catalog.cable(cable).model) and run.run_m in (None, run_m)


def _is_existing(plug: Plug, row: Run | None, used: "Counter[Run]") -> bool:
    """Whether the cable is there already; the first ones used of a row of `runs` are taken for those that are."""
    if row is None:
        return plug.device is not None and plug.device.existing_cable
    used[row] += 1
    return used[row] <= row.existing
