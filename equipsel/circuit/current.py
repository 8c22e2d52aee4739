"""How the current of a line shares out over pairsets and conductors, and when to look at the bundle."""

PAIR_UNBALANCE_PCT = 7.0
"""Most that the pairs of a channel may differ, %: (worst - best) / (worst + best) of their resistances (ISO/IEC 11801, from
memory). Two pairsets side by side share the current in inverse proportion, so the better one carries this much more
than half (derived)."""

BUNDLE_WARNING_A = 0.30
"""Amps per conductor above which local codes limit the size of bundles: 60 W over four pairs (confirmed)."""


def amps_per_pairset(amps: float, pairs: int) -> float:
    """Nominal share of each pairset (two pairs), A."""
    return amps * 2 / pairs


def amps_per_conductor(amps: float, pairs: int) -> float:
    """Nominal share of each conductor, A: a pairset's current goes out on two and comes back on two."""
    return amps / pairs


def worst_conductor_amps(amps: float, pairs: int, unbalance_pct: float = PAIR_UNBALANCE_PCT) -> float:
    """Current in a conductor of the pairset that carries most, A: nothing to share between pairsets on two pairs."""
    return amps_per_conductor(amps, pairs) * (1 + unbalance_pct / 100 if pairs == 4 else 1)
