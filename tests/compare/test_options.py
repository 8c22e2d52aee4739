from pathlib import Path

import pytest

from equipsel.compare.options import TOGETHER, Asked, options
from equipsel.files import InputError

ROOT = Path(__file__).parents[2]
WORKSHOP = ROOT / "scenarios" / "workshop"
LISTS = (ROOT / "catalogs" / "generic", ROOT / "catalogs" / "small")


def names(**asked: tuple[object, ...]) -> list[str]:
    return [one.name for one in options(WORKSHOP, Asked(**asked))]  # type: ignore[arg-type]


def test_without_anything_the_scenario_as_it_is() -> None:
    assert names() == ["generic"]


def test_every_catalog_as_it_is_then_all_together_then_under_each_change() -> None:
    found = names(catalogs=LISTS, settings=("rules.years=5; rules.energy_price_kwh=0.3",))
    change = "rules.years=5; rules.energy_price_kwh=0.3"
    assert found == ["generic", "small", TOGETHER, f"generic, {change}", f"small, {change}", f"{TOGETHER}, {change}"]


def test_the_same_catalog_twice_gets_two_names() -> None:
    assert names(catalogs=(LISTS[0], LISTS[0])) == ["generic", "generic #2", TOGETHER]


def test_without_drops_models_and_their_ports_and_only_the_others_of_their_table() -> None:
    plain, less, few = options(WORKSHOP, Asked(without=("sw16-30w-250,inj1-60w",), only=("sw8-30w-120",)))
    assert set(plain.site.catalog.switch) - set(less.site.catalog.switch) == {"sw16-30w-250"}
    assert "sw16-30w-250" not in {row.model for row in less.site.catalog.ports}
    assert "inj1-60w" not in less.site.catalog.injector
    assert set(few.site.catalog.switch) == {"sw8-30w-120"}
    assert few.site.catalog.injectors == plain.site.catalog.injectors


def test_everything_that_is_wrong_is_told_once() -> None:
    with pytest.raises(InputError) as refused:
        options(WORKSHOP, Asked(without=("sw16-30w-251", "")))
    told = [str(one) for one in refused.value.problems]
    assert told == [
        "--without: 'sw16-30w-251' is in no catalog; did you mean 'sw16-30w-250'?",
        "--without: names no model; list models apart by commas",
    ]
    with pytest.raises(InputError) as refused:
        options(WORKSHOP, Asked(catalogs=(Path("no-such-a"), Path("no-such-b")), settings=()))
    assert len(refused.value.problems) == 2
    with pytest.raises(InputError) as refused:
        options(WORKSHOP, Asked(catalogs=LISTS, settings=("rules.yeers=5", "rules.span_m=-1")))
    assert len(refused.value.problems) == 2
