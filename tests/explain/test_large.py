"""Large sites: one impossible device among 2,000 is told without a search; 200 devices that cannot all be served, in time."""

import time
from typing import Any

import pytest
from hold import faults
from sketch import Row, changed, device, ports, run, scenario, switch
from sketch import catalog as bought_from

from equipsel.explain import no_kit
from equipsel.explain.no_kit import NoKit
from equipsel.kit import Status
from equipsel.program import whole
from equipsel.program.of_site import powered
from equipsel.program.parts import parts
from equipsel.scenario import Device
from equipsel.site import Site
from equipsel.solve import cheapest_kit
from equipsel.variants import with_values


def district(places: int, each: int, rack_u: list[int] | None = None, share: int = 1, **rules: Any) -> Site:
    """Places in a ring; every device of each `share`-th kind may go to the next place too. Four kinds of devices, three switches."""
    kinds = ((5, 0.4), (12.95, 0.3), (25.5, 0.2), (51, 0.1))
    devices: list[Row] = []
    runs: list[Row] = []
    for at in range(places):
        for number, (watts, part) in enumerate(kinds):
            name = f"d{at}-{number}"
            devices.append(device(name, watts, f"p{at}", run_m=20 + at, count=round(part * each)))
            if number % share == 0:
                runs.append(run(name, f"p{(at + 1) % places}", 50))
    groups = {"s8": (8, 8), "s16": (16, 8), "s24": (24, 12)}
    switches = [
        switch(name, 90 + 14 * count, 15 * count + 60 * strong, ports(count, 30), ports(strong, 60, "strong"), rack_u=1)
        for name, (count, strong) in groups.items()
    ]
    rows = [{"place": f"p{at}", "rack_u": None if rack_u is None else rack_u[at]} for at in range(places)]
    return Site(scenario(*devices, runs=runs, places=rows, rules=rules), bought_from(*switches))


@pytest.mark.parametrize(
    "bad", [{"watts": "51", "run_m": "310"}, {"watts": "71.3", "run_m": "30"}, {"watts": "5", "run_m": "30", "mbps": "900"}]
)
def test_one_impossible_device_of_2000_is_told_without_a_search(bad: Row, monkeypatch: pytest.MonkeyPatch) -> None:
    site = district(40, 50)
    row = Device.model_validate({"device": "gate-cam", "place": "p3", "port_mbps": 1000, **bad})
    each = [with_values(one, device=name, count=1) for one in site.scenario.devices for name in one.names]
    runs = [with_values(run, from_=name) for run in site.scenario.runs for name in site.scenario.device[run.from_].names]
    described = changed(site.scenario, devices=(*each, row), runs=tuple(runs))
    assert len(described.devices) == 2001
    monkeypatch.setattr(whole.Whole, "run", None)
    started, spent = time.perf_counter(), time.process_time()
    kit = cheapest_kit(described, site.catalog)
    spent, took = time.process_time() - spent, time.perf_counter() - started
    print(f"{took:.2f} s, {spent:.2f} s of CPU")
    assert kit.status is Status.INFEASIBLE
    assert kit.reasons[0].startswith("gate-cam: needs")
    assert any("gate-cam can be powered with" in text for text in kit.reasons)
    assert "whether the other devices can be served together was not looked into" in kit.reasons
    assert spent < 3


@pytest.mark.parametrize(
    ("rack_u", "share", "rules"),
    [
        ([1, 1, 1, 1, 1], 1, {}),
        pytest.param([1, 1, 1, 1, 1], 2, {}, marks=pytest.mark.slow),
        pytest.param([2, 1, 1, 1, 1], 1, {"spare_ports_pct": 40}, marks=pytest.mark.slow),
        pytest.param([2, 1, 1, 1, 1], 1, {"spare_watts_pct": 40}, marks=pytest.mark.slow),
    ],
)
def test_200_devices_that_cannot_all_be_served_are_explained_in_20_s(rack_u: list[int], share: int, rules: Row) -> None:
    site = district(5, 40, rack_u, share, **rules)
    assert sum(row.count for row in site.scenario.devices) == 200
    assert len(parts(powered(site).problem())) == 1
    started, spent = time.perf_counter(), time.process_time()
    kit = cheapest_kit(site.scenario, site.catalog)
    spent, took = time.process_time() - spent, time.perf_counter() - started
    print(f"{took:.1f} s, {spent:.1f} s of CPU", *kit.reasons, sep="\n")
    assert kit.status is Status.INFEASIBLE
    assert any(text.startswith("there is a kit with") for text in kit.reasons)
    assert spent < 20


def test_no_verdict_in_time_is_told_as_such() -> None:
    site = district(2, 10, [0, 0])
    asked = powered(site)
    assert NoKit(asked, [asked.problem()], 0.0).found().texts() == ("which rules are in the way was not found in the time allowed",)


def test_ctrl_c_gives_what_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    site = district(2, 10, [0, 0])

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(no_kit.Remedies, "found", stop)
    asked = powered(site)
    found = NoKit(asked, [asked.problem()], 20).found()
    assert found.conflicts
    assert not found.remedies
    assert not faults(found)
