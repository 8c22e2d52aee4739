"""Electrical rules of a line: class, watts, volts, amps, at the head and at every hop; and speed and cable."""

from collections.abc import Callable, Iterator
from decimal import Decimal

from equipsel.audit import limits
from equipsel.audit.facts import Facts
from equipsel.audit.limits import Limit
from equipsel.audit.lines import Solved, exact
from equipsel.audit.network import Link
from equipsel.audit.words import Found, error, say
from equipsel.catalog import BundleLimit, Cable, Catalog


def _of_limit(limit: Limit) -> Callable[[Facts], Iterator[Found]]:
    def check(facts: Facts) -> Iterator[Found]:
        for solved in facts.solved():
            for message in limit(solved):
                yield error(solved.link.where, message)

    check.__doc__ = limit.__doc__
    return check


check_operating_point = _of_limit(limits.operating_point)
check_port_watts = _of_limit(limits.port_watts)
check_pairs = _of_limit(limits.pairs)
check_min_volts = _of_limit(limits.min_volts)
check_pairset = _of_limit(limits.pairset)
check_extender_input = _of_limit(limits.extender_input)
check_extender_output = _of_limit(limits.extender_output)


def check_class(facts: Facts) -> Iterator[Found]:
    """The port carries the class of the first thing on its line; a stated class is the device's."""
    for solved in facts.solved():
        where = solved.link.where
        for message in limits.port_class(solved):
            yield error(where, message)
        stated, device = solved.link.plug.class_, solved.link.device
        if device and stated is not None and stated != device.number:
            found = "it takes no power" if device.number is None else f"it is of class {device.number}"
            yield error(where, f"Class {stated} is stated for the device; {found}.")


def check_speed(facts: Facts) -> Iterator[Found]:
    """Ports, injector, cable and extenders are fast enough all the way."""
    for link in facts.network.links:
        for name, mbps in _speeds(link):
            if mbps < link.link_mbps:
                yield error(link.where, f"It needs a link of {say(link.link_mbps)} Mb/s; the {name} has {say(mbps)} Mb/s.")


def _speeds(link: Link) -> Iterator[tuple[str, Decimal]]:
    if link.group:
        yield f"port of {link.plug.unit}", link.group.port_mbps
    if link.injector and link.injector.injector:
        yield f"injector {link.injector.name}", link.injector.injector.port_mbps
    if link.route:
        yield f"cable {link.route.cable.model}", link.route.cable.mbps
    for extender in dict.fromkeys(link.chain):
        yield f"extender {extender.model}", extender.port_mbps


def bundle_rows(catalog: Catalog, cable: Cable) -> list[BundleLimit]:
    """The bundle limits of a cable's gauge, smallest bundle first; none where only its resistance is given."""
    if cable.awg is None:
        return []
    return sorted((row for row in catalog.bundles if row.awg == cable.awg), key=lambda row: row.cables_up_to)


def check_bundle(facts: Facts) -> Iterator[Found]:
    """A conductor carries no more than the catalog's bundle limits allow."""
    for link, power in facts.powered():
        if link.route is None or power.solved.number is None:
            continue
        rows = bundle_rows(facts.catalog, link.route.cable)
        row = next((row for row in rows if row.cables_up_to >= link.route.bundle), None)
        if row is None and rows:
            largest = f"{rows[-1].cables_up_to} cables of {rows[-1].awg} AWG"
            yield error(link.where, f"Its bundle has {link.route.bundle} cables; the largest with a limit has {largest}.")
        elif row:
            yield from _over(power.solved, row)


def _over(solved: Solved, row: BundleLimit) -> Iterator[Found]:
    amps = solved.amps_per_conductor
    if exact(amps) > row.amps_per_conductor:
        limit = f"{say(row.amps_per_conductor)} A in bundles of up to {row.cables_up_to} cables of {row.awg} AWG"
        yield error(solved.link.where, f"A conductor carries {say(amps, 4)} A; allowed are {limit}.")


def check_copper(facts: Facts) -> Iterator[Found]:
    """No copper-clad aluminium unless the rules allow it."""
    for link in facts.network.links:
        if link.route and link.route.cable.material == "cca" and not facts.rules.allow_cca:
            yield error(link.where, f"Cable {link.route.cable.model} is copper-clad aluminium; allow_cca is no.")
