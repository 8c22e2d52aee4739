"""Kits that reports are made of: the scenarios that come with the tool, a crowd, and a site whose every text is hostile."""

from decimal import Decimal
from functools import cache
from pathlib import Path

from crowd import crowd

from equipsel.catalog import Cable, Catalog, Extender, Extra, Injector, PortGroup, Supply, Switch
from equipsel.files import read_site
from equipsel.kit import Binding, Cheaper, DeviceReason, Finding, Kit, LineReason, Severity, Why
from equipsel.scenario import Device, Place, Rules, Run, Scenario
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit

SCENARIOS = Path(__file__).parents[2] / "scenarios"

HOSTILE = (
    "<script>alert(1)</script>",
    "</style><img src=x onerror=alert(1)>",
    "\"'><svg onload=alert(1)>",
    "]]><!--",
    "&lt;&amp;&#60;",
    "\u202egnp.exe\u2066",
    "\u200f\u05d0\u05d1\u05d2",
    "nul\x00bell\x07escape\x1b[31m",
    "\U0001f469\u200d\U0001f527 \u0301\u0301\u0301",
    "javascript:alert(1)",
    "{{7*7}}${7*7}",
    "W" * 150,
    "\ufffe\uffff",
    "=cmd|'/c calc'!A1",
)
"""Texts that try to leave the place they stand in: markup, quotes, ends of data, turned or unseen letters, very long words."""


def odd(number: int) -> str:
    """A name with a hostile text in it."""
    return f"n{number} {HOSTILE[number % len(HOSTILE)]}"


def all_odd(prefix: str) -> str:
    """Every hostile text in one."""
    return prefix + " ".join(HOSTILE)


@cache
def scenario_case(name: str) -> tuple[Kit, Site]:
    """A scenario that comes with the tool and a kit for it; of the school one that is soon found."""
    site = read_site(SCENARIOS / name)
    gap = Decimal("0.1") if name == "school" else None
    return cheapest_kit(site.scenario, site.catalog, Limits(gap=gap)), site


@cache
def hostile_case() -> tuple[Kit, Site]:
    """A solved kit of everything there is, with a hostile text in every place for a text."""
    site = Site(_scenario(), _catalog())
    kit = cheapest_kit(site.scenario, site.catalog, Limits(time_limit_s=30))
    remarks = tuple(
        Finding(rule=odd(at), severity=severity, where=odd(at + 1), message=all_odd("")) for at, severity in enumerate(Severity)
    )
    return kit.model_copy(update={"findings": remarks, "why": _why(), "tool_version": all_odd("v"), "inputs_sha256": odd(3)}), site


def _carried(number: int) -> tuple[tuple[str, str], ...]:
    names = ("part_no", "supplier", "label", "note", f"note {odd(number)}")
    return tuple((name, odd(number + at)) for at, name in enumerate(names))


def _scenario() -> Scenario:
    far = odd(3)
    return Scenario(
        title=all_odd("title "),
        currency=odd(2),
        rules=Rules(spare_watts_pct=Decimal(5)),
        places=(Place(place=odd(0), carried=_carried(0)), Place(place=odd(1), mains=False)),
        devices=(
            *(
                Device(
                    device=f"{odd(at)}.dev", kind=odd(at + 1), watts=Decimal(6), place=odd(0), run_m=Decimal(20 + at), carried=_carried(at)
                )
                for at in range(14)
            ),
            Device(device=far, count=2, kind=odd(5), watts=Decimal(7), place=odd(0), run_m=Decimal(180)),
            Device(device=odd(4), watts=Decimal(60), class_=8, place=odd(0), run_m=Decimal(30), bundle=12),
            Device(device=odd(6), watts=Decimal(5), place=odd(1), run_m=Decimal(9)),
        ),
        runs=(Run(from_=odd(1), to=odd(0), run_m=Decimal(40), carried=_carried(2)),),
    )


def _catalog() -> Catalog:
    return Catalog(
        switches=(
            Switch(model=odd(7), price=Decimal(300), feed="supply", supply_fit=odd(8), carried=_carried(7)),
            Switch(model=odd(9), price=Decimal(90), feed="port", in_class=4),
        ),
        ports=(
            PortGroup(model=odd(7), group=odd(10), count=20, port_w=Decimal(30), carried=_carried(9)),
            PortGroup(model=odd(7), group=odd(11), count=2, port_w=Decimal(0)),
            PortGroup(model=odd(9), group=odd(12), count=3, port_w=Decimal("15.4")),
        ),
        supplies=(Supply(model=odd(13), price=Decimal(60), fit=odd(8), watts=Decimal(400)),),
        injectors=(Injector(model=odd(14), price=Decimal(65), ports=1, port_w=Decimal(90)),),
        extenders=(Extender(model=odd(15), price=Decimal(80), own_w=Decimal(2), in_class=4, port_w=Decimal(20)),),
        cables=(Cable(model=odd(16), price_per_m=Decimal("0.8"), awg=23, carried=_carried(11)),),
        extras=(Extra(item=odd(17), price=Decimal(2), per="port", carried=_carried(12)),),
    )


def _why() -> Why:
    return Why(
        lines=(LineReason(model=odd(0), place=odd(1), kind=odd(2), text=odd(3), without_cost=12.5, without_text=odd(4)),
               LineReason(model=odd(0), kind=odd(2), text=odd(3), without_text=odd(4))),
        binding=(Binding(where=odd(5), what=odd(6), used=90, limit=100, unit=odd(7), pct=90),),
        devices=(DeviceReason(device=odd(8), text=odd(9)),),
        cheaper=(Cheaper(request=odd(10), saves=3.25, exact=False, text=odd(11)),),
        odd=(odd(12), odd(13)),
        complete=False,
    )  # fmt: skip


CASES = {
    "workshop": lambda: scenario_case("workshop"),
    "yard": lambda: scenario_case("yard"),
    "school": lambda: scenario_case("school"),
    "hostile": hostile_case,
    "crowd": lambda: crowd(400),
}
