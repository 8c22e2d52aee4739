"""What the rows of a catalog need from each other."""

from collections.abc import Iterator

from equipsel.catalog import Equipment
from equipsel.files.draft import Draft
from equipsel.files.problems import Problem, choose_from, name_mend, quoted


def ports_belong_to_a_switch(draft: Draft) -> Iterator[Problem]:
    """Every port group is on a switch that is listed."""
    if not draft.read("switches"):
        return
    known = draft.named("switches")
    for row in draft.catalog.ports:
        if row.model not in known:
            mend = name_mend(row.model, known, draft.source("switches"))
            yield draft.problem(row, "model", f"no switch is called {quoted(row.model)}", mend)


def switches_have_ports(draft: Draft) -> Iterator[Problem]:
    """Every switch has a port group."""
    if not draft.read("ports"):
        return
    with_ports = set(draft.named("ports"))
    for row in draft.catalog.switches:
        if row.model not in with_ports:
            mend = f"add a row for it to {draft.source('ports')}: {row.model}, a group, a count, port_w"
            yield draft.problem(row, "model", f"{quoted(row.model)} has no ports", mend)


def mains_switches_state_a_budget(draft: Draft) -> Iterator[Problem]:
    """A built-in supply has a stated budget."""
    for row in draft.catalog.switches:
        if row.feed == "mains" and row.budget_w is None:
            mend = "write the most watts it hands out over all ports (feed = mains needs it)"
            yield draft.problem(row, "budget_w", "is empty", mend)


def supply_switches_have_a_supply_that_fits(draft: Draft) -> Iterator[Problem]:
    """A switch with external or modular supplies says which fit, and one of them is listed."""
    fits = sorted({row.fit for row in draft.catalog.supplies})
    for row in draft.catalog.switches:
        if row.feed != "supply":
            continue
        if row.supply_fit is None:
            mend = "write the word that stands in column fit of the supplies it takes (feed = supply needs it)"
            yield draft.problem(row, "supply_fit", "is empty", mend)
        elif row.supply_fit not in fits and draft.read("supplies") and not _refused_supplies(draft):
            mend = f"use a word from column fit of {draft.source('supplies')}: {choose_from(fits) or 'it has none yet'}"
            yield draft.problem(row, "supply_fit", f"no supply has fit = {quoted(row.supply_fit)}", mend)


def _refused_supplies(draft: Draft) -> bool:
    """Whether a supply is listed whose row is wrong: the switch's may be among them."""
    return len(draft.named("supplies")) > len({row.model for row in draft.catalog.supplies})


def fed_switches_state_a_class(draft: Draft) -> Iterator[Problem]:
    """A switch fed through a port says how much it may take."""
    for row in draft.catalog.switches:
        if row.feed == "port" and row.in_class is None:
            yield draft.problem(row, "in_class", "is empty", "write the highest class it may take, 3 to 8 (feed = port needs it)")


def cables_state_a_resistance(draft: Draft) -> Iterator[Problem]:
    """A cable has a gauge or a resistance."""
    for row in draft.catalog.cables:
        if row.awg is None and row.ohm_per_100m is None:
            yield draft.problem(row, "awg", "is empty", "write its gauge, or ohm_per_100m (one conductor at 20 C)")


def ambient_ranges_are_ranges(draft: Draft) -> Iterator[Problem]:
    """The lowest rated ambient is not above the highest."""
    catalog = draft.catalog
    rows: list[Equipment] = [*catalog.switches, *catalog.supplies, *catalog.injectors, *catalog.extenders]
    for row in rows:
        low, high = getattr(row, "low_c", None), getattr(row, "high_c", None)
        if low is not None and high is not None and low > high:
            yield draft.problem(row, "low_c", f"{low} is above high_c, {high}", "exchange the two")
