"""Rules about one unit: budget, port groups, supplies, uplink, the class of a fed switch, critical devices, owned ones."""

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from equipsel.audit.bill import owned_count
from equipsel.audit.budgets import counted_w
from equipsel.audit.facts import Facts
from equipsel.audit.limits import rank
from equipsel.audit.network import Link, Node
from equipsel.audit.words import Found, error, listed, say, say_mw
from equipsel.catalog import Switch
from equipsel.quantities import milliwatts_down, share_down
from equipsel.standard import CLASSES


def check_budget(facts: Facts) -> Iterator[Found]:
    """What a unit's ports reserve fits its budget, less the watts to keep spare."""
    for name, fact in facts.units.items():
        if fact.reserved_mw > fact.room_mw:
            budget = say(fact.budget_w)
            kept = facts.rules.spare_watts_pct and fact.node.powered_ports != 1
            spare = f" ({budget} W less {say(facts.rules.spare_watts_pct)} % spare)" if kept else ""
            yield error(f"unit {name}", f"Its ports reserve {say_mw(fact.reserved_mw)}; its budget allows {say_mw(fact.room_mw)}{spare}.")


def check_group_watts(facts: Facts) -> Iterator[Found]:
    """What the ports of a group reserve fits the group's own limit."""
    reserved: Counter[tuple[str, str]] = Counter()
    for link, power in facts.powered():
        if link.head and not link.plug.injector:
            reserved[link.head.name, link.plug.group] += power.reserved_mw
    for name, node in facts.network.nodes.items():
        for group in node.groups:
            used = reserved[name, group.group]
            if group.group_w is not None and used > milliwatts_down(group.group_w):
                yield error(f"unit {name}", f"Group {group.group} reserves {say_mw(used)}; it gives {say(group.group_w)} W together.")


def check_supplies(facts: Facts) -> Iterator[Found]:
    """Supplies fit their switch and its slots, there are enough of them, and they carry the switch itself."""
    for name, node in facts.network.nodes.items():
        if node.switch and node.switch.feed == "supply":
            for message in _supply_faults(node, node.switch, facts):
                yield error(f"unit {name}", message)
        elif node.model and node.unit.supplies:
            yield error(f"unit {name}", f"{node.unit.model} takes no supplies; it has {listed(node.unit.supplies)}.")


def _supply_faults(node: Node, switch: Switch, facts: Facts) -> Iterator[str]:
    count, least = len(node.unit.supplies), 2 if facts.rules.redundant_supplies else 1
    if count < least:
        why = " (redundant_supplies is yes)" if least == 2 else ""
        yield f"Supplies in it: {count}; at least {least} needed{why}."
    if count > switch.supply_slots:
        yield f"Supplies in it: {count}; slots for them: {switch.supply_slots}."
    for supply in dict.fromkeys(node.supplies):
        if supply.fit != switch.supply_fit:
            yield f"Supply {supply.model} fits {supply.fit}; the switch takes {switch.supply_fit}."
    if count >= least and counted_w(node, facts.rules) < Fraction(switch.own_w):
        yield f"Its counted supplies give {say(counted_w(node, facts.rules))} W; the switch itself takes {say(switch.own_w)} W."


def check_uplink(facts: Facts) -> Iterator[Found]:
    """Traffic through a switch, that of switches it feeds included, keeps to the share of its uplink."""
    for name, fact in facts.units.items():
        if fact.node.switch is None:
            continue
        most = fact.node.switch.uplink_mbps * facts.rules.uplink_share_pct / 100
        if fact.traffic_mbps > most:
            share = f"{say(facts.rules.uplink_share_pct)} % of its {say(fact.node.switch.uplink_mbps)} Mb/s uplink, {say(most)} Mb/s"
            yield error(f"unit {name}", f"{say(fact.traffic_mbps)} Mb/s pass it; allowed are {share}.")


def check_fed_class(facts: Facts) -> Iterator[Found]:
    """A fed switch takes a class up to its in_class, which leaves it a budget after its own draw."""
    for name, fact in facts.units.items():
        switch, feed = fact.node.switch, fact.node.unit.fed_by
        if switch is None or feed is None or not fact.node.is_fed:
            continue
        if feed.class_ is not None and feed.class_ not in CLASSES:
            yield error(f"unit {name}", f"Class {feed.class_} does not exist; classes are 0 to 8.")
        elif feed.class_ is not None and rank(feed.class_) > (switch.in_class or 0):
            yield error(f"unit {name}", f"It is fed with class {feed.class_}; the switch takes class {switch.in_class} at most.")
        if fact.budget_w < 0:
            yield error(f"unit {name}", f"Class {fact.number} does not carry the switch's own {say(switch.own_w)} W.")


def check_critical_share(facts: Facts) -> Iterator[Found]:
    """No unit carries more than the allowed share of a place's critical devices; one is always allowed."""
    critical = [(link, device) for link, device in facts.device_links if device.priority == "critical"]
    served = Counter(_place(link) for link, _ in critical)
    carried = Counter(node.name for link, _ in critical for node in _units_of(link))
    for name, count in carried.items():
        total = served[facts.network.nodes[name].unit.place]
        most = max(1, share_down(facts.rules.max_critical_share_pct, total))
        if count > most:
            share = f"{say(facts.rules.max_critical_share_pct)} %, {most} devices"
            yield error(f"unit {name}", f"It carries {count} of the {total} critical devices of its place; allowed are {share}.")


def _place(link: Link) -> str | None:
    return link.data.unit.place if link.data else link.place


def _units_of(link: Link) -> list[Node]:
    return list({node.name: node for node in (link.data, link.injector) if node}.values())


def check_owned(facts: Facts) -> Iterator[Found]:
    """No more owned units and supplies are used than there are."""
    counted = Counter((unit.model, unit.place) for unit in facts.kit.units if unit.owned)
    for line in facts.kit.lines or ():
        priced = line.kind == "supply" and line.unit_cost == 0 and _price(line.model, facts) > 0
        if priced and line.place is not None:
            counted[line.model, line.place] += int(line.count)
    for (model, place), count in counted.items():
        there = owned_count(facts, model, place)
        if count > there:
            yield error(f"place {place}", f"{count} of {model} are used as owned; {there} are there.")


def _price(model: str, facts: Facts) -> Fraction:
    row = facts.catalog.supply.get(model)
    return Fraction(row.price + row.install_cost) if row else Fraction(0)


def check_max_models(facts: Facts) -> Iterator[Found]:
    """No more different switch, injector and extender models than allowed."""
    most = facts.rules.max_models
    models = dict.fromkeys(fact.node.unit.model for fact in facts.units.values())
    models |= dict.fromkeys(extender.model for link in facts.network.links for extender in link.chain)
    if most is not None and len(models) > most:
        yield error("kit", f"It has {len(models)} models ({listed(models)}); max_models is {most}.")
