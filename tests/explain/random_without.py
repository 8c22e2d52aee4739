"""Small random sites without a kit: limits of random sites are drawn in until none is left. Invented, each the same for its number."""

from collections.abc import Iterator
from random import Random
from typing import Any

from hold import outcome
from random_sites import small, topology, with_extenders

from equipsel.kit import Status
from equipsel.scenario import Device, Place
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values

FAMILIES = (small, topology, with_extenders)


def without_kit(numbers: range) -> Iterator[tuple[int, Site]]:
    """Those of the numbered sites that have no kit, drawn in at random up to four times."""
    for number in numbers:
        rng = Random(f"without {number}")
        site = Site(*rng.choice(FAMILIES)(number))
        for _ in range(5):
            status = outcome(site, 10)
            if status is Status.INFEASIBLE:
                yield number, site
            if status is not Status.OPTIMAL:
                break
            site = drawn_in(rng, site)


def drawn_in(rng: Random, site: Site) -> Site:
    """The site under one more limit, or asking for more."""
    kind = rng.choice(("place", "place", "place", "rule", "device", "crowd"))
    if kind == "place":
        rows = list(site.scenario.places)
        at = rng.randrange(len(rows))
        rows[at] = with_values(rows[at], **_limit(rng, rows[at]))
        return with_tables(site, places=tuple(rows))
    if kind == "rule":
        return with_rules(site, **_rule(rng))
    devices = list(site.scenario.devices)
    at = rng.randrange(len(devices))
    devices[at] = with_values(devices[at], **(_more(rng, devices[at]) if kind == "device" else {"count": devices[at].count + 4}))
    return with_tables(site, devices=tuple(devices))


def _limit(rng: Random, place: Place) -> dict[str, Any]:
    return rng.choice((
        {"rack_u": rng.choice((0, 1))}, {"outlets": rng.choice((0, 1))}, {"circuit_a": rng.choice(("0.1", "0.3")), "circuit_v": 230},
        {"ip": (6, 5)}, {"low_c": -30}, {"mains": not place.mains},
    ))  # fmt: skip


def _rule(rng: Random) -> dict[str, Any]:
    return rng.choice((
        {"spare_watts_pct": 50}, {"spare_ports_pct": 50}, {"redundant_supplies": True}, {"uplink_share_pct": 5}, {"max_models": 1},
        {"max_critical_share_pct": 34}, {"backup_minutes": 120}, {"max_extenders": 0}, {"max_cascade": 0}, {"run_slack_pct": 30},
    ))  # fmt: skip


def _more(rng: Random, device: Device) -> dict[str, Any]:
    if device.number is None:
        return {"mbps": 600, "port_mbps": 1000}
    return rng.choice(({"watts": "51", "class_": None}, {"mbps": 90}, {"port_mbps": 1000}, {"run_m": device.run_m + 40}, {"min_volts": 48}))
