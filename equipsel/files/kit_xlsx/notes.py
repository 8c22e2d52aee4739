"""What the re-check found, and what a kit does not hold."""

from collections.abc import Iterator

from equipsel.console import CAUTIONS
from equipsel.files.kit_xlsx import names
from equipsel.files.schedules import Schedule
from equipsel.files.schedules.power import CORE
from equipsel.kit import Kit
from equipsel.workbook import Field, Sheet

NOT_INCLUDED = (
    (CORE, "routers, the core switch and its ports, internet access; see the uplinks below"),
    ("devices", "the powered devices themselves, their mounts and licences, unless `extras` lists them"),
    ("recorders and servers", "recording, storage and management software, unless they are devices or `extras`"),
    ("labour", "design, installing, setting up and testing beyond the install costs in the tables"),
    ("mains", "circuits, outlets, earthing and bonding"),
    ("paths", "trunking, conduit, racks, poles, masts, trenches and making good"),
    ("protection", "surge protection and fibre between buildings, unless `extras` lists them"),
    ("spares", "spare units, cords and cable beyond whole boxes and the slack in the rules"),
    ("tax, freight, permits", "sales tax, freight, permits and inspection"),
)
"""What such a kit leaves to others (common practice)."""


def findings_sheet(kit: Kit, title: str) -> Sheet:
    """One row for each finding."""
    fields = (Field("Severity"), Field("Rule"), Field("Where", width=30), Field("Finding", width=100))
    rows = [(finding.severity.value, finding.rule, finding.where, finding.message) for finding in kit.findings]
    return Sheet(names.FINDINGS, title, fields, rows)


def left_out_sheet(power: Schedule, title: str) -> Sheet:
    """What is not included, each uplink that others must land, and the cautions."""
    rows = [*(("not included", *row) for row in NOT_INCLUDED), *_uplinks(power), *(("caution", "", text) for text in CAUTIONS)]
    return Sheet(names.LEFT_OUT, title, (Field("Kind"), Field("What", width=30), Field("In words", width=100)), rows)


def _uplinks(power: Schedule) -> Iterator[tuple[str, str, str]]:
    at = power.columns.index
    for row in power.rows:
        if row[at("uplink_to")] == CORE:
            speed = f"{row[at('uplink_mbps')]:,} Mb/s, {row[at('traffic_mbps')]} Mb/s in use"
            yield "uplink to land", str(row[at("unit")]), f"a link of {speed}, from {row[at('place')]} to the {CORE}"
