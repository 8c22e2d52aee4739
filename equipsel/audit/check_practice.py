"""What a professional would point out though no rule is broken (common practice)."""

from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction

from equipsel.audit.check_lines import bundle_rows
from equipsel.audit.check_runs import hot_spans
from equipsel.audit.extras import covers
from equipsel.audit.facts import Facts, UnitFact
from equipsel.audit.network import Link
from equipsel.audit.site import Route
from equipsel.audit.words import Found, listed, note, say, say_mw, warning
from equipsel.scenario import Device

FULL_SHARE = Fraction(9, 10)
"""A unit loaded above this share of its budget has no room left (common practice)."""

OUTDOOR_DIGIT = 4
"""Second IP digit from which a place or path is taken to be outdoors: splashing water (common practice)."""

BUNDLE_AMPS = 0.30
"""Amps in one conductor above which local codes limit bundles (confirmed as the share of 60 W over four pairs)."""

MOST_SINGLE_INJECTORS = 3
PRIORITIES = ("low", "high", "critical")


def check_headroom(facts: Facts) -> Iterator[Found]:
    """No unit of several ports is loaded above nine tenths of its budget."""
    for name, fact in facts.units.items():
        full = fact.reserved_mw > FULL_SHARE * fact.budget_w * 1000
        if full and fact.reserved_mw <= fact.room_mw and fact.node.powered_ports > 1:
            share = say(Fraction(fact.reserved_mw, 10) / fact.budget_w, 1)
            yield warning(f"unit {name}", f"Its ports reserve {say_mw(fact.reserved_mw)}, {share} % of its {say(fact.budget_w)} W.")


def check_long_chains(facts: Facts) -> Iterator[Found]:
    """Two or more extenders in a run are more that can fail."""
    for where, links in _by_row(link for link in facts.network.links if len(link.chain) >= 2).items():
        most = max(len(link.chain) for link in links)
        yield warning(where, f"{most} extenders stand in a row on its run{_times(links)}; each is one more thing that can fail.")


def check_single_injectors(facts: Facts) -> Iterator[Found]:
    """A place full of single injectors wants a switch or a multi-port injector."""
    for place, units in facts.by_place.items():
        singles = sum(1 for fact in units if fact.node.injector and fact.node.injector.ports == 1)
        if singles > MOST_SINGLE_INJECTORS:
            yield warning(f"place {place}", f"{singles} single-port injectors stand here; a switch or a larger injector is tidier.")


def check_surge(facts: Facts) -> Iterator[Found]:
    """Outdoor copper has an extra named for surge."""
    guards = [row for row in facts.catalog.extras if "surge" in row.item.lower()]
    bare: dict[str, list[str]] = {}
    for link in facts.network.links:
        if link.place and _outdoor(link, facts) and not any(covers(row, link) for row in guards):
            bare.setdefault(link.place, []).append(link.name)
    for place, names in bare.items():
        text = f"Copper runs lead outdoors to {listed(names)}, and no extra named for surge covers them"
        yield warning(f"place {place}", f"{text}: add surge protection and bonding to local code.")


def _outdoor(link: Link, facts: Facts) -> bool:
    ends = [link.device.place] if link.device else [link.fed.unit.place] if link.fed else []
    places = [facts.site.places.get(name) for name in [*ends, link.place or ""]]
    codes = [place.ip for place in places if place] + ([link.route.ip] if link.route else [])
    return any(code is not None and code[1] >= OUTDOOR_DIGIT for code in codes)


def check_free_cable(facts: Facts) -> Iterator[Found]:
    """Where runs compete and only some of them cost cable, the free ones should be looked at."""
    rows = [(f"device {row.device}", facts.site.device_routes(row)) for row in facts.site.scenario.devices]
    fed = dict.fromkeys(link.fed.unit.place for link in facts.network.links if link.fed)
    rows += [(f"place {name}", facts.site.feed_routes(name)) for name in fed]
    for where, routes in rows:
        free = [route for route in routes if not route.priced]
        if free and len(free) < len(routes):
            paid = next(route for route in routes if route.priced)
            yield note(where, f"Cable to {_to(free[0])} costs nothing, to {_to(paid)} it does: make sure the free cable is really there.")


def _to(route: Route) -> str:
    return f"{route.to} ({route.words})"


def check_clad_copper(facts: Facts) -> Iterator[Found]:
    """Copper-clad aluminium is used where the rules allow it."""
    used = Counter(link.route.cable.model for link in facts.network.links if link.route and link.route.cable.material == "cca")
    for model, count in used.items() if facts.rules.allow_cca else ():
        yield warning(f"cable {model}", f"{count} runs use copper-clad aluminium: more loss and heat, and it meets no cabling standard.")


def check_assumed_class(facts: Facts) -> Iterator[Found]:
    """A class was assumed from watts."""
    for row in facts.site.scenario.devices:
        if row.class_ is None and row.watts:
            yield note(f"device {row.device}", f"Class {row.number} is assumed from {say(row.watts)} W; its data sheet may say another.")


def check_heat_reach(facts: Facts) -> Iterator[Found]:
    """A span is longer than data reaches over in a hot cable."""
    if facts.rules.derate_reach:
        return
    hot = {link.index: max(hot_spans(link, facts.rules), default=None) for link in facts.network.links}
    for where, links in _by_row(link for link in facts.network.links if hot[link.index]).items():
        length, reach = max(span for link in links if (span := hot[link.index]))
        text = f"A span is {say(length)} m long{_times(links)}; at {say(facts.rules.cable_c)} C data reaches {say(reach)} m"
        yield warning(where, f"{text}: shorten it, use screened cable or keep it cooler.")


def check_conductor(facts: Facts) -> Iterator[Found]:
    """A conductor carries more than local codes leave unlimited, and the catalog has no bundle limit for it."""
    amps = {link.index: power.solved.amps_per_conductor for link, power in facts.powered()}
    hot = (link for link in facts.network.links if amps.get(link.index, 0) > BUNDLE_AMPS and not _limited(link, facts))
    for where, links in _by_row(hot).items():
        most = say(max(amps[link.index] for link in links), 4)
        yield warning(where, f"A conductor carries {most} A{_times(links)}, above {BUNDLE_AMPS:.2f} A: see the local code on bundles.")


def _limited(link: Link, facts: Facts) -> bool:
    return link.route is not None and bool(bundle_rows(facts.catalog, link.route.cable))


def _by_row(links: Iterable[Link]) -> dict[str, list[Link]]:
    """Links by the row of the scenario they come from, so that many like devices make one finding."""
    found: dict[str, list[Link]] = {}
    for link in links:
        found.setdefault(f"device {link.device.device}" if link.device else link.where, []).append(link)
    return found


def _times(links: list[Link]) -> str:
    return f" ({len(links)} such runs)" if len(links) > 1 else ""


def check_idle_units(facts: Facts) -> Iterator[Found]:
    """Units with nothing plugged in, which stand there for their ports alone."""
    busy = {node.name for link in facts.network.links for node in (link.data, link.injector) if node}
    pct = facts.rules.spare_ports_pct
    spare = f": it only counts towards spare_ports_pct ({say(pct)} %)" if pct else ""
    for name, fact in facts.units.items():
        if name not in busy:
            yield note(f"unit {name}", f"Nothing is plugged into {fact.node.unit.model}{spare}.")


def check_second_failure(facts: Facts) -> Iterator[Found]:
    """Where supplies are N+1: which devices go dark if a second supply fails, low priority first."""
    for name, fact in facts.units.items():
        switch = fact.node.switch
        if not facts.rules.redundant_supplies or switch is None or switch.feed != "supply" or len(fact.node.supplies) < 2:
            continue
        dark = _dark(name, fact, facts)
        text = f"{listed(dark, 20)} would go dark, low priority first" if dark else "no device would go dark"
        count = len(fact.node.supplies)
        which = "both its supplies" if count == 2 else f"the two largest of its {count} supplies"
        yield note(f"unit {name}", f"If {which} failed, {text}.")


def _dark(name: str, fact: UnitFact, facts: Facts) -> list[str]:
    left = two_failed_w(fact) * 1000
    loads = [(_loads(link, facts), power.reserved_mw) for link, power in facts.powered() if link.head and link.head.name == name]
    loads = [(devices, reserved) for devices, reserved in loads if devices and reserved]
    loads.sort(key=lambda load: max(PRIORITIES.index(device.priority) for _, device in load[0]))
    reserved, dark = fact.reserved_mw, list[tuple[str, Device]]()
    for devices, watts_mw in loads:
        if reserved <= left:
            break
        reserved -= watts_mw
        dark += devices
    return [device_name for device_name, _ in sorted(dark, key=lambda pair: PRIORITIES.index(pair[1].priority))]


def two_failed_w(fact: UnitFact) -> Fraction:
    """Watts a unit still hands out with its two largest supplies failed."""
    assert fact.node.switch is not None, "only switches have supplies"
    left = sum(sorted(Fraction(supply.watts) for supply in fact.node.supplies)[:-2], Fraction(0)) - Fraction(fact.node.switch.own_w)
    limit = fact.node.switch.budget_w
    return max(Fraction(0), left if limit is None else min(left, Fraction(limit)))


def _loads(link: Link, facts: Facts) -> list[tuple[str, Device]]:
    """Devices that lose their power with a link: its own, or every one on the fed switch and on those it feeds."""
    if link.device:
        return [(link.name, link.device)]
    if link.fed is None:
        return []
    behind = [(other, device) for other, device in facts.device_links if other.head and link.fed in _chain(other, facts)]
    return [(other.name, device) for other, device in behind]


def _chain(link: Link, facts: Facts) -> list[object]:
    head = link.head
    return [head, *facts.network.upstream(head)[0]] if head else []
