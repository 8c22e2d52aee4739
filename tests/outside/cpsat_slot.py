"""A numbered unit of the constraint model, and money in whole cents."""

from decimal import Decimal
from fractions import Fraction

from beyond import Beyond
from oracle_feeds import Build
from ortools.sat.python import cp_model

MILLI = 1000


def cents(money: Decimal) -> int:
    """Whole cents; the model knows no others."""
    scaled = Fraction(money) * 100
    if scaled.denominator != 1:
        raise Beyond(f"{money} is no whole number of cents")
    return scaled.numerator


class Slot:
    """A numbered unit of a model in a place, or the stand-in for all beyond the numbered ones (most > 1).

    exact_up_to: how many units a stand-in may be for the answer to be exact.
    """

    def __init__(self, cp: cp_model.CpModel, name: str, builds: list[Build], budgets: list[int], most: int) -> None:
        self.name, self.builds, self.budgets, self.most = name, builds, budgets, most
        self.exact_up_to = 0 if builds[0].fed else 1
        self.count = cp.new_int_var(0, most, f"{name} used")
        self.chosen = [cp.new_int_var(0, most, f"{name} build {at}") for at in range(len(builds))]
        cp.add(sum(self.chosen) == self.count)
        groups = range(len(builds[0].heads))
        self.plugs: list[list[cp_model.IntVar]] = [[] for _ in groups]
        self.watts: list[list[cp_model.LinearExprT]] = [[] for _ in groups]
        self.traffic: list[cp_model.LinearExprT] = []
