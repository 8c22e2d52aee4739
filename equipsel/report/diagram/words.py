"""What stands beside the lines of a one-line diagram, and the whole diagram in words."""

from itertools import groupby

from equipsel.kit import Number, Unit
from equipsel.lengths import Lengths
from equipsel.report.diagram.branches import Branch
from equipsel.report.table import decimals
from equipsel.report.view import View


def load_words(branch: Branch) -> str:
    """Class and watts reserved at the ports of a branch."""
    if branch.use == "free":
        return f"free, {_most(branch)}"
    if branch.use == "injector data" or not branch.powers:
        return "data only"
    run = branch.runs[0]
    number = "" if run.class_ is None else f"class {run.class_}, "
    watts = [one.reserved_w for one in branch.runs if one.reserved_w is not None]
    return number + (f"{_times(len(watts))}{_range(watts)} W" if watts else "watts not known")


def _most(branch: Branch) -> str:
    return f"up to {decimals(branch.port_w)} W each" if branch.port_w else "data only"


def run_words(branch: Branch, lengths: Lengths) -> str:
    """Length and cable of the runs of a branch."""
    if branch.use == "injector data":
        return "patch lead"
    long = [lengths.of(run.run_m) for run in branch.runs if run.run_m is not None]
    cable = branch.runs[0].cable if branch.runs else None
    return ", ".join(part for part in (f"{_range(long, 1)} {lengths.unit}" if long else "", cable) if part)


def extender_words(branch: Branch) -> str:
    """The extenders along each run of a branch, in their order."""
    models = [item.model for item in branch.runs[0].extenders] if branch.runs else []
    return " + ".join(_times(len(list(alike))) + model for model, alike in groupby(models))


def end_words(branch: Branch) -> str:
    """Watts and volts at the far end."""
    watts = [run.pd_w for run in branch.runs if run.pd_w]
    volts = [run.pd_volts for run in branch.runs if run.pd_volts]
    if not watts or not volts:
        return ""
    return f"{_times(len(watts))}{_range(watts)} W at {_range(volts)} V"


def _times(count: int) -> str:
    return f"{count} x " if count > 1 else ""


def _range(values: list[Number] | list[float], digits: int = 2) -> str:
    low, high = decimals(min(values), digits), decimals(max(values), digits)
    return low if low == high else f"{low}\u2013{high}"


def source_words(unit: Unit, view: View) -> str:
    """Where a unit takes its power from, and an injector its data."""
    feed = unit.fed_by
    if feed:
        return f"fed by {feed_from(unit)[0]}, {feed_from(unit)[1]}"
    supplies = f"mains through {', '.join(unit.supplies)}" if unit.supplies else "mains, built-in supply"
    leads = data_from(unit, view)
    return supplies + (f"; data from {', '.join(leads)}" if leads else "")


def feed_from(unit: Unit) -> tuple[str, str]:
    """The unit and the port that power a fed switch."""
    feed = unit.fed_by
    assert feed is not None, "asked only of fed switches"
    if feed.injector:
        return feed.injector.unit, f"port {feed.injector.port}"
    return feed.unit, f"{feed.group} port {feed.port}".strip()


def data_from(unit: Unit, view: View) -> list[str]:
    """The switches that carry an injector's data."""
    return list(dict.fromkeys(run.unit for run in view.runs if run.injector and run.injector.unit == unit.unit))


def branch_words(branch: Branch, lengths: Lengths) -> str:
    """A branch in one line of words."""
    to = branch.names or "nothing yet"
    parts = [f"{branch.numbers}: {to}", load_words(branch), run_words(branch, lengths), extender_words(branch), end_words(branch)]
    return "; ".join(part for part in parts if part)
