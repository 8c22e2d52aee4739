from typing import Any

import pytest
from sketch import catalog, ports, switch

from equipsel.compare.mixed import CannotMix, mixed

PLAIN = {"model": "c", "price_per_m": 1, "awg": 24}


def extra(item: str, price: float, **more: Any) -> dict[str, Any]:
    return {"item": item, "price": price, "per": "port", **more}


def test_alike_models_are_one_and_others_are_named_after_their_list() -> None:
    one = catalog(switch("s", 50, 60, ports(4, 30)), switch("t", 90, 60, ports(4, 30)))
    other = catalog(switch("s", 50, 60, ports(4, 30)), switch("t", 80, 60, ports(4, 30)), switch("u", 10, 60, ports(8, 30)))
    found = mixed({"A": one, "B": other})
    assert list(found.switch) == ["s", "t", "t (B)", "u"]
    assert [(row.model, row.count) for row in found.ports] == [("s", 4), ("t", 4), ("t (B)", 4), ("u", 8)]


def test_other_ports_make_another_model() -> None:
    found = mixed({"A": catalog(switch("s", 50, 60, ports(4, 30))), "B": catalog(switch("s", 50, 60, ports(8, 30)))})
    assert {model: groups[0].count for model, groups in found.groups.items()} == {"s": 4, "s (B)": 8}


def test_of_a_cable_the_cheaper_and_of_extras_the_cheaper_set_of_each_need() -> None:
    one = catalog(
        switch("s", 50, 60, ports(4, 30)), cables=[PLAIN], extras=[extra("cord", 3), extra("pole", 9, per="unit", **{"for": "s"})]
    )
    other = catalog(switch("t", 50, 60, ports(4, 30)), cables=[{**PLAIN, "price_per_m": 0.9}], extras=[extra("lead", 1), extra("boot", 1)])
    found = mixed({"A": one, "B": other})
    assert [float(row.price_per_m) for row in found.cables] == [0.9]
    assert [row.item for row in found.extras] == ["lead", "boot", "pole"]


@pytest.mark.parametrize(
    ("one", "other", "told"),
    [
        ({"cables": [PLAIN]}, {"cables": [{**PLAIN, "awg": 23}]}, "awg"),
        ({}, {"bundles": [{"awg": 24, "cables_up_to": 10, "amps_per_conductor": 0.3}]}, "bundles"),
    ],
)
def test_lists_that_contradict_each_other_are_refused(one: Any, other: Any, told: str) -> None:
    plain = switch("s", 50, 60, ports(4, 30))
    with pytest.raises(CannotMix, match=told):
        mixed({"A": catalog(plain, **one), "B": catalog(plain, **other)})
