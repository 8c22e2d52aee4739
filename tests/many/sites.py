"""A folder of invented sites, each the small site of the reading tests under another name and with other devices."""

from pathlib import Path

SWITCHES = "model,price,budget_w,part_no\nplain,100,120,P-1\nsmall,40,31,P-2\n"
PORTS = "model,group,count,port_w\nplain,all,8,30\nsmall,all,2,15.4\n"
DEVICES = "device,count,watts,place,run_m\ncam,{count},{watts},hall,30\n"


def write_sites(folder: Path, **devices: tuple[int, float]) -> Path:
    """A site of each name with so many devices of so many watts, beside the catalog they share; gives the folder of the sites."""
    catalog, sites = folder / "catalog", folder / "sites"
    catalog.mkdir(parents=True)
    (catalog / "switches.csv").write_text(SWITCHES)
    (catalog / "ports.csv").write_text(PORTS)
    for name, (count, watts) in devices.items():
        (sites / name).mkdir(parents=True)
        (sites / name / "scenario.toml").write_text(f'title = "Site {name} (invented)"\ncatalog = "../../catalog"\n')
        (sites / name / "devices.csv").write_text(DEVICES.format(count=count, watts=watts))
    return sites
