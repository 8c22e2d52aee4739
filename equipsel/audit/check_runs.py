"""Rules about lengths and extenders: reach, how many, where, and whether they bear their path."""

from collections.abc import Iterator
from decimal import Decimal

from equipsel.audit.facts import Facts
from equipsel.audit.fits import ambient_faults, ip_faults
from equipsel.audit.lines import reaches, span_lengths
from equipsel.audit.network import LENGTH_RESOLUTION, Link
from equipsel.audit.words import Found, error, say
from equipsel.circuit import reach_m
from equipsel.scenario import Rules


def spans_and_limits(link: Link, rules: Rules) -> list[tuple[Decimal, Decimal]]:
    """Length of each span in m, and how long it may be at 20 C."""
    if link.route is None:
        return []
    limits = [rules.span_m, *(extender.span_m for extender in link.chain)]
    return list(zip(span_lengths(link.route, link.chain, rules), limits, strict=True))


def hot_spans(link: Link, rules: Rules) -> Iterator[tuple[Decimal, Decimal]]:
    """Spans that data reaches over at 20 C but not at the conductor's temperature, and how far it does."""
    for length, most in spans_and_limits(link, rules):
        reach = reach_m(most, rules.cable_c, link.route.cable.shielded) if link.route else most
        if reach < length <= most:
            yield length, reach


def check_spans(facts: Facts) -> Iterator[Found]:
    """No span is longer than data reaches."""
    for link in facts.network.links:
        for length, most in spans_and_limits(link, facts.rules):
            if length > most:
                yield error(link.where, f"A span of {say(length)} m is longer than the {say(most)} m data reaches: add an extender.")


def check_hot_reach(facts: Facts) -> Iterator[Found]:
    """With derate_reach no span is longer than data reaches in a hot cable."""
    if not facts.rules.derate_reach:
        return
    for link in facts.network.links:
        for length, reach in hot_spans(link, facts.rules):
            heat = f"{say(facts.rules.cable_c)} C data reaches {say(reach)} m"
            yield error(link.where, f"A span is {say(length)} m long; at {heat} (derate_reach is yes).")


def check_extender_models(facts: Facts) -> Iterator[Found]:
    """Extenders are in the catalog."""
    for link in facts.network.links:
        for item in link.plug.extenders:
            if item.model not in facts.catalog.extender:
                yield error(link.where, f"The catalog has no extender {item.model}.")


def check_extender_count(facts: Facts) -> Iterator[Found]:
    """No more extenders in a run than allowed, and none that the run does not need."""
    most = facts.rules.max_extenders
    for link in facts.network.links:
        if len(link.chain) > most:
            yield error(link.where, f"{len(link.chain)} extenders are on its run; max_extenders is {most}.")
        if link.chain and link.route:
            without = sum(reaches(link.route, link.chain[:-1], facts.rules), Decimal(0))
            if without >= link.route.run_m:
                text = f"{say(without)} m are reached without the last of {len(link.chain)} extenders"
                yield error(link.where, f"{text}; the run of {say(link.route.run_m)} m does not need it.")


def check_extender_positions(facts: Facts) -> Iterator[Found]:
    """Every extender stands as far out as the span before it reaches."""
    for link in facts.network.links:
        if link.route is None or len(link.chain) != len(link.plug.extenders):
            continue
        at = Decimal(0)
        for item, length in zip(link.plug.extenders, span_lengths(link.route, link.chain, facts.rules), strict=False):
            at += length
            if item.at_m is not None and abs(Decimal(repr(item.at_m)) - at) > LENGTH_RESOLUTION:
                yield error(link.where, f"Extender {item.model} is stated at {item.at_m} m; it stands at {say(at)} m.")


def check_path(facts: Facts) -> Iterator[Found]:
    """Extenders bear the ingress and ambient of the path they lie in."""
    for link in facts.network.links:
        route = link.route
        for extender in dict.fromkeys(link.chain) if route else ():
            assert route is not None, "only links with a run come here"
            for fault in [*ip_faults(extender, route.ip), *ambient_faults(extender, route.low_c, route.high_c)]:
                yield error(link.where, f"Extender {extender.model} {fault} on its path.")
