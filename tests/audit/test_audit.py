"""The audit passes good kits and reports the right rule for every way to spoil one."""

import ast
from importlib import import_module
from math import sqrt
from pathlib import Path

import pytest
from good_kit import Case
from spoilers import REMARKS, SPOILERS, Spoiler, two_in_a_row

import equipsel.audit
from equipsel.audit import audit
from equipsel.audit.rules import CHECKS
from equipsel.catalog import Catalog
from equipsel.circuit import conductor_ohm_per_100m
from equipsel.kit import Kit, Severity
from equipsel.scenario import Scenario

FOLDER = Path(equipsel.audit.__file__).parent


def test_hand_made_kit_of_units_and_connections_alone_breaks_no_rule() -> None:
    assert Case().broken() == {}


def test_kit_with_every_line_and_figure_worked_out_by_hand_breaks_no_rule() -> None:
    case = Case()
    case.state_everything()
    assert case.broken() == {}


@pytest.mark.parametrize(("rule", "spoil"), [pytest.param(rule, spoil, id=f"{rule}: {what}") for rule, what, spoil in SPOILERS])
def test_a_spoiled_kit_breaks_the_right_rule(rule: str, spoil: Spoiler) -> None:
    case = Case()
    spoil(case)
    broken = case.broken()
    assert rule in broken, f"only {broken}"
    assert all(len(message) > 20 and message.endswith(".") for messages in broken.values() for message in messages)


@pytest.mark.parametrize(("rule", "severity", "where", "change"), [pytest.param(*row, id=row[0]) for row in REMARKS])
def test_a_professional_remark(rule: str, severity: str, where: str, change: Spoiler) -> None:
    case = Case()
    change(case)
    found = case.remarks().get(rule, [])
    assert [(remark.severity.value, remark.where) for remark in found] == [(severity, where)]


def test_no_remark_where_nothing_is_remarkable() -> None:
    assert set(Case().remarks()) == {"extenders in a row", "already there", "cable already there"}


def test_every_check_is_seen_to_fail() -> None:
    seen = {rule for rule, _, _ in SPOILERS} | {rule for rule, _, _, _ in REMARKS}
    assert seen == set(CHECKS)


def test_every_check_written_is_registered_once() -> None:
    modules = [import_module(f"equipsel.audit.{path.stem}") for path in FOLDER.glob("check_*.py")]
    written = [value for module in modules for name, value in vars(module).items() if name.startswith("check_") and callable(value)]
    assert sorted(map(id, written)) == sorted(map(id, CHECKS.values()))


def test_it_knows_only_the_tables_the_standard_and_the_circuit() -> None:
    allowed = {"audit", "catalog", "circuit", "columns", "kit", "quantities", "scenario", "standard"}
    imported = {
        name.split(".")[1]
        for path in FOLDER.glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        for name in _imports(node)
        if name.startswith("equipsel.")
    }
    assert imported == allowed


def _imports(node: ast.AST) -> list[str]:
    if isinstance(node, ast.ImportFrom):
        return [node.module or ""]
    return [alias.name for alias in node.names] if isinstance(node, ast.Import) else []


def test_errors_come_first_and_the_order_does_not_change() -> None:
    case = Case()
    for spoil in (_spoiler("budget"), _spoiler("device"), REMARKS[6][3]):
        spoil(case)
    order = [Severity.ERROR, Severity.WARNING, Severity.NOTE]
    findings = case.audit()
    assert [order.index(finding.severity) for finding in findings] == sorted(order.index(finding.severity) for finding in findings)
    assert findings == case.audit()
    assert {finding.severity for finding in findings} == set(order)


def _spoiler(rule: str) -> Spoiler:
    return next(spoil for name, _, spoil in SPOILERS if name == rule)


def test_stated_electrical_figures_are_those_of_ohms_law() -> None:
    """51 W at 50 m of 23 AWG on four pairs and 52 V, from V = I R + P / I."""
    ohm = conductor_ohm_per_100m(23) * 0.5 / 2
    amps = (52 - sqrt(52**2 - 4 * ohm * 51)) / (2 * ohm)
    case = Case()
    figures = {"pd_volts": round(52 - amps * ohm, 3), "amps": round(amps, 4), "loss_w": round(amps * amps * ohm, 3)}
    case.row("light").update(figures, pse_w=-(-52 * amps * 1000 // 1) / 1000, pd_w=51, reserved_w=60, port_w=90, run_m=50, cable="cat6")
    case.row("light")["class"] = 6
    assert case.broken() == {}


def test_an_empty_kit_misses_every_device() -> None:
    case = Case()
    case.kit = {}
    assert len(case.broken()["device"]) == 9


def test_a_site_without_tables_is_no_error() -> None:
    assert audit(Kit(), Scenario(), Catalog()) == []


def test_owned_supplies_come_at_no_price() -> None:
    case = Case()
    case.state_everything()
    case.scenario["owned"].append({"model": "dc120", "place": "hut", "count": 3})
    assert set(case.broken()) == {"lines", "cost"}
    case.line("supply", "dc120").update(unit_cost=0, cost=0)
    case.kit["cost"] = 1943
    assert case.broken() == {}


def test_existing_cables_of_a_run_are_used_first() -> None:
    case = Case()
    case.state_everything()
    case.scenario["runs"][0]["existing"] = 1
    case.line("cable", "cat6").update(count=425, cost=765)
    case.kit["cost"] = 1885
    assert case.broken() == {}


def test_cable_in_boxes_is_rounded_up_and_pulling_charged_by_the_metre() -> None:
    """485 m in boxes of 305 m: two boxes at 244 and 485 m at 1."""
    case = Case()
    case.state_everything()
    case.model("cables", "cat6")["sold_m"] = 305
    case.line("cable", "cat6").update(count=2, unit_cost=244, cost=488)
    case.kit["lines"].append({"kind": "cable", "model": "cat6 (pulling)", "count": 485, "unit_cost": 1, "cost": 485})
    case.kit["cost"] = 2093
    assert case.broken() == {}


def test_energy_is_the_heat_of_every_unit_at_what_it_reserves() -> None:
    """(143 1/3 - 119) + (52 2/9 - 45) + (28 8/9 - 21) + (17 7/9 - 8) = 49 2/9 W, over ten years 4,311.867 kWh (rounded up)."""
    case = Case()
    case.state_everything()
    case.rules.update(energy_price_kwh=0.2, years=10)
    case.kit["lines"].append({"kind": "energy", "model": "energy", "count": 4311.867, "unit_cost": 0.2, "cost": 862.37})
    case.kit["cost"] = 2855.37
    assert case.broken() == {}
    case.line("energy", "energy").update(count=4311.866)
    assert list(case.broken()) == ["lines"]


def test_draw_of_a_unit_is_what_its_lines_take() -> None:
    """Two phones of 3.84 W right beside the switch draw 7.68 W though 8 W are reserved."""
    case = Case()
    case.device("phone")["run_m"] = 0
    case.unit("shop-1").update(draw_w=7.68, reserved_w=8)
    assert case.broken() == {}


def test_batteries_that_hold_the_hut_satisfy_backup() -> None:
    """195.56 W for 88 min with ageing take 358.5 Wh; one unit gives 400 x 0.9 = 360 Wh."""
    case = Case()
    case.device("cam")["backup"] = True
    case.rules["backup_minutes"] = 88
    case.kit["lines"] = [{"kind": "backup", "model": "ups", "place": "hut", "count": 1, "unit_cost": 300, "cost": 300}]
    assert "backup" not in case.broken()


def test_second_failure_names_critical_devices_last() -> None:
    case = Case()
    case.rules["redundant_supplies"] = True
    case.device("light")["priority"] = "critical"
    case.device("cam")["priority"] = "high"
    message = case.remarks()["second failure"][0].message
    assert message == "If both its supplies failed, reader.1, reader.2, cam.1, cam.2, cam.3, light would go dark, low priority first."


def test_with_a_third_supply_left_only_low_priority_goes_dark() -> None:
    """Three of 120 W, two failed: 120 W are left of the reserved 126 W or more."""
    case = Case()
    case.rules["redundant_supplies"] = True
    case.model("switches", "core")["supply_slots"] = 3
    case.unit("hut-1")["supplies"] = ["dc120", "dc120", "dc120"]
    case.device("light")["priority"] = "critical"
    message = case.remarks()["second failure"][0].message
    assert message.startswith("If the two largest of its 3 supplies failed, ")
    assert "light" not in message


@pytest.mark.parametrize(
    ("count", "said"),
    [(1, "1 of 1 desk already there is used."), (3, "1 of 3 desk already there is used; 2 left unused.")],
)
def test_what_is_used_again_and_what_is_left_is_said(count: int, said: str) -> None:
    case = Case()
    case.scenario["owned"][0].update(count=count)
    assert [item.message for item in case.remarks()["already there"]] == [said]


@pytest.mark.parametrize(
    ("existing", "said"),
    [(1, "1 of 1 cables of 66 m already there is used."), (3, "1 of 3 cables of 66 m already there is used; 2 left unused.")],
)
def test_cables_used_again_and_those_left_are_said(existing: int, said: str) -> None:
    case = Case()
    case.rules["run_slack_pct"] = 10
    case.scenario["runs"][0].update(existing=existing)
    found = {remark.where: remark.message for remark in case.remarks()["cable already there"]}
    assert found == {"run mast to hut": said, "place shop": "The cables already there of phone are used."}


def test_two_switches_in_a_row_are_allowed_where_the_rule_says_so() -> None:
    case = Case()
    two_in_a_row(case)
    assert case.broken() == {}


def test_stated_draw_lets_a_fed_switch_take_less() -> None:
    """By stated draw the smallest class that leaves the mast its reserve is class 4: 25.5 x 0.9 - 5 = 17.95 W for 3 x 5 W."""
    case = Case()
    case.rules["budget_basis"] = "stated"
    case.device("cam").update(watts=5)
    case.unit("mast-1")["budget_w"] = 17.95
    assert case.broken() == {}


def test_a_fed_switch_takes_the_smallest_class_that_holds() -> None:
    case = Case()
    case.unit("mast-1")["budget_w"] = 31
    assert case.broken() == {}
    case.unit("mast-1").update(budget_w=40.9)
    assert list(case.broken()) == ["unit figures"]
    case.unit("mast-1")["fed_by"]["class"] = 6
    assert case.broken() == {}


def test_granted_reserve_is_the_identity_at_the_standard_channel() -> None:
    """5 W at 44 V and 20 ohm take 5.29 W, granted 5.3 W."""
    case = Case()
    case.rules["budget_basis"] = "granted"
    case.row("reader.1")["reserved_w"] = 5.3
    assert case.broken() == {}
