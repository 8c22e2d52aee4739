"""Copper cable, and lines with constant-power loads along them. Knows `standard` and nothing else of the project."""

from equipsel.circuit.copper import (
    CCA_RATIO,
    CONTACT_OHM,
    COPPER_PER_KELVIN,
    COPPER_S_PER_M,
    CORD_AWG,
    DEFAULT_AWG,
    STRANDED_RATIO,
    Piece,
    at_temperature,
    channel_ohm,
    conductor_ohm_per_100m,
    loop_ohm,
    wire_diameter_m,
)
from equipsel.circuit.current import (
    BUNDLE_WARNING_A,
    PAIR_UNBALANCE_PCT,
    amps_per_conductor,
    amps_per_pairset,
    worst_conductor_amps,
)
from equipsel.circuit.ladder import Line, Lines, Span, SpanState, solve_line, solve_lines
from equipsel.circuit.margin import collapse_margin_pct, most_load_w
from equipsel.circuit.reach import loss_rise, reach_m

__all__ = [
    "BUNDLE_WARNING_A",
    "CCA_RATIO",
    "CONTACT_OHM",
    "COPPER_PER_KELVIN",
    "COPPER_S_PER_M",
    "CORD_AWG",
    "DEFAULT_AWG",
    "PAIR_UNBALANCE_PCT",
    "STRANDED_RATIO",
    "Line",
    "Lines",
    "Piece",
    "Span",
    "SpanState",
    "amps_per_conductor",
    "amps_per_pairset",
    "at_temperature",
    "channel_ohm",
    "collapse_margin_pct",
    "conductor_ohm_per_100m",
    "loop_ohm",
    "loss_rise",
    "most_load_w",
    "reach_m",
    "solve_line",
    "solve_lines",
    "wire_diameter_m",
    "worst_conductor_amps",
]
