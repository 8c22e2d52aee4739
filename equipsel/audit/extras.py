"""How many of an extra a kit needs, and which links an extra covers."""

from collections.abc import Callable

from equipsel.audit.facts import Facts
from equipsel.audit.network import Link, Node
from equipsel.catalog import Extra


def count_extra(row: Extra, facts: Facts) -> int:
    """How many of an extra go with the kit's ports, devices, units, places, extenders or runs."""
    return COUNTS[row.per](row.for_, facts)


def covers(row: Extra, link: Link) -> bool:
    """Whether an extra goes with a link, or with something at its head, whatever it is counted by."""
    if row.per == "device":
        return link.device is not None and _wanted(row.for_, link, *_head_models(link))
    if row.per == "extender":
        return any(_wanted(row.for_, link, extender.model) for extender in link.chain)
    models = _run_models(link) if row.per == "run" else [node.unit.model for node in (link.data, link.injector) if node]
    return _wanted(row.for_, None if row.per == "unit" else link, *models)


def _wanted(for_: str | None, link: Link | None, *models: str) -> bool:
    """Whether `for` names nothing, one of the models, or the kind of the link's device."""
    return not for_ or for_ in models or bool(link and link.device and link.device.kind == for_)


def _head_models(link: Link) -> list[str]:
    return [link.head.unit.model] if link.head else []


def _run_models(link: Link) -> list[str]:
    cable = [link.route.cable.model] if link.route else []
    return [*_head_models(link), *(extender.model for extender in link.chain), *cable]


def _ports(for_: str | None, facts: Facts) -> int:
    pairs = [(link, node) for link in facts.network.links for node in (link.data, link.injector) if node]
    return sum(1 for link, node in pairs if _wanted(for_, link, node.unit.model))


def _devices(for_: str | None, facts: Facts) -> int:
    return sum(1 for link, _ in facts.device_links if _wanted(for_, link, *_head_models(link)))


def _units(for_: str | None, facts: Facts) -> int:
    return sum(1 for fact in facts.units.values() if _wanted(for_, None, fact.node.unit.model))


def _places(for_: str | None, facts: Facts) -> int:
    models = {place: [fact.node.unit.model for fact in units] for place, units in facts.by_place.items()}
    kinds = {(_stands(link.data), device.kind) for link, device in facts.device_links}
    return sum(1 for place in models if _wanted(for_, None, *models[place]) or (place, for_) in kinds)


def _stands(node: Node | None) -> str | None:
    return node.unit.place if node else None


def _extenders(for_: str | None, facts: Facts) -> int:
    return sum(1 for link in facts.network.links for extender in link.chain if _wanted(for_, link, extender.model))


def _runs(for_: str | None, facts: Facts) -> int:
    return sum(1 for link in facts.network.links if _wanted(for_, link, *_run_models(link)))


COUNTS: dict[str, Callable[[str | None, Facts], int]] = {
    "port": _ports,
    "device": _devices,
    "unit": _units,
    "place": _places,
    "extender": _extenders,
    "run": _runs,
}
