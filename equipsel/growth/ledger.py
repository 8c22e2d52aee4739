"""What a kit buys, counted so that it can be kept: read off the independent re-check, and priced as bills are."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from fractions import Fraction

from equipsel.audit.extras import count_extra
from equipsel.audit.facts import Facts, build_facts
from equipsel.audit.network import Link
from equipsel.kit import Kit
from equipsel.program.paid import EQUIPMENT, Key, Paid, price_of, run_key
from equipsel.program.rows import Counted
from equipsel.quantities import cents
from equipsel.site import Site

Bought = Mapping[Key, int]
"""How many of each have been bought."""


def bought(kit: Kit, site: Site) -> dict[Key, int]:
    """What a kit buys beyond what its site owns."""
    facts = build_facts(kit, site.scenario, site.catalog)
    found: Counter[Key] = Counter()
    for gather in (_units, _extenders, _cables, _batteries, _extras, _places, _energy):
        found.update(dict(gather(facts, site)))
    return {key: count for key, count in found.items() if count}


def together(*all_: Bought) -> dict[Key, int]:
    """What has been bought when each of these was: of everything the most of any, since what was bought stays."""
    found: dict[Key, int] = {}
    for one in all_:
        for key, count in one.items():
            found[key] = max(count, found.get(key, 0))
    return found


def paid(counts: Bought, *, frozen: bool = False) -> Paid:
    """What was bought as the program takes it."""
    return Paid({key: Counted([], Fraction(count)) for key, count in counts.items()}, frozen)


def equipment(counts: Bought) -> dict[Key, int]:
    """What of it is equipment: units, supplies, extenders, batteries."""
    return {key: count for key, count in counts.items() if key[0] in EQUIPMENT}


def _units(facts: Facts, site: Site) -> Iterator[tuple[Key, int]]:
    used: Counter[tuple[str, str]] = Counter()
    for node in facts.network.nodes.values():
        used[node.unit.place, node.unit.model] += 1
        used.update((node.unit.place, supply.model) for supply in node.supplies)
    for (place, model), count in (used - site.owned()).items():
        yield ("unit", model, place), count


def _run(link: Link) -> Key:
    start = link.device.device if link.device else link.fed.unit.place if link.fed else ""
    assert link.route is not None, "a kit that passed its re-check names no unknown run"
    return run_key(start, link.route.to, link.route.run_m, link.route.cable.model)


def _extenders(facts: Facts, _: Site) -> Iterator[tuple[Key, int]]:
    found: Counter[Key] = Counter()
    for link in facts.network.links:
        for extender in link.chain:
            found["extender", extender.model, link.place or "", *_run(link)] += 1
    yield from found.items()


def _cables(facts: Facts, _: Site) -> Iterator[tuple[Key, int]]:
    used: Counter[Key] = Counter()
    existing: dict[Key, int | None] = {}
    for link in facts.network.links:
        key = ("cable", *_run(link))
        used[key] += 1
        existing[key] = link.route.existing if link.route else None
    for key, there in existing.items():
        if there is not None:
            yield key, max(0, used[key] - there)


def _batteries(facts: Facts, _: Site) -> Iterator[tuple[Key, int]]:
    for place, batteries in facts.batteries.items():
        for model, count in Counter(battery.model for battery in batteries).items():
            yield ("backup", model, place), count


def _extras(facts: Facts, _: Site) -> Iterator[tuple[Key, int]]:
    for number, row in enumerate(facts.catalog.extras):
        yield ("extra", str(number)), count_extra(row, facts)


def _places(facts: Facts, _: Site) -> Iterator[tuple[Key, int]]:
    for place in facts.by_place:
        if facts.site.places[place].open_cost:
            yield ("place", place), 1


def _energy(facts: Facts, _: Site) -> Iterator[tuple[Key, int]]:
    if facts.rules.energy_price_kwh and facts.rules.years:
        yield ("energy",), int(facts.energy_kwh * 1000)


def cost_cents(counts: Bought, site: Site) -> int:
    """What it cost, in cents: lines as on the bill, each rounded to the cent, whole boxes of cable."""
    return sum(lines(counts, site).values())


def lines(counts: Bought, site: Site) -> dict[tuple[str, str, str], int]:
    """The lines of its bill in cents, by kind, model and place."""
    exact: defaultdict[tuple[str, str, str], Fraction] = defaultdict(Fraction)
    metres: defaultdict[str, Fraction] = defaultdict(Fraction)
    for key, count in counts.items():
        if key[0] == "cable":
            metres[key[4]] += count * Fraction(key[3])
        else:
            exact[line_of(key, site)] += count * Fraction(price_of(key, site))
    for model, length in metres.items():
        cable = site.catalog.cable(model if site.catalog.cables else None)
        if cable.sold_m:
            boxes = -(-length // Fraction(cable.sold_m))
            exact["cable", model, ""] = boxes * Fraction(cable.sold_m * cable.price_per_m)
            exact["cable", f"{model} (pulling)", ""] = length * Fraction(cable.install_cost_per_m)
        else:
            exact["cable", model, ""] = length * Fraction(cable.price_per_m + cable.install_cost_per_m)
    return {line: cents(amount) for line, amount in exact.items()}


def line_of(key: Key, site: Site) -> tuple[str, str, str]:
    """The line of the bill it stands on: kind, model, place."""
    kind = key[0]
    if kind == "unit":
        catalog = site.catalog
        words = "switch" if key[1] in catalog.switch else "injector" if key[1] in catalog.injector else "supply"
        return words, key[1], key[2]
    if kind == "extra":
        return kind, site.catalog.extras[int(key[1])].item, key[1]
    if kind == "place":
        return kind, "opening", key[1]
    return (kind, key[1], key[2]) if len(key) > 2 else (kind, kind, "")
