"""Random ladders, many of them within a hair of their collapse, and an oracle for them that shares nothing with the package.

The oracle shoots from the far end: a trial end voltage fixes every voltage and current back to the head. The greatest end
voltage whose head voltage is the source's is the upper operating point; if every trial needs more than the source gives,
there is none. The head voltage may have several valleys over the end voltage, so the whole range is looked over.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, minimize_scalar


@dataclass(frozen=True)
class Ladder:
    volts: float
    ohm: tuple[float, ...]
    load_w: tuple[float, ...]
    exists: bool | None = None  # known from how it was made, for those near their collapse


def march(end_volts, ohm, load_w):
    """Voltage of every node from the head outwards (first the head) that a trial end voltage implies."""
    nodes, amps = [end_volts], 0.0
    for resistance, load in zip(reversed(ohm), reversed(load_w), strict=True):
        amps = amps + load / nodes[-1]
        nodes.append(nodes[-1] + amps * resistance)
    return nodes[::-1]


def valleys(ladder):
    """End voltages where the head voltage is locally least, and those head voltages, from the greatest end voltage down."""
    trial = ladder.volts * np.geomspace(1e-5, 1, 3000)
    heads = march(trial, ladder.ohm, ladder.load_w)[0]
    inner = np.flatnonzero((heads[1:-1] <= heads[:-2]) & (heads[1:-1] <= heads[2:])) + 1
    found = []
    for place in inner[::-1]:
        low, high = trial[place - 1], trial[place + 1]
        best = minimize_scalar(
            lambda end: march(end, ladder.ohm, ladder.load_w)[0], bounds=(low, high), method="bounded", options={"xatol": low * 1e-11}
        )
        found.append((best.x, best.fun))
    return found


def oracle(ladder):
    """Node voltages of the upper operating point (head first), or None."""
    if ladder.load_w[-1] == 0 and len(ladder.ohm) > 1:  # nothing flows in the last span: leave it out
        shorter = oracle(Ladder(ladder.volts, ladder.ohm[:-1], ladder.load_w[:-1]))
        return None if shorter is None else [*shorter, shorter[-1]]
    if ladder.load_w[-1] == 0 or sum(ladder.ohm) == 0:
        return [ladder.volts] * (len(ladder.ohm) + 1)
    for bottom, least in valleys(ladder):
        if least <= ladder.volts:
            end = brentq(lambda x: march(x, ladder.ohm, ladder.load_w)[0] - ladder.volts, bottom, ladder.volts, xtol=1e-13, rtol=1e-14)
            return march(end, ladder.ohm, ladder.load_w)
    return None


def random_ladder(rng):
    """Up to five spans; some of no length, some taps that draw nothing, loads from a milliwatt up."""
    spans = int(rng.integers(1, 6))
    ohm = np.where(rng.random(spans) < 0.08, 0.0, 10 ** rng.uniform(-1, 1, spans))
    load_w = np.where(rng.random(spans) < 0.08, 0.0, 10 ** rng.uniform(-3, 1.6, spans))
    return Ladder(float(rng.uniform(44, 57)), tuple(ohm.tolist()), tuple(load_w.tolist()))


def near_collapse(rng):
    """A ladder at the very source voltage it needs, give or take a share between a tenth and a ten-millionth."""
    drawn = random_ladder(rng)
    load_w = (*drawn.load_w[:-1], max(drawn.load_w[-1], 0.01))
    ohm = tuple(max(value, 0.05) for value in drawn.ohm)
    least = min(head for _, head in valleys(Ladder(drawn.volts, ohm, load_w)))
    share = float(rng.choice((-1, 1)) * 10 ** rng.uniform(-7, -1))
    # volts scaled by s and ohms by s squared make the same line: bring the collapse to the drawn voltage
    scale = drawn.volts / (least * (1 + share))
    return Ladder(drawn.volts, tuple(float(value * scale**2) for value in ohm), load_w, exists=share > 0)


def ladders(count, seed):
    """As many ladders: half at random, half near their collapse."""
    rng = np.random.default_rng(seed)
    return [near_collapse(rng) if number % 2 else random_ladder(rng) for number in range(count)]
