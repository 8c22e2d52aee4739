"""The next cheaper request: fewer devices, less spare, a rule eased; each solved again."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from equipsel.console import amount
from equipsel.explain.again import Again, Difference
from equipsel.explain.scope import lacking
from equipsel.kit import Cheaper
from equipsel.scenario import Device
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values

MOST_FEWER = 5
"""Requests for fewer devices that are told, those that save most (our own limit)."""


@dataclass(frozen=True)
class _Asked:
    """A request and the site it makes."""

    words: str
    site: Site


def cheaper_requests(again: Again) -> Iterator[Cheaper]:
    """Rules eased, then fewer devices, those that save most first."""
    yield from _less_spare(again)
    yield from _eased(again)
    fewer = [found for row in again.site.scenario.devices for found in _fewer(again, row)]
    yield from sorted(fewer, key=lambda one: -one.saves)[:MOST_FEWER]


def _told(again: Again, asked: _Asked) -> Cheaper | None:
    found = again.changed(asked.site)
    return None if found is None else _cheaper(asked.words, found, again.kit.currency)


def _cheaper(words: str, found: Difference, currency: str) -> Cheaper | None:
    if found.more_cents is None or found.more_cents >= 0:
        return None
    saves = float(-found.money)
    text = f"{words} saves {currency} {'' if found.exact else 'at most '}{amount(saves)}"
    return Cheaper(request=words, saves=saves, exact=found.exact, text=text)


def _fewer(again: Again, row: Device) -> Iterator[Cheaper]:
    """One device fewer of a row; and two, where that saves more."""
    saved = 0.0
    for count in (1, 2):
        asked = _Asked(f"{count} {row.device} fewer", _with_fewer(again.site, row, count)) if row.count >= count else None
        found = _told(again, asked) if asked else None
        if found and found.saves > saved:
            saved = found.saves
            yield found


def _with_fewer(site: Site, row: Device, count: int) -> Site:
    if row.count == count:
        return lacking(site, [row])
    rest = tuple(with_values(one, count=one.count - count) if one is row else one for one in site.scenario.devices)
    return with_tables(site, devices=rest)


def _less_spare(again: Again) -> Iterator[Cheaper]:
    """The least lowering of each spare that makes the kit cheaper, in whole percent, by bisection: cost never rises with less spare."""
    for name, words in (("spare_watts_pct", "spare watts"), ("spare_ports_pct", "spare ports")):
        now: Decimal = getattr(again.site.rules, name)
        low, high, best = 0, int(now) - (1 if now == int(now) else 0), None
        while now and low <= high:
            pct = low if best is None else (low + high + 1) // 2
            found = _told(again, _Asked(f"{now - pct:f} % less {words} ({pct} %)", with_rules(again.site, **{name: Decimal(pct)})))
            if found is None and best is None:
                break
            low, high = (pct + 1, high) if found else (low, pct - 1)
            best = found or best
        if best:
            yield best


def _eased(again: Again) -> Iterator[Cheaper]:
    """Rules lifted or eased by one step, where they hold anything."""
    site, rules = again.site, again.site.rules
    asked: list[_Asked] = []
    if rules.redundant_supplies:
        asked.append(_Asked("no spare supplies", with_rules(site, redundant_supplies=False)))
    if rules.backup_minutes:
        asked.append(_Asked("no minutes on battery", with_rules(site, backup_minutes=Decimal(0))))
    if rules.max_models is not None:
        asked.append(_Asked(f"{rules.max_models + 1} models", with_rules(site, max_models=rules.max_models + 1)))
    if rules.max_critical_share_pct < 100:
        asked.append(_Asked("critical devices on any unit", with_rules(site, max_critical_share_pct=Decimal(100))))
    yield from (found for one in asked if (found := _told(again, one)))
