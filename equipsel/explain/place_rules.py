"""The limits of places as named rules: rack, outlets, circuit, mains, ingress protection, ambient."""

from collections.abc import Iterator
from decimal import ROUND_FLOOR, Decimal
from typing import Any

from equipsel.columns import show
from equipsel.explain.rules import Change, Ease, Rule, Step, changed_rows, one
from equipsel.scenario import Place
from equipsel.site import Site

MOST_STEPS = 400
"""Steps of one scale at most (our own limit)."""


def place_rules(site: Site) -> Iterator[Rule]:
    """Every limit that a place has."""
    for place in site.scenario.places:
        yield from _space(place, site)
        yield from _circuit(place, site)
        yield from _surroundings(place)


def at_place(name: str, **values: Any) -> Change:
    """A change of one place."""
    return changed_rows("places", lambda row: row.place == name, lambda _: values)


def _space(place: Place, site: Site) -> Iterator[Rule]:
    name = place.place
    if place.rack_u is not None:
        step, have = _smallest_u(site), place.rack_u
        sizes = [(have // step + at) * step for at in range(1, MOST_STEPS)]
        steps = [Step(f"{size.normalize():f} U of rack in {name} instead of {have:f} U", at_place(name, rack_u=size)) for size in sizes]
        yield Rule(f"the {have:f} U of rack in {name}", at_place(name, rack_u=None), (Ease(steps),))
    if place.outlets is not None:
        counts = range(place.outlets + 1, place.outlets + MOST_STEPS)
        few = f"{place.outlets} outlet{'' if place.outlets == 1 else 's'}"
        steps = [
            Step(f"{count} outlet{'' if count == 1 else 's'} in {name} instead of {place.outlets}", at_place(name, outlets=count))
            for count in counts
        ]
        yield Rule(f"the {few} in {name}", at_place(name, outlets=None), (Ease(steps),))


def _smallest_u(site: Site) -> Decimal:
    """The step of rack space: 1 U, or halves or hundredths where the catalog has them."""
    catalog = site.catalog
    heights = [row.rack_u for row in catalog.switches] + [row.rack_u for row in catalog.supplies]
    heights += [row.rack_u for row in catalog.injectors] + [row.rack_u for row in catalog.backups]
    steps = (Decimal(1), Decimal("0.5"), Decimal("0.1"))
    return next((step for step in steps if all(height % step == 0 for height in heights)), Decimal("0.01"))


def _circuit(place: Place, site: Site) -> Iterator[Rule]:
    if place.circuit_a is None or place.circuit_v is None:
        return
    name, have, pct = place.place, place.circuit_a, site.rules.circuit_load_pct
    watts_of_one = place.circuit_v * pct / 100
    have_w = have * watts_of_one
    steps = [
        _more_amps(name, (have_w + more) / watts_of_one, have, watts_of_one)
        for more in (Decimal(1) * at if at <= 200 else Decimal(200) * Decimal("1.05") ** (at - 200) for at in range(1, MOST_STEPS))
    ]
    lift = at_place(name, circuit_a=None)
    yield Rule(f"the circuit of {have:f} A at {place.circuit_v:f} V in {name} ({have_w:.1f} W at {pct:f} %)", lift, (Ease(steps),))


def _more_amps(name: str, amps: Decimal, have: Decimal, watts_of_one: Decimal) -> Step:
    """A stronger circuit, to the hundredth of an ampere upward."""
    amps = (amps * 100).to_integral_value(rounding=ROUND_FLOOR) / 100 + Decimal("0.01")
    short = (amps - have) * watts_of_one
    words = f"a circuit of {amps.normalize():f} A in {name} instead of {have:f} A ({short:.1f} W more)"
    return Step(words, at_place(name, circuit_a=amps))


def _surroundings(place: Place) -> Iterator[Rule]:
    name = place.place
    if not place.mains:
        bring = at_place(name, mains=True)
        yield Rule(f"{name} has no mains", bring, (one(f"mains in {name}", bring),))
    if place.ip is not None:
        code, lift = show(place.ip), at_place(name, ip=None)
        text = f"an enclosure of {code} in {name} (what stands in it need not bear {code})"
        yield Rule(f"{code} asked for in {name}", lift, (one(text, lift),))
    if place.low_c is not None or place.high_c is not None:
        lift, span = at_place(name, low_c=None, high_c=None), _span(place)
        text = f"equipment in {name} rated {span}, or {name} kept milder"
        yield Rule(f"the ambient in {name} ({span})", lift, (one(text, lift),))


def _span(place: Place) -> str:
    if place.low_c is None:
        return f"up to {place.high_c:f} C"
    if place.high_c is None:
        return f"down to {place.low_c:f} C"
    return f"{place.low_c:f} to {place.high_c:f} C"
