"""The program of a block by itself, or of some blocks in one; what was proven of blocks at some prices.

Costs here are without what is paid whatever is chosen.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil, inf

from equipsel.program.adapter import Answer, Stop, whole
from equipsel.program.blocks import Block
from equipsel.program.model import Model, Refinement, Way
from equipsel.program.money import Money
from equipsel.program.rows import Rows, Terms, Variable
from equipsel.program.rules import build_model

Prices = Mapping[int, int]
"""What serving one device of each shared group is worth, in cents."""


@dataclass(frozen=True, slots=True)
class Cut:
    """What was proven of some blocks: their cost - price x devices of each group served >= `least`, in cents.

    Groups without a price are those that only these blocks can serve, and do.
    """

    blocks: frozenset[int]
    prices: Prices
    least: int


@dataclass(frozen=True)
class Program:
    """The program of a block among others, how many of each shared group it serves, and its own variables in their order."""

    model: Model
    money: Money
    served: Mapping[int, Terms]
    variables: tuple[Variable, ...]

    def numbers(self) -> dict[int, int]:
        """How many of each shared group it serves, once it is solved."""
        counts = {at: sum(whole(variable) for _, variable in terms) for at, terms in self.served.items()}
        return {at: number for at, number in counts.items() if number}

    def cost(self) -> int:
        """What it costs, once it is solved, in cents."""
        return round(sum(factor * whole(variable) for factor, variable in self.money.terms))


def program(block: Block, learnt: Refinement, rows: Rows | None = None) -> Program:
    """The program of a block; `rows`: of a program that holds more."""
    before = 0 if rows is None else len(rows.made)
    model, money = build_model(block.problem, learnt, rows)
    served: dict[int, Terms] = {at: [] for at in block.shared}
    whole_of = {position: at for at, position in block.shared.items()}
    for plug in model.plugs:
        if isinstance(plug.payload, Way) and plug.payload.group in whole_of:
            served[whole_of[plug.payload.group]].append((1, plug.count))
    return Program(model, money, served, tuple(model.rows.made[before:]))


def programs(
    blocks: Mapping[int, Block], wanted: Mapping[int, int], cuts: Iterable[Cut], learnt: Mapping[int, Refinement]
) -> dict[int, Program]:
    """The program of each block in shared rows, what they are to serve between them, and what is known of them."""
    rows = Rows("blocks")
    found = {at: program(block, learnt.get(at, Refinement()), rows) for at, block in blocks.items()}
    for group, number in wanted.items():
        rows.equal(f"shared{group}-served", [term for item in found.values() for term in item.served.get(group, ())], number)
    for number, cut in enumerate(cuts):
        some = [found[at] for at in sorted(cut.blocks)]
        rows.at_least(f"priced{number}", [*money_of(some), *worth(some, cut.prices)], cut.least)
    return found


def money_of(some: Iterable[Program]) -> Terms:
    """What programs cost, in cents."""
    return [term for item in some for term in item.money.terms]


def worth(some: Iterable[Program], prices: Prices) -> Terms:
    """What the devices they serve are worth at some prices, taken off the cost, in cents."""
    served = ((prices.get(group, 0), variable) for item in some for group, terms in item.served.items() for _, variable in terms)
    return [(-price, variable) for price, variable in served if price]


def proven_bound(answer: Answer, gap: float) -> int | None:
    """The bound of a solved program in whole cents; the value itself where that was proven without a gap (HiGHS may tell less)."""
    if answer.stop is Stop.PROVEN and answer.found and not gap:
        return round(answer.value)
    return ceil(answer.bound - 1e-6) if -inf < answer.bound < inf else None
