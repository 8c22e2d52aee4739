"""Fed switches of the constraint model: numbered units whose builds are the ways to feed them, each plugged into a unit.

A fed unit has a level, one more than that of the switch its data passes, so that there is no ring and no row longer than
allowed; its traffic passes that switch too. The stand-in beyond the numbered units has neither: it is a relaxation, and the
model is made again with more numbers where it is used.
"""

from collections import defaultdict
from math import floor
from typing import TYPE_CHECKING

from cpsat_slot import MILLI, Slot, cents
from oracle_fed import Feeding, Variant
from oracle_feeds import Chain, Route, device_load, exact, head_of, reserve_mw, solve
from ortools.sat.python import cp_model

if TYPE_CHECKING:
    from cpsat_model import SiteModel


class FedSlot(Slot):
    """A fed switch: `variants` stand beside `chosen`; its level in the row of switches and its traffic in kb/s."""

    def __init__(self, site: "SiteModel", name: str, place: str, build: object, variants: list[Variant], most: int) -> None:
        super().__init__(site.cp, name, [build] * len(variants), [variant.budget_mw for variant in variants], most)
        self.place, self.variants, self.numbered = place, variants, most == 1
        share = exact(build.model.uplink_mbps) * exact(site.rules.uplink_share_pct) / 100
        self.level = site.cp.new_int_var(1, site.rules.max_cascade, f"{name} level")
        self.carried = site.cp.new_int_var(0, floor(share * MILLI), f"{name} traffic")


class Feeds:
    """All fed switches of a site."""

    def __init__(self, site: "SiteModel", numbered: dict[tuple[str, str], int]) -> None:
        self.site, self.cp, self.feeding = site, site.cp, Feeding(site.scenario, site.catalog)
        self.slots: list[FedSlot] = []
        self.flows: dict[tuple[int, int], cp_model.IntVar] = {}
        self._solved: dict[tuple[object, ...], int | None] = {}
        for place in site.scenario.place:
            for build in self.feeding.standing[place]:
                if build.fed and self.feeding.variants(place, build):
                    self._number(place, build, numbered[place, build.model.model])

    def _number(self, place: str, build: object, units: int) -> None:
        site, model, variants = self.site, build.model.model, self.feeding.variants(place, build)
        row = [FedSlot(site, f"{place} {model} {at}", place, build, variants, 1) for at in range(units)]
        beyond = FedSlot(site, f"{place} {model} beyond", place, build, variants, site.total + 4)
        slots = site.in_order(place, model, row, beyond)
        site.switches[place] += slots
        self.slots += slots

    def device(self, number: int, name: str, slot: FedSlot, group: int, route: Route, chain: Chain) -> list[cp_model.IntVar]:
        """A device on a group of a fed switch: only while the switch is fed so that the device's line works."""
        reserves = [self._reserve(number, slot, group, route, chain, variant.volts) for variant in slot.variants]
        works = [at for at, mw in enumerate(reserves) if mw is not None]
        if not works:
            return []
        var = self.cp.new_bool_var(name)
        self.site.plug(slot, group, var, number)
        self.cp.add(var <= sum(slot.chosen[at] for at in works))
        least = min(reserves[at] for at in works)
        slot.watts[group].append(least * var)
        if slot.numbered:
            self._above_least(name, slot, group, var, {at: reserves[at] - least for at in works if reserves[at] > least})
        return [var]

    def _above_least(self, name: str, slot: FedSlot, group: int, var: cp_model.IntVar, more: dict[int, int]) -> None:
        if more:
            extra = self.cp.new_int_var(0, max(more.values()), f"{name} extra")
            for at, mw in more.items():
                self.cp.add(extra >= mw).only_enforce_if(var, slot.chosen[at])
            slot.watts[group].append(extra)

    def _reserve(self, number: int, slot: FedSlot, group: int, route: Route, chain: Chain, volts: float | None) -> int | None:
        build = slot.builds[0]
        key = (number, id(build.model), group, id(route), id(chain), volts)
        if key not in self._solved:
            load = device_load(self.site.scenario.devices[number])
            found = solve(self.site.rules, head_of(build, group, volts), route, chain, load, self.site.limits)
            self._solved[key] = None if found is None else reserve_mw(self.site.rules, found)
        return self._solved[key]

    def connect(self) -> None:
        """Plug every fed switch into a port, and its data leads where an injector feeds it; then carry the traffic inwards."""
        for slot in self.slots:
            self._connect(slot)
        for slot in self.slots:
            self.cp.add(slot.carried == sum(slot.traffic))

    def _connect(self, slot: FedSlot) -> None:
        injected: dict[str, list[cp_model.IntVar]] = defaultdict(list)
        for at, (variant, chosen) in enumerate(zip(slot.variants, slot.chosen, strict=True)):
            place = variant.route.place
            sources = self.site.injectors[place] if variant.injector else self.site.switches[place]
            taken = []
            for number, source in enumerate(sources):
                if source is slot or source.builds[0].model.model != variant.source:
                    continue
                var = self.cp.new_int_var(0, slot.most, f"{slot.name} way {at} from {number}")
                self._feed(slot, variant, source, var)
                taken.append(var)
            self.cp.add(sum(taken) == chosen)
            if variant.injector:
                injected[place] += taken
            each = sum(cents(row.price + row.install_cost + self.site.rules.piece_cost) for row in variant.chain)
            self.site.price.append(each * chosen)
            self.site.rows[variant.route.row].append(chosen)
        for place, feeds in injected.items():
            self._data_leads(slot, place, feeds)

    def _feed(self, slot: FedSlot, variant: Variant, source: Slot, var: cp_model.IntVar) -> None:
        group = variant.group
        source.plugs[group].append(var)
        source.watts[group].append(variant.reserve_mw * var)
        self.cp.add(var <= slot.most * source.count)
        if isinstance(source, FedSlot):
            alike = [chosen for other, chosen in zip(source.variants, source.chosen, strict=True) if other.volts == variant.head_volts]
            self.cp.add(var <= slot.most * sum(alike))
        if not variant.injector:
            self._hang(slot, source, var)

    def _data_leads(self, slot: FedSlot, place: str, feeds: list[cp_model.IntVar]) -> None:
        """A data port on a switch of the place for each feed by an injector."""
        link, leads = min(slot.builds[0].model.uplink_mbps, 1000), []
        for at, switch in enumerate(self.site.switches[place]):
            for group, head in enumerate(switch.builds[0].heads):
                if switch is not slot and head[2] >= link:
                    var = self.cp.new_int_var(0, slot.most, f"{slot.name} data {at} group {group}")
                    switch.plugs[group].append(var)
                    self.cp.add(var <= slot.most * switch.count)
                    self._hang(slot, switch, var)
                    leads.append(var)
        self.cp.add(sum(leads) == sum(feeds))

    def _hang(self, slot: FedSlot, source: Slot, var: cp_model.IntVar) -> None:
        """The data of a numbered fed switch passes a switch, which stands nearer to the mains."""
        if not slot.numbered:
            return
        key = (id(slot), id(source))
        if key not in self.flows:
            self.flows[key] = self.cp.new_int_var(0, 10**7, f"{slot.name} through {source.name}")
            source.traffic.append(self.flows[key])
        self.cp.add(self.flows[key] >= slot.carried).only_enforce_if(var)
        if isinstance(source, FedSlot) and source.numbered:
            self.cp.add(slot.level >= source.level + 1).only_enforce_if(var)
