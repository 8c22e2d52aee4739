"""Chains of extenders that reach along a run: every order of models that reaches, none longer than it needs."""

from collections.abc import Iterator
from decimal import ROUND_CEILING, Decimal

from equipsel.catalog import Extender
from equipsel.feeds.fits import fits
from equipsel.feeds.lines import Refusal, Route, reaches
from equipsel.scenario import Rules
from equipsel.site import Site

Chain = tuple[Extender, ...]


def chains(route: Route, site: Site) -> list[Chain] | Refusal:
    """Every minimal chain of extenders for a route ([()] where it needs none), or why there is none."""
    usable = [item for item in site.catalog.extenders if fits(item, route.path_ip, route.path_low_c, route.path_high_c)]
    found = list(_grow(route, (), usable, site.rules))
    return found or Refusal("span", _too_long(route, usable, site.rules))


def _grow(route: Route, chain: Chain, usable: list[Extender], rules: Rules) -> Iterator[Chain]:
    if _reach(route, chain, rules) >= route.run_m:
        yield chain
    elif len(chain) < rules.max_extenders:
        for extender in usable:
            yield from _grow(route, (*chain, extender), usable, rules)


def _reach(route: Route, chain: Chain, rules: Rules) -> Decimal:
    return sum(reaches(route.cable, chain, rules), Decimal(0))


def _too_long(route: Route, usable: list[Extender], rules: Rules) -> str:
    longest = _reach(route, (), rules)
    text = f"the run of {route.run_m:f} m to {route.place} is longer than the {longest:.1f} m a span reaches"
    if not usable:
        return f"{text}, and no extender of the catalog suits its path"
    best = max(usable, key=lambda item: item.span_m)
    step = reaches(route.cable, (best,), rules)[1]
    needed = ((route.run_m - longest) / step).to_integral_value(rounding=ROUND_CEILING)
    return f"{text}: it needs {needed} extenders, max_extenders is {rules.max_extenders}"
