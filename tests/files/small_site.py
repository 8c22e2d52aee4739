"""An invented site of three devices, written to disk as its files; single files can be changed, added or left out (None)."""

from pathlib import Path

from equipsel.files import InputError, read_site
from equipsel.site import Site

CATALOG = {
    "switches.csv": """\
model,price,feed,budget_w,supply_fit,in_class,part_no
plain,100,mains,120,,,P-1
modular,150,supply,,rail,,
mast,90,port,,,6,
""",
    "ports.csv": "model,group,count,port_w\nplain,all,8,30\nmodular,all,4,90\nmast,out,4,15.4\n",
    "supplies.csv": "model,price,fit,watts\nrail240,60,rail,240\n",
    "cables.csv": "model,price_per_m,awg\ncat6,0.8,23\n",
}
SCENARIO = {
    "scenario.toml": 'title = "Invented kiosk"\ncatalog = "../catalog"\n\n[rules]\nspare_watts_pct = 20\n',
    "devices.csv": """\
device,kind,count,watts,class,place,run_m,label
cam,camera,2,12.5,3,hall,30,C1-C2
light,light,1,,4,hall,45.5,L1
clock,,1,0,,hall,5,
""",
}
OTHER_CATALOG_FILES = frozenset({"injectors.csv", "extenders.csv", "extras.csv", "backups.csv", "bundles.csv"})


def write_site(folder: Path, changes: dict[str, str | bytes | None] | None = None) -> Path:
    """Write the site below a folder with these files changed, and give the path of its scenario."""
    changes = changes or {}
    for where, files in (("catalog", CATALOG), ("site", SCENARIO)):
        (folder / where).mkdir(exist_ok=True)
        for name, text in files.items():
            if name not in changes:
                (folder / where / name).write_text(text)
    for name, content in changes.items():
        where = (
            "catalog"
            if name in CATALOG or name in {"injectors.csv", "extenders.csv", "extras.csv", "backups.csv", "bundles.csv"}
            else "site"
        )
        if content is not None:
            (folder / where / name).write_bytes(content.encode() if isinstance(content, str) else content)
    return folder / "site"


def read_changed(folder: Path, changes: dict[str, str | bytes | None] | None = None) -> Site:
    return read_site(write_site(folder, changes))


def problems_of(folder: Path, changes: dict[str, str | bytes | None]) -> list[str]:
    """Every message that the changed site gives."""
    try:
        read_changed(folder, changes)
    except InputError as error:
        return [str(problem) for problem in error.problems]
    return []
