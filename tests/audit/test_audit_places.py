"""Rules of places at their boundaries: just what there is fits, a thousandth more does not; every place is looked at."""

import pytest
from good_kit import Case

from equipsel.audit.check_places import powered_ports_used
from equipsel.audit.facts import build_facts
from equipsel.catalog import Catalog
from equipsel.kit import Kit
from equipsel.scenario import Scenario


@pytest.mark.parametrize(("rack_u", "right"), [(4, True), (3.999, False)])
@pytest.mark.parametrize("last", [False, True])
def test_equipment_may_fill_the_rack_wherever_its_place_is_listed(rack_u: float, right: bool, last: bool) -> None:
    """A switch, two supplies and an injector of 1 U each."""
    case = Case()
    case.place("hut")["rack_u"] = rack_u
    case.scenario["places"].sort(key=lambda row: (row["place"] == "hut") == last)
    assert case.broken().keys() == (set() if right else {"rack"})


@pytest.mark.parametrize(
    ("place", "outlets", "right"),
    [("hut", 3, True), ("hut", 2, False), ("shop", 1, True), ("shop", 0, False), ("mast", 0, True)],
)
def test_a_mains_switch_a_supply_and_an_injector_take_an_outlet_each_and_a_fed_switch_none(place: str, outlets: int, right: bool) -> None:
    case = Case()
    case.place(place)["outlets"] = outlets
    assert case.broken().keys() == (set() if right else {"outlets"})


def test_a_fed_switch_takes_no_outlet_whatever_supplies_it_is_said_to_have() -> None:
    case = Case()
    case.place("mast")["outlets"] = 0
    case.unit("mast-1")["supplies"] = ["dc120"]
    found = case.broken()
    assert "supplies" in found
    assert "outlets" not in found


@pytest.mark.parametrize(("amps", "right"), [(0.1, True), (0.099999, False)])
def test_a_circuit_may_be_loaded_to_its_share(amps: float, right: bool) -> None:
    """(8 + 2 x 4) / 0.8 = 20 W in the shop; 80 % of 0.1 A at 250 V."""
    case = Case()
    case.model("switches", "desk")["efficiency"] = 0.8
    case.place("shop").update(circuit_a=amps, circuit_v=250)
    assert case.broken().keys() == (set() if right else {"circuit"})


@pytest.mark.parametrize("half", [{"circuit_a": 0.001}, {"circuit_v": 30}])
def test_a_circuit_of_which_only_half_is_known_is_no_limit_but_the_next_one_is(half: dict[str, float]) -> None:
    case = Case()
    hut = case.place("hut")
    del hut["circuit_a"], hut["circuit_v"]
    hut.update(half)
    assert case.broken() == {}
    case.place("shop").update(circuit_a=0.001, circuit_v=250)
    assert [message.partition(":")[0] for message in case.broken()["circuit"]] == ["place shop"]


def _used(case: Case) -> dict[str, int]:
    tables = Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog)
    return powered_ports_used(build_facts(*tables))


def test_a_port_counts_as_powered_however_little_it_gives_and_every_port_of_an_injector_by_itself() -> None:
    """Hut: the light, two readers, the feed of the mast, the injector's port; the far camera's data goes in where there is no power."""
    case = Case()
    assert _used(case) == {"hut": 5, "mast": 3, "shop": 2}
    case.group("plain")["port_w"] = 1
    assert _used(case) == {"hut": 5, "mast": 3, "shop": 2}
    case.group("plain")["port_w"] = 0
    assert _used(case) == {"hut": 3, "mast": 3, "shop": 2}
    case.model("injectors", "inj90")["ports"] = 2
    case.row("reader.1").update(group="data", port=2, injector={"unit": "hut-2", "port": 2})
    assert _used(case) == {"hut": 4, "mast": 3, "shop": 2}


def test_a_place_where_no_port_is_used_has_them_all_free() -> None:
    """A quarter of the one port of an idle injector, rounded up, is that port. Elsewhere 3 of 9, 1 of 4 and 2 of 8 must be free."""
    case = Case()
    case.scenario["places"].append({"place": "attic"})
    case.kit["units"].append({"unit": "attic-1", "model": "inj90", "place": "attic"})
    case.rules["spare_ports_pct"] = 25
    assert case.broken() == {}


def _held_shop(batteries: int, watt_hours: float) -> Case:
    """The phones in the shop are held for an hour: (8 + 2 x 4) / 0.8 = 20 W, with ageing 20 x 1.25 = 25 Wh; the battery unit keeps half."""
    case = Case()
    case.model("switches", "desk")["efficiency"] = 0.8
    case.model("backups", "ups").update(watts=20, watt_hours=watt_hours, efficiency=0.5)
    case.device("phone")["backup"] = True
    case.rules["backup_minutes"] = 60
    case.state_everything()
    case.unit("shop-1").update(mains_w=20, heat_w=12)
    case.kit["cost"] += 300 * batteries
    line = {"kind": "backup", "model": "ups", "place": "shop", "count": batteries, "unit_cost": 300, "cost": 300 * batteries}
    case.kit["lines"] += [line] if batteries else []
    return case


@pytest.mark.parametrize(("watt_hours", "right"), [(50, True), (49.999, False)])
def test_a_battery_unit_may_be_used_up_to_what_it_carries_and_holds(watt_hours: float, right: bool) -> None:
    """50 Wh x 0.5."""
    assert _held_shop(1, watt_hours).broken().keys() == (set() if right else {"backup"})


def test_what_a_battery_unit_carries_is_no_less_than_the_mains_load() -> None:
    case = _held_shop(1, 1000)
    case.model("backups", "ups")["watts"] = 19.999
    assert case.broken() == {"backup": ["place shop: Its battery units carry 19.999 W; its mains load is 20 W."]}


def test_units_that_hold_a_device_in_a_place_nobody_knows_or_of_a_model_nobody_knows_need_no_battery_there() -> None:
    case = _held_shop(0, 50)
    case.unit("shop-1")["place"] = "moon"
    found = case.broken()
    assert "known place" in found
    assert "backup" not in found
    case = _held_shop(0, 50)
    case.unit("shop-1")["model"] = "none such"
    found = case.broken()
    assert "unit" in found
    assert "backup" not in found


def test_half_a_battery_unit_is_told_and_breaks_nothing() -> None:
    case = Case()
    case.state_everything()
    case.kit["lines"].append({"kind": "backup", "model": "ups", "place": "mast", "count": 0.5, "unit_cost": 300, "cost": 150})
    assert "lines" in case.broken()
