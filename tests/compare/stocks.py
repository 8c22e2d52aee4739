"""Two small invented stocks and a site of seven cameras of class 0 (15.4 W reserved each), as tables.

By hand: `plain` (8 ports, 120 W) for 100, or four of `small` for 160; `core` for 50 and two supplies of 60 W for 40.
"""

from pathlib import Path

TABLES = {
    "mains/switches.csv": "model,price,budget_w,own_w\nplain,100,120,5\nsmall,40,31,2\n",
    "mains/ports.csv": "model,group,count,port_w\nplain,all,8,30\nsmall,all,2,15.4\n",
    "apart/switches.csv": "model,price,feed,supply_fit,supply_slots,own_w,rack_u\ncore,50,supply,dc,4,5,1\n",
    "apart/ports.csv": "model,group,count,port_w\ncore,all,8,15.4\n",
    "apart/supplies.csv": "model,price,fit,watts\nbrick,20,dc,60\n",
    "site/scenario.toml": 'title = "Seven cameras (invented)"\ncatalog = "../mains"\n',
    "site/devices.csv": "device,count,watts,place,run_m\ncam,7,5,hall,30\n",
}


def write_stocks(folder: Path) -> Path:
    """Write everything below a folder and give it back."""
    for name, text in TABLES.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    return folder
