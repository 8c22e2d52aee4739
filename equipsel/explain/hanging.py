"""Why devices hang where they do: the weakest port that does, why not a plainer way, and the places they could also be cabled to."""

from collections.abc import Iterator

from equipsel.console import number, ranges
from equipsel.explain.devices import nearest
from equipsel.feeds.lines import Feed, Head, Refusal
from equipsel.feeds.ways import DeviceWays
from equipsel.kit import Connection, DeviceReason, Kit
from equipsel.program.of_site import Powered

Likeness = tuple[str, str, str, str, tuple[str, ...], str]


def device_reasons(asked: Powered, kit: Kit) -> Iterator[DeviceReason]:
    """A text for all devices of which the same can be said."""
    rows = {name: ways for ways in asked.ways for name in ways.device.names}
    models = {unit.unit: unit.model for unit in kit.units}
    alike: dict[Likeness, list[Connection]] = {}
    for one in kit.connections:
        key = (
            rows[one.device].device.device, one.place, models[one.unit], one.group, tuple(step.model for step in one.extenders),
            models[one.injector.unit] if one.injector else "",
        )  # fmt: skip
        alike.setdefault(key, []).append(one)
    said: dict[str, list[str]] = {}
    for group in alike.values():
        text = "; ".join(_Words(asked, kit, rows[group[0].device], group[0]).texts())
        said.setdefault(text, []).extend(one.device for one in group)
    for text, names in said.items():
        yield DeviceReason(device=", ".join(ranges(names)), text=text)


class _Words:
    """What can be said of one connection."""

    def __init__(self, asked: Powered, kit: Kit, ways: DeviceWays, one: Connection) -> None:
        """Know the connection, the ways its device has, and the ports that stand in its place."""
        self.asked, self.kit, self.ways, self.one = asked, kit, ways, one
        standing = {unit.model for unit in kit.units if unit.place == one.place}
        builds = [build for build in asked.builds if build.place == one.place and build.model.model in standing]
        self.heads = {(build.model.model, ports.group): ports.head for build in builds for ports in build.ports}
        self.injectors = {build.model.model for build in builds if build.is_injector}
        route = next((item for item in ways.routes if item.route.place == one.place), None)
        self.feeds: dict[Head, tuple[Feed, ...]] = dict(route.feeds) if route else {}
        self.run_m = one.run_m or 0

    def texts(self) -> Iterator[str]:
        """All of it."""
        yield self._port()
        yield from self._plainer()
        yield from self._elsewhere()

    def _port(self) -> str:
        one, device = self.one, self.ways.device
        if device.number is None:
            return f"a data port in {one.place}"
        if one.class_ is None or one.port_w is None:
            return f"in {one.place}"
        return f"class {one.class_}, {number(one.reserved_w)} W reserved of a {number(one.port_w)} W port in {one.place}"

    def _plainer(self) -> Iterator[str]:
        """Why not a weaker port, a switch's own port, or a run without extenders."""
        if self.one.extenders:
            count = len(self.one.extenders)
            yield f"{count} extender{'' if count == 1 else 's'}: a run of {number(self.run_m)} m is longer than one span"
        weaker = [head for head in self.heads.values() if 0 < head.port_w < (self.one.port_w or 0)]
        switch_heads = [head for (model, _), head in self.heads.items() if model not in self.injectors and head.port_w > 0]
        if self.one.injector:
            yield self._against(switch_heads, "the switches here have no free port that does")
        elif weaker and self.ways.device.number is not None:
            yield self._against(weaker, "weaker ports here that would do are taken, or their unit has no watts left")

    def _against(self, heads: list[Head], otherwise: str) -> str:
        """The number that stops the strongest of some ports, or what else is true where one would do."""
        if any(self.feeds.get(head) for head in heads):
            return otherwise
        words = {str(head) for head in heads}
        refusals = [item for item in self.ways.refusals if any(item.message.startswith(word) for word in words)]
        told: list[Refusal] = nearest(refusals)
        return told[0].message if told else "no port of a switch here does"

    def _elsewhere(self) -> Iterator[str]:
        standing = {unit.place for unit in self.kit.units}
        for item in self.ways.routes:
            place = item.route.place
            if place != self.one.place:
                state = "has units too" if place in standing else "stays empty"
                yield f"it could also go to {place} ({number(float(item.route.run_m))} m), which {state}"
