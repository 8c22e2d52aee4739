"""Which outdoor runs an extra named for surge covers, by what it is counted by and for: the others are pointed out."""

import pytest
from good_kit import Case

FAR, FEED, CAMS = "far", "mast-1", "cam.1, cam.2, cam.3"
NONE: dict[str, str] = {}


@pytest.mark.parametrize(
    ("per", "for_", "bare"),
    [
        ("run", "", NONE), ("run", "cat6", NONE), ("run", "camera", {"hut": FEED}),
        ("run", "light", {"hut": f"{FAR}, {FEED}", "mast": CAMS}), ("run", "ext", {"hut": FEED, "mast": CAMS}),
        ("run", "inj90", {"hut": FEED, "mast": CAMS}), ("run", "core", {"hut": FAR, "mast": CAMS}),
        ("run", "mast switch", {"hut": f"{FAR}, {FEED}"}),
        ("device", "", {"hut": FEED}), ("device", "camera", {"hut": FEED}), ("device", "core", {"hut": f"{FAR}, {FEED}", "mast": CAMS}),
        ("device", "inj90", {"hut": FEED, "mast": CAMS}),
        ("device", "mast switch", {"hut": f"{FAR}, {FEED}"}),
        ("extender", "", {"hut": FEED, "mast": CAMS}), ("extender", "ext", {"hut": FEED, "mast": CAMS}),
        ("extender", "camera", {"hut": FEED, "mast": CAMS}), ("extender", "light", {"hut": f"{FAR}, {FEED}", "mast": CAMS}),
        ("port", "", NONE), ("port", "core", {"mast": CAMS}), ("port", "inj90", {"hut": FEED, "mast": CAMS}),
        ("port", "camera", {"hut": FEED}),
        ("unit", "camera", {"hut": f"{FAR}, {FEED}", "mast": CAMS}), ("unit", "core", {"mast": CAMS}),
        ("unit", "mast switch", {"hut": f"{FAR}, {FEED}"}), ("place", "", NONE),
    ],
)  # fmt: skip
def test_runs_outdoors_that_no_surge_extra_covers(per: str, for_: str, bare: dict[str, str]) -> None:
    """Outdoors lead: far (on an injector and a core, three extenders), the feed of the mast (from the core), three cameras on the mast."""
    case = Case()
    case.catalog["extras"] = [{"item": "Surge guard", "price": 5, "per": per, **({"for": for_} if for_ else {})}]
    told = {one.where: one.message for one in case.remarks().get("surge", [])}
    assert told == {
        f"place {place}": f"Copper runs lead outdoors to {names}, and no extra named for surge covers them: "
        "add surge protection and bonding to local code."
        for place, names in bare.items()
    }


@pytest.mark.parametrize(("item", "bare"), [("bracket", True), ("SURGE arrester", False), ("against surges", False)])
def test_only_an_extra_named_for_surge_counts(item: str, bare: bool) -> None:
    case = Case()
    case.catalog["extras"] = [{"item": item, "price": 5, "per": "run"}]
    assert ("surge" in case.remarks()) is bare


@pytest.mark.parametrize(("code", "bare"), [("IP63", False), ("IP64", True)])
def test_outdoors_begins_at_splashing_water(code: str, bare: bool) -> None:
    """With nothing else outdoors: a run whose path must bear IPX3 is indoors, IPX4 outdoors."""
    case = Case()
    case.catalog["extras"] = []
    case.place("mast")["ip"] = "IP20"
    case.device("far")["path_ip"] = code
    assert ("surge" in case.remarks()) is bare
