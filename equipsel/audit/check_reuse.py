"""What is already there and what becomes of it: equipment and cables, used or left."""

from collections import Counter
from collections.abc import Iterator

from equipsel.audit.facts import Facts
from equipsel.audit.words import Found, listed, note, say


def check_already_there(facts: Facts) -> Iterator[Found]:
    """What of the equipment already there the kit uses, and what it does not."""
    used = Counter((unit.place, unit.model) for unit in facts.kit.units)
    used.update((unit.place, supply) for unit in facts.kit.units for supply in unit.supplies)
    there: Counter[tuple[str, str]] = Counter()
    for row in facts.site.scenario.owned:
        there[row.place, row.model] += row.count
    for (place, model), count in there.items():
        busy = min(count, used[place, model])
        left = f"; {count - busy} left unused" if busy < count else ""
        text = f"{busy} of {count} {model} already there {'is' if busy == 1 else 'are'} used{left}." if busy else ""
        yield note(f"place {place}", text or f"{count} of {count} {model} already there stay unused.")


def check_cables_already_there(facts: Facts) -> Iterator[Found]:
    """How many of the cables of each row of `runs` are used, and which devices keep the cable they have."""
    used = Counter(link.route.row for link in facts.network.links if link.route)
    for at, row in enumerate(facts.site.scenario.runs):
        if row.existing:
            busy = min(row.existing, used[at])
            left = f"; {row.existing - busy} left unused" if busy < row.existing else ""
            what = f"cables of {say(facts.rules.run_m(row.run_m))} m already there {'is' if busy == 1 else 'are'} used"
            yield note(f"run {row.from_} to {row.to}", f"{busy} of {row.existing} {what}{left}.")
    for place, devices in _keeping(facts).items():
        yield note(f"place {place}", f"The cables already there of {listed(devices)} are used.")


def _keeping(facts: Facts) -> dict[str, list[str]]:
    """Rows of devices on their own existing cable, by the place it leads to."""
    found: dict[str, list[str]] = {}
    for link in facts.network.links:
        if link.device and link.route and link.route.row is None and link.route.existing is None:
            names = found.setdefault(link.route.to, [])
            if link.device.device not in names:
                names.append(link.device.device)
    return found
