"""Every rule, the program they make of a problem, and what was chosen once that is solved."""

from collections.abc import Callable

from equipsel.program import cover_rules, link_rules, place_rules, restriction_rules, site_rules, unit_rules
from equipsel.program.adapter import whole
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.money import Money
from equipsel.program.rows import Rows

RULES: tuple[Callable[[Model], None], ...] = (
    unit_rules.define_ports,
    unit_rules.define_all_ports,
    unit_rules.define_each_group,
    unit_rules.define_group_watts,
    unit_rules.define_budget,
    unit_rules.define_large_loads,
    unit_rules.define_uplink,
    unit_rules.define_large_traffic,
    unit_rules.define_split_order,
    cover_rules.define_cover,
    cover_rules.define_rounded_loads,
    link_rules.define_leads,
    link_rules.define_fed,
    place_rules.define_spare_ports,
    place_rules.define_rack,
    place_rules.define_outlets,
    place_rules.define_circuit,
    place_rules.define_critical_share,
    place_rules.define_backup,
    site_rules.define_max_models,
    restriction_rules.define_restriction,
)
"""Every rule, each adding its rows to the program."""


def chosen_units(model: Model, more: int) -> dict[int, int]:
    """The builds a solved program chose: so many units of each, and so many more."""
    chosen: dict[int, int] = {}
    for item in model.bins:
        if whole(item.count):
            index = model.index[item.build]
            chosen[index] = chosen.get(index, more) + whole(item.count)
    return chosen


def batteries_of(model: Model) -> dict[tuple[str, str], int]:
    """How many battery units stand in each place of a solved program, by place and model."""
    counts = ((place, name, whole(count)) for place, found in model.batteries.items() for name, count in found.items())
    return {(place, name): number for place, name, number in counts if number}


def build_model(problem: Problem, refinement: Refinement, rows: Rows | None = None) -> tuple[Model, Money]:
    """The program of a problem: variables, every rule, and the money; no objective yet. `rows`: of a program that holds more."""
    model = Model(problem, refinement, rows)
    link_rules.define_served(model)
    for rule in RULES:
        rule(model)
    return model, Money(model)
