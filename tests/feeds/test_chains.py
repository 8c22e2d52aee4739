from typing import Any

import pytest
from sketch import Row, catalog, device, scenario, site

from equipsel.feeds.chains import chains
from equipsel.feeds.lines import Refusal, Route
from equipsel.feeds.routes import device_routes


def extender(model: str, span_m: float = 100, **more: Any) -> Row:
    return {"model": model, "price": 1, "own_w": 1, "in_class": 8, "port_w": 60, "span_m": span_m, **more}


def found(run_m: float, *extenders: Row, rules: Row | None = None, **more: Any) -> list[str] | Refusal:
    place = site(scenario(device("d", 5, run_m=run_m, **more), rules=rules), catalog(extenders=list(extenders)))
    (route,) = device_routes(place.scenario.devices[0], place)
    assert isinstance(route, Route)
    chosen = chains(route, place)
    return chosen if isinstance(chosen, Refusal) else [" ".join(item.model for item in chain) for chain in chosen]


@pytest.mark.parametrize(("run_m", "expected"), [(100, [""]), (100.001, ["a"]), (200, ["a"]), (200.5, ["a a"]), (305, ["a a a"])])
def test_no_more_extenders_than_the_spans_need(run_m: float, expected: list[str]) -> None:
    assert found(run_m, extender("a")) == expected


def test_every_order_of_mixed_models_is_a_chain_and_none_is_longer_than_it_needs() -> None:
    # 100 + 150 reaches 250 m at once; 100 + 50 does not
    assert found(250, extender("short", 50), extender("long", 150)) == ["short short short", "short short long", "short long", "long"]


def test_too_far_names_the_run_the_need_and_the_limit() -> None:
    refusal = found(450, extender("a"))
    assert isinstance(refusal, Refusal)
    assert (refusal.rule, "450 m" in refusal.message, "4 extenders, max_extenders is 3" in refusal.message) == ("span", True, True)


def test_max_extenders_may_be_raised_or_be_none() -> None:
    assert found(450, extender("a"), rules={"max_extenders": 4}) == ["a a a a"]
    assert isinstance(found(101, extender("a"), rules={"max_extenders": 0}), Refusal)


def test_an_extender_bears_its_path_or_is_not_used() -> None:
    rugged = extender("rugged", ip="IP66", low_c=-40, high_c=60)
    assert found(150, extender("indoor"), rugged, path_ip="IP65") == ["rugged"]
    refusal = found(150, extender("indoor"), path_ip="IP65")
    assert isinstance(refusal, Refusal)
    assert "no extender of the catalog suits its path" in refusal.message


def test_slack_and_extra_lengthen_the_run_for_its_spans() -> None:
    assert found(95, extender("a"), rules={"run_slack_pct": 5}) == [""]  # 99.75 m
    assert found(95, extender("a"), rules={"run_slack_pct": 5, "run_extra_m": "0.25"}) == [""]  # 100 m
    assert found(95, extender("a"), rules={"run_slack_pct": 5, "run_extra_m": "0.26"}) == ["a"]


def test_heat_shortens_spans_where_it_is_an_error() -> None:
    assert found(95, extender("a"), rules={"cable_c": 40}) == [""]
    assert found(95, extender("a"), rules={"cable_c": 40, "derate_reach": True}) == ["a"]  # 92.592 m


def test_span_m_is_the_first_span_only() -> None:
    assert found(130, extender("a"), rules={"span_m": 50}) == ["a"]  # 50 + 100
