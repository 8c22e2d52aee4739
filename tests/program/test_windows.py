"""Choices of what each block serves are laid out once, and what they cost then is known."""

import time
from typing import Any

import pytest
from rings import of, ring

from equipsel.program import windows
from equipsel.program.adapter import Stop
from equipsel.program.blocks import blocks
from equipsel.program.columns import key_of
from equipsel.program.coupled import Coupled
from equipsel.program.joint import Together, settle
from equipsel.program.windows import Standing


def begun() -> tuple[Coupled, float]:
    """A ring whose blocks are projected, with no kit yet; until when it may be worked on."""
    deadline = time.monotonic() + 60
    one = Coupled(blocks(of(*ring(4))), 0.0, deadline, None, None)
    assert one.begin()
    return one, deadline


def counted(monkeypatch: pytest.MonkeyPatch, answer: Together | None = None) -> list[Any]:
    """What is asked to be settled; answer: what comes of it instead."""
    asked: list[Any] = []

    def noted(task: Any) -> Together:
        asked.append(task)
        return settle(task) if answer is None else answer

    monkeypatch.setattr(windows, "settle", noted)
    return asked


def laid(kit: Standing) -> dict[Any, int]:
    return {(at, key_of(item.served)): item.cost for at, item in kit.kept.items()}


def test_a_choice_is_laid_out_once_and_its_cost_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, (one, deadline) = counted(monkeypatch), begun()
    homes = one.homes()
    for at, served in homes.items():
        one.kit.columns.add(at, served, 1)
    assert one.kit.choose(homes, 0.0, deadline)
    assert not one.kit.choose(homes, 0.0, deadline), "no better than what there is"
    assert len(asked) == 4
    assert one.kit.columns.laid == laid(one.kit)
    assert sum(one.kit.columns.laid.values()) == one.kit.cost()
    assert {cost for known in one.kit.columns.known.values() for cost in known.values()} == {1}


def test_what_windows_have_laid_out_is_not_laid_out_again(monkeypatch: pytest.MonkeyPatch) -> None:
    one, deadline = begun()
    assert one.kit.choose(one.homes(), 0.0, deadline)
    before = one.kit.cost()
    one.kit.narrow(deadline, lambda: None)
    best = dict(one.kit.kept)
    assert one.kit.cost() < before
    assert laid(one.kit).items() <= one.kit.columns.laid.items()
    asked = counted(monkeypatch)
    one.kit.kept = {}
    assert one.kit.choose({at: item.served for at, item in best.items()}, 0.0, deadline)
    assert (one.kit.kept, asked) == (best, [])


def test_of_two_ways_laid_out_the_cheaper_is_known() -> None:
    one, deadline = begun()
    assert one.kit.choose(one.homes(), 0.0, deadline)
    item = one.kit.kept[0]
    key = (0, key_of(item.served))
    for more, cost in ((1, item.cost), (-1, item.cost - 1), (0, item.cost - 1)):
        other = windows.Settled(item.cost + more, item.served, item.answer, item.counts)
        one.kit._take(Together(Stop.PROVEN, {0: other}))
        assert one.kit.columns.laid[key] == one.kit.seen[key].cost == cost


def test_what_cannot_be_is_asked_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, (one, deadline) = counted(monkeypatch), begun()
    homes = one.homes()
    group = next(iter(homes[1]))
    homes[1][group] += 1
    assert not one.kit.choose(homes, 0.0, deadline)
    assert one.kit.columns.impossible == {(1, key_of(homes[1]))}
    before = len(asked)
    assert not one.kit.choose(homes, 0.0, deadline)
    assert len(asked) == before


def test_what_was_not_found_in_time_is_asked_again(monkeypatch: pytest.MonkeyPatch) -> None:
    one, deadline = begun()
    with monkeypatch.context() as once:
        counted(once, Together(Stop.LIMIT))
        assert not one.kit.choose(one.homes(), 0.0, deadline)
    assert one.kit.choose(one.homes(), 0.0, deadline)
