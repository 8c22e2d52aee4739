"""The rules of a scenario as named rules: spare, N+1, uplinks, extenders, cascades, shares, batteries, models, cable."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from equipsel.explain.rules import Change, Ease, Rule, Step, changed_rows, one
from equipsel.site import Site
from equipsel.variants import with_rules

MOST_EXTENDERS = 6
MOST_CASCADE = 4
"""The most that max_extenders and max_cascade allow."""

FAST_MBPS = (1000, 2500, 5000, 10000, 25000, 40000, 100000)
"""Speeds of links that can be bought, Mb/s (common practice)."""


def site_rules(site: Site) -> Iterator[Rule]:
    """Every rule of the scenario that can be in the way."""
    for rules in (_basis, _cable, _lengths, _cascade, _extenders, _models, _uplinks, _supplies, _spare, _shares, _batteries):
        yield from rules(site)


def ruled(**values: Any) -> Change:
    """A change of rules."""
    return lambda site: with_rules(site, **values)


def _percents(name: str, now: Decimal, words: str) -> Rule:
    """A percentage that may be lowered to nothing, a whole percent at a time."""
    whole = range(int(now) - (1 if now == int(now) else 0), -1, -1)
    steps = [Step(f"{words} of {pct} % instead of {now:f} %", ruled(**{name: Decimal(pct)})) for pct in whole]
    return Rule(f"{words} of {now:f} % ({name})", ruled(**{name: Decimal(0)}), (Ease(steps),))


def _spare(site: Site) -> Iterator[Rule]:
    if site.rules.spare_watts_pct:
        yield _percents("spare_watts_pct", site.rules.spare_watts_pct, "spare watts")
    if site.rules.spare_ports_pct:
        yield _percents("spare_ports_pct", site.rules.spare_ports_pct, "spare ports")


def _supplies(site: Site) -> Iterator[Rule]:
    if site.rules.redundant_supplies and any(row.feed == "supply" for row in site.catalog.switches):
        lift = ruled(redundant_supplies=False)
        yield Rule("a spare supply in every unit (redundant_supplies)", lift, (one("no spare supplies (redundant_supplies = no)", lift),))


def _uplinks(site: Site) -> Iterator[Rule]:
    rules = site.rules
    if not any(row.mbps for row in site.scenario.devices):
        return
    now = rules.uplink_share_pct
    shares = range(int(now) + 1, 101)
    share = [Step(f"{pct} % of each uplink for traffic instead of {now:f} %", ruled(uplink_share_pct=Decimal(pct))) for pct in shares]
    faster = [Step(f"uplinks of {mbps} Mb/s in the catalog", _uplinks_of(mbps)) for mbps in FAST_MBPS[1:]]
    silent = changed_rows("devices", lambda row: bool(row.mbps), lambda row: {"mbps": 0, "port_mbps": row.link_mbps})
    yield Rule(f"traffic on at most {now:f} % of each uplink (uplink_share_pct)", silent, (Ease(share), Ease(faster)))


def _uplinks_of(mbps: int) -> Change:
    return changed_rows("switches", lambda row: row.uplink_mbps < mbps, lambda _: {"uplink_mbps": mbps})


def _shares(site: Site) -> Iterator[Rule]:
    now = site.rules.max_critical_share_pct
    if now < 100 and any(row.priority == "critical" for row in site.scenario.devices):
        words = "% of a place's critical devices on one unit"
        steps = [
            Step(f"{pct} {words} instead of {now:f} %", ruled(max_critical_share_pct=Decimal(pct))) for pct in range(int(now) + 1, 101)
        ]
        yield Rule(f"at most {now:f} {words} (max_critical_share_pct)", ruled(max_critical_share_pct=Decimal(100)), (Ease(steps),))


def _batteries(site: Site) -> Iterator[Rule]:
    now = site.rules.backup_minutes
    if now and any(row.backup for row in site.scenario.devices):
        whole = range(int(now) - (1 if now == int(now) else 0), -1, -1)
        steps = [Step(f"{at} minutes on battery instead of {now:f}", ruled(backup_minutes=Decimal(at))) for at in whole]
        words = f"{now:f} minutes on battery (backup_minutes)"
        if not site.catalog.backups:
            words += ", with no battery in the catalog"
        yield Rule(words, ruled(backup_minutes=Decimal(0)), (Ease(steps),))


def _models(site: Site) -> Iterator[Rule]:
    now, catalog = site.rules.max_models, site.catalog
    if now is not None:
        every = len(catalog.switches) + len(catalog.injectors) + len(catalog.extenders)
        steps = [Step(f"{at} models in the kit instead of {now}", ruled(max_models=at)) for at in range(now + 1, every + 1)]
        words = f"at most {now} model{'' if now == 1 else 's'} in the kit (max_models)"
        yield Rule(words, ruled(max_models=None), (Ease(steps),))


def _lengths(site: Site) -> Iterator[Rule]:
    rules = site.rules
    if rules.run_slack_pct:
        yield _percents("run_slack_pct", rules.run_slack_pct, "slack on every run")
    if rules.run_extra_m:
        lift = ruled(run_extra_m=Decimal(0))
        yield Rule(f"{rules.run_extra_m:f} m more on every run (run_extra_m)", lift, (one("no extra metres on runs", lift),))
    if rules.derate_reach:
        lift = ruled(derate_reach=False)
        text = f"no shorter reach at {rules.cable_c:f} C (derate_reach = no)"
        yield Rule(f"reach shortened by {rules.cable_c:f} C (derate_reach)", lift, (one(text, lift),))


def _extenders(site: Site) -> Iterator[Rule]:
    now = site.rules.max_extenders
    if now < MOST_EXTENDERS and site.catalog.extenders:
        steps = [
            Step(f"{at} extender{'' if at == 1 else 's'} in a run instead of {now}", ruled(max_extenders=at))
            for at in range(now + 1, MOST_EXTENDERS + 1)
        ]
        words = f"at most {now} extender{'' if now == 1 else 's'} in a run (max_extenders)"
        yield Rule(words, ruled(max_extenders=MOST_EXTENDERS), (Ease(steps),))


def _cascade(site: Site) -> Iterator[Rule]:
    """Only where a longer row of fed switches could be built: its places and its switches are there. Lifted by one: rows grow fast."""
    now, places = site.rules.max_cascade, site.scenario.place
    tied = {row.from_ for row in site.scenario.runs if row.from_ in places and row.to in places}
    most = min(MOST_CASCADE, len(tied), now + 1)
    if now < most and any(row.feed == "port" for row in site.catalog.switches):
        steps = [
            Step(f"{at} switch{'' if at == 1 else 'es'} fed through another in a row instead of {now}", ruled(max_cascade=at))
            for at in range(now + 1, most + 1)
        ]
        yield Rule(
            f"at most {now} switch{'' if now == 1 else 'es'} fed through another in a row (max_cascade)",
            ruled(max_cascade=most),
            (Ease(steps),),
        )


def _cable(site: Site) -> Iterator[Rule]:
    if not site.rules.allow_cca and any(row.material == "cca" for row in site.catalog.cables):
        lift = ruled(allow_cca=True)
        yield Rule("no copper-clad aluminium (allow_cca)", lift, (one("copper-clad aluminium allowed (allow_cca = yes)", lift),))


def _basis(site: Site) -> Iterator[Rule]:
    now = site.rules.budget_basis
    if now != "stated":
        lift = ruled(budget_basis="stated")
        words = f"watts reserved {'by class' if now == 'class' else 'as granted'} (budget_basis)"
        yield Rule(words, lift, (one("watts reserved as drawn (budget_basis = stated)", lift),))
