"""What is known of a comparison: kits, studies, and what follows from them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from equipsel.compare.break_even import BreakEven
from equipsel.compare.figures import CRITERIA, Figures, best, differences, figures
from equipsel.compare.near import Near
from equipsel.compare.options import AS_IT_IS, TOGETHER, Option
from equipsel.compare.trade_off import Curve
from equipsel.kit import Kit


@dataclass
class Comparison:
    """What is known so far: a kit for each option by its position, and the studies of the first option."""

    options: Sequence[Option]
    kits: dict[int, Kit] = field(default_factory=dict)
    break_even: dict[int, BreakEven] = field(default_factory=dict)
    curves: dict[int, Curve] = field(default_factory=dict)
    near: Near | None = None
    interrupted: bool = False

    @property
    def currency(self) -> str:
        """What money is counted in."""
        return self.options[0].site.scenario.currency

    def kit(self, position: int) -> Kit | None:
        """The answer for an option; None where it was refused before or not worked out."""
        return self.kits.get(position)

    def built(self) -> list[int]:
        """Positions of the options that have a kit."""
        return [place for place in range(len(self.options)) if (kit := self.kit(place)) and kit.cost is not None]

    def trade_offs(self) -> list[Curve]:
        """The curves, in the order they were asked for."""
        return [one for _, one in sorted(self.curves.items())]

    def figures(self) -> list[Figures]:
        """Figures of every option; none where it has no kit."""
        return [figures(kit, option.site) if (kit := self.kit(place)) else {} for place, option in enumerate(self.options)]

    def best(self) -> dict[str, set[int]]:
        """Positions of the best options by figure."""
        known = self.figures()
        return {column.key: best(column, known) for column in CRITERIA}

    def differences(self) -> list[tuple[str, str, list[float | None]]]:
        """What differs in the bills of materials."""
        return differences([self.kit(place) for place in range(len(self.options))])

    def refusals(self, position: int) -> list[str]:
        """Why an option has no kit, in words; nothing where it has one."""
        option, kit = self.options[position], self.kit(position)
        if option.refusal:
            return [option.refusal]
        if kit is None:
            return ["not worked out: stopped"]
        if kit.cost is not None:
            return []
        when = "before it was stopped" if self.interrupted else "in the time allowed"
        return list(kit.reasons) or [f"no kit was found {when}; one may exist"]

    def unchanged(self, position: int) -> int:
        """The position of the same catalog as it is."""
        catalog = self.options[position].catalog
        return next(place for place, one in enumerate(self.options) if (one.catalog, one.change) == (catalog, AS_IT_IS))

    def more(self, position: int) -> Decimal | None:
        """What a change costs more than the same catalog as it is: the value of a rule."""
        if self.options[position].change == AS_IT_IS:
            return None
        return _difference(self.kit(position), self.kit(self.unchanged(position)))

    def mixing_saves(self) -> dict[str, Decimal]:
        """By change: what all catalogs together save beside the cheapest of them alone."""
        found = {}
        for place, option in enumerate(self.options):
            if option.catalog == TOGETHER:
                alone = [
                    kit for at, one in enumerate(self.options) if one.change == option.change and at != place and (kit := self.kit(at))
                ]
                cheapest = min((kit for kit in alone if kit.cost is not None), key=lambda kit: kit.cost or 0, default=None)
                saved = _difference(cheapest, self.kit(place))
                if saved is not None:
                    found[option.change] = saved
        return found


def _difference(one: Kit | None, other: Kit | None) -> Decimal | None:
    if one is None or other is None or one.cost is None or other.cost is None:
        return None
    return Decimal(str(one.cost)) - Decimal(str(other.cost))
