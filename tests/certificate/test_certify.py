"""Certificates of kits: below the cost always, near the linear relaxation, checked from the tables, and refused where spoilt."""

from collections.abc import Callable
from fractions import Fraction
from math import inf
from pathlib import Path

import highspy
import pytest
from cases import numbers
from random_sites import small, topology
from sketch import catalog, device, ports, scenario, site, switch

from equipsel.certificate import certified, certify, check_certificate
from equipsel.kit import Certificate, Kit, Severity, Status
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit, write_lp

BOXES = catalog(switch("four", 100, 65, ports(4, 30)), switch("eight", 150, 130, ports(8, 30)))
HALL = site(scenario(device("cam", 12.95, count=6)), BOXES)


def of(described: Site) -> Kit:
    kit = cheapest_kit(described.scenario, described.catalog, Limits(reasons_s=0))
    return certified(kit, described, 60.0)


def relaxation(described: Site, path: Path) -> float:
    """The value of the linear relaxation, by HiGHS from the LP file."""
    write_lp(described.scenario, described.catalog, path)
    highs = highspy.Highs()
    highs.silent()
    highs.readModel(str(path))
    highs.setOptionValue("solve_relaxation", True)
    highs.run()
    return highs.getInfo().objective_function_value


@pytest.mark.parametrize("cases", numbers(24, 2), ids=str)
def test_random_kits_are_certified_up_to_their_relaxation_and_the_check_agrees(cases: range, tmp_path: Path) -> None:
    seen = 0
    for number in cases:
        described = Site(*(topology if number % 2 else small)(number))
        kit = of(described)
        if kit.status is not Status.OPTIMAL:
            assert kit.certificate is None
            continue
        seen += 1
        assert kit.certificate is not None, number
        assert kit.certificate.bound <= (kit.cost or 0)
        findings = list(check_certificate(kit, described))
        assert [item.severity for item in findings] == [Severity.NOTE], number
        fixed = certify._built(described)[2]
        assert kit.certificate.bound * 100 >= relaxation(described, tmp_path / "kit.lp") + fixed - 1, number
    assert seen


Spoil = Callable[[Certificate], Certificate]


def weighed(change: Callable[[dict[str, str]], dict[str, str]]) -> Spoil:
    return lambda good: good.model_copy(update={"weights": change(dict(good.weights))})


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda good: good.model_copy(update={"bound": good.bound + 0.01}), "its weights show"),
        (weighed(lambda _: {}), "its weights show 0.00"),
        (weighed(lambda good: {name: str(Fraction(text) / 2) for name, text in good.items()}), "its weights show"),
        (weighed(lambda good: {**good, "no_such_row": "1"}), "show nothing"),
        (weighed(lambda good: {name: str(-abs(Fraction(text))) for name, text in good.items()}), "show"),
    ],
)
def test_a_spoilt_certificate_is_refused(spoil: Spoil, words: str) -> None:
    kit = of(HALL)
    assert kit.certificate is not None
    spoilt = kit.model_copy(update={"certificate": spoil(kit.certificate)})
    findings = list(check_certificate(spoilt, HALL))
    assert [item.severity for item in findings] == [Severity.ERROR]
    assert words in findings[0].message


def test_one_of_other_tables_is_refused() -> None:
    fewer = site(scenario(device("cam", 12.95, count=2)), HALL.catalog)
    assert [item.severity for item in check_certificate(of(HALL), fewer)] == [Severity.ERROR]


def test_a_kit_below_its_own_certificate_is_refused() -> None:
    kit = of(HALL).model_copy(update={"cost": 1.0})
    assert "this one costs 1.00" in next(check_certificate(kit, HALL)).message


def test_where_no_kit_is_nothing_is_certified() -> None:
    nowhere = site(scenario(device("cam", 60, count=1)), HALL.catalog)
    assert of(nowhere).certificate is None
    spoilt = of(HALL)
    assert [item.severity for item in check_certificate(spoilt, nowhere)] == [Severity.ERROR]


def test_where_the_relaxation_takes_too_long_there_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(certify, "relaxed", lambda *_: (-inf, {}))
    kit = of(HALL)
    assert kit.status is Status.OPTIMAL
    assert kit.certificate is None
    assert list(check_certificate(kit, HALL)) == []


@pytest.mark.parametrize("text", ["1/0", "1e9", "nan", "0x1", "1" * 61, "", "1/2/3", " 1"])
def test_weights_are_fractions_and_nothing_else(text: str) -> None:
    with pytest.raises(ValueError, match="pattern"):
        Certificate.model_validate({"bound": 1.0, "weights": {"row": text}})


@pytest.mark.parametrize("bound", [float("nan"), float("inf"), -1.0, 1e13])
def test_a_bound_is_money(bound: float) -> None:
    with pytest.raises(ValueError, match="bound"):
        Certificate.model_validate({"bound": bound, "weights": {}})
