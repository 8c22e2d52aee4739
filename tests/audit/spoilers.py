"""Ways to spoil the good kit or its site, each with the rule that must be reported."""

from collections.abc import Callable
from copy import deepcopy

from good_kit import Case

Spoiler = Callable[[Case], object]


def _drop_device(case: Case) -> None:
    case.kit["connections"].remove(case.row("reader.2"))


def _double_device(case: Case) -> None:
    case.kit["connections"].append({**deepcopy(case.row("reader.2")), "port": 3})


def _strange_device(case: Case) -> None:
    case.kit["connections"].append({**deepcopy(case.row("reader.2")), "device": "nobody", "port": 3})


def _strange_supply(case: Case) -> None:
    case.unit("hut-1")["supplies"].append("none such")


def _double_unit(case: Case) -> None:
    case.kit["units"].append(deepcopy(case.unit("shop-1")))


def _injector_port_twice(case: Case) -> None:
    case.row("reader.1").update(group="data", port=2, injector={"unit": "hut-2", "port": 1})


def _injector_elsewhere(case: Case) -> None:
    case.unit("hut-2")["place"] = "shop"


def _data_port_of_injector(case: Case) -> None:
    case.row("far").update(unit="hut-2", injector=None)


def _switch_as_injector(case: Case) -> None:
    case.row("far")["injector"] = {"unit": "hut-1", "port": 1}


def _fed_mains_switch(case: Case) -> None:
    case.unit("shop-1")["fed_by"] = {"unit": "hut-1", "group": "strong", "port": 3}


def _second_mast(case: Case) -> None:
    """A switch on the mast that is fed from the first one."""
    feed = {"unit": "mast-1", "group": "out", "port": 4}
    case.kit["units"].append({**deepcopy(case.unit("mast-1")), "unit": "mast-2", "fed_by": feed})
    case.scenario["runs"].append({"from": "mast", "to": "mast", "run_m": 1})


def two_in_a_row(case: Case) -> None:
    """A second switch behind the one on the mast, with one of its cameras: class 5 carries both, 40 x 0.9 - 3 = 33 W for 14 + 15.4 W."""
    case.model("switches", "mast switch")["own_w"] = 3
    case.group("out")["port_mbps"] = 1000
    _second_mast(case)
    case.rules["max_cascade"] = 2
    case.row("cam.3").update(unit="mast-2", port=1)


def _two_in_a_row_on_class_4(case: Case) -> None:
    """25.5 x 0.9 - 3 = 19.95 W for the two cameras of the first one, and class 3 for the second."""
    two_in_a_row(case)
    case.unit("mast-1")["fed_by"]["class"] = 4


def _uplink_of_two_in_a_row(case: Case) -> None:
    """70 % of 17 Mb/s are 11.9; the camera behind the second switch passes the first one too: 3 x 4 Mb/s."""
    two_in_a_row(case)
    case.model("switches", "mast switch")["uplink_mbps"] = 17


def _circle(case: Case) -> None:
    _second_mast(case)
    case.unit("mast-1")["fed_by"] = {"unit": "mast-2", "group": "out", "port": 1}


def _fed_from_shop(case: Case) -> None:
    case.unit("mast-1")["fed_by"] = {"unit": "shop-1", "group": "all", "port": 3}


def _device_to_shop(case: Case) -> None:
    case.row("light").update(place="shop", unit="shop-1", group="all", port=3)


def _thin_cable(case: Case, device: str) -> None:
    case.device(device)["cable"] = "thin"


def _two_extenders(case: Case) -> None:
    case.row("far")["extenders"].pop()


def _four_extenders(case: Case) -> None:
    case.row("far")["extenders"].append({"model": "ext"})
    case.rules["max_extenders"] = 6


def _extender_elsewhere(case: Case) -> None:
    case.row("far")["extenders"] = [{"model": "ext", "at_m": at} for at in (100, 200, 290)]


def _hot(case: Case) -> None:
    case.rules.update(derate_reach=True, cable_c=45)
    case.device("light")["run_m"] = 95


def _long_line(case: Case) -> None:
    """A line past its collapse: 12.9 W at 44 V over 450 m of 28 AWG, where at most 44 x 44 / (4 x 96) = 5 W arrive."""
    _thin_cable(case, "phone")
    case.device("phone")["run_m"] = 450
    case.device("phone").update(watts=12.9)
    case.device("phone").pop("class")


def _weak_ports(case: Case) -> None:
    case.group("plain")["port_w"] = 6


def _draws_too_much(case: Case) -> None:
    """More than the port gives though its class fits: 12.95 W at 44 V behind 22 ohm (90 m of 28 AWG at 60 C) take over 15.4 W."""
    case.device("phone").update({"class": 3, "watts": 12.95, "cable": "thin", "run_m": 90, "min_volts": 30})
    case.rules["cable_c"] = 60


def _too_much_current(case: Case) -> None:
    """More than 0.35 A: 12.95 W at 44 V behind 27 ohm."""
    case.device("phone").update({"class": 3, "watts": 12.95, "cable": "thin", "run_m": 100, "min_volts": 30})
    case.rules["cable_c"] = 90


def _bundle(case: Case, cables: int, amps: float) -> None:
    case.catalog["bundles"] = [{"awg": 23, "cables_up_to": 10, "amps_per_conductor": amps}]
    case.device("light")["bundle"] = cables


def _uplink(case: Case) -> None:
    """The cameras on the mast pass the hut's uplink too."""
    case.device("cam")["mbps"] = 90
    case.model("switches", "core")["uplink_mbps"] = 390


def _critical(case: Case) -> None:
    case.device("reader")["priority"] = "critical"
    case.device("far")["priority"] = "critical"
    case.rules["max_critical_share_pct"] = 50


def _two_more_desks(case: Case) -> None:
    case.scenario["owned"][0].update(count=3)


def _idle_injector(case: Case) -> None:
    case.kit["units"].append({"unit": "hut-3", "model": "inj90", "place": "hut"})


def _redundant(case: Case) -> None:
    case.rules["redundant_supplies"] = True


def _one_supply(case: Case) -> None:
    case.unit("hut-1")["supplies"].pop()
    _redundant(case)


def _battery_on_mast(case: Case) -> None:
    case.state_everything()
    case.kit["lines"].append({"kind": "backup", "model": "ups", "place": "mast", "count": 1, "unit_cost": 300, "cost": 300})


def _battery_nowhere(case: Case) -> None:
    _battery_on_mast(case)
    case.line("backup", "ups")["place"] = "moon"


def _battery_in_rack(case: Case) -> None:
    _battery_on_mast(case)
    case.line("backup", "ups")["place"] = "hut"
    case.model("backups", "ups")["rack_u"] = 4


def _backup(case: Case, minutes: int, batteries: int) -> None:
    """The cameras on the mast are held by the hut, which takes 195.6 W from the mains."""
    case.device("cam")["backup"] = True
    case.rules["backup_minutes"] = minutes
    case.state_everything()
    if batteries:
        _battery_in_rack(case)
        case.line("backup", "ups").update(count=batteries, cost=300 * batteries)


def _owned_supply(case: Case) -> None:
    case.state_everything()
    case.line("supply", "dc240").update(unit_cost=0, cost=0)


def _stated(what: str, name: str, **figures: object) -> Spoiler:
    def spoil(case: Case) -> None:
        case.state_everything()
        part = case.unit(name) if what == "unit" else case.row(name)
        part.update(figures)

    return spoil


def _lines(kind: str, model: str, **figures: object) -> Spoiler:
    def spoil(case: Case) -> None:
        case.state_everything()
        case.line(kind, model).update(figures)

    return spoil


def _cost(case: Case) -> None:
    case.state_everything()
    case.kit["cost"] = 1993.01


def _missing_line(case: Case) -> None:
    case.state_everything()
    case.kit["lines"].remove(case.line("extra", "surge protector"))


def _needless_line(case: Case) -> None:
    case.state_everything()
    case.kit["lines"].append({"kind": "injector", "model": "inj90", "place": "shop", "count": 1, "unit_cost": 60, "cost": 60})


SPOILERS: list[tuple[str, str, Spoiler]] = [
    ("number", "a figure that is not a number", _stated("unit", "hut-1", budget_w=float("nan"))),
    ("number", "an infinite cost of a line", _lines("cable", "cat6", cost=float("inf"))),
    ("device", "no connection", _drop_device),
    ("device", "two connections", _double_device),
    ("device", "no such device", _strange_device),
    ("unit", "plugged into no unit", lambda case: case.row("light").update(unit="hut-9")),
    ("unit", "unknown model", lambda case: case.unit("hut-2").update(model="none such")),
    ("unit", "unknown supply", _strange_supply),
    ("unit", "two of a name", _double_unit),
    ("known place", "unit nowhere", lambda case: case.unit("shop-1").update(place="moon")),
    ("known place", "battery nowhere", _battery_nowhere),
    ("port", "used twice", lambda case: case.row("reader.2").update(port=1)),
    ("port", "used by a device and a feed", lambda case: case.row("light").update(port=2)),
    ("port", "used by a device and a data lead", lambda case: case.row("reader.1").update(group="data", port=1)),
    ("port", "injector port used twice", _injector_port_twice),
    ("port", "no such port", lambda case: case.row("light").update(port=5)),
    ("port", "port 0", lambda case: case.row("light").update(port=0)),
    ("port", "no such group", lambda case: case.row("light").update(group="none such")),
    ("port", "no such injector port", lambda case: case.row("far")["injector"].update(port=2)),
    ("injector", "in another place", _injector_elsewhere),
    ("injector", "data from an injector", _data_port_of_injector),
    ("injector", "a switch as injector", _switch_as_injector),
    ("feed", "not fed", lambda case: case.unit("mast-1").update(fed_by=None)),
    ("feed", "mains switch fed", _fed_mains_switch),
    ("cascade", "too deep", _second_mast),
    ("cascade", "in a circle", _circle),
    ("cascade", "fed by itself", lambda case: case.unit("mast-1")["fed_by"].update(unit="mast-1", group="out", port=4)),
    ("cascade", "none allowed", lambda case: case.rules.update(max_cascade=0)),
    ("place", "no run there", _device_to_shop),
    ("place", "not where its unit stands", lambda case: case.row("reader.1").update(place="shop")),
    ("place", "no run for the feed", _fed_from_shop),
    ("route", "wrong length", lambda case: case.row("light").update(run_m=49.99)),
    ("route", "slack left out", lambda case: (case.rules.update(run_slack_pct=10), case.row("light").update(run_m=50))),
    ("route", "wrong cable", lambda case: case.row("light").update(cable="thin")),
    ("speed", "slow cable", lambda case: (_thin_cable(case, "cam"), case.device("cam").update(port_mbps=1000))),
    ("speed", "slow extender", lambda case: case.model("extenders", "ext").update(port_mbps=10)),
    ("speed", "slow injector", lambda case: case.model("injectors", "inj90").update(port_mbps=10)),
    ("speed", "slow port above a fed switch", lambda case: case.group("strong").update(port_mbps=100)),
    ("copper-clad aluminium", "not allowed", lambda case: case.device("reader").update(cable="clad")),
    ("span", "too long", lambda case: case.device("light").update(run_m=100.5)),
    ("span", "an extender too few", _two_extenders),
    ("heat-reduced reach", "too hot", _hot),
    ("extender", "unknown model", lambda case: case.row("far")["extenders"].append({"model": "none such"})),
    ("extender count", "too many allowed", lambda case: case.rules.update(max_extenders=2)),
    ("extender count", "more than needed", _four_extenders),
    ("extender position", "elsewhere", _extender_elsewhere),
    ("extender path", "too cold", lambda case: case.device("far").update(path_low_c=-50)),
    ("extender path", "too wet", lambda case: case.device("far").update(path_ip="IP67")),
    ("extender class", "draws too much", lambda case: case.model("extenders", "ext").update(in_class=4)),
    ("extender output", "gives too little", lambda case: case.model("extenders", "ext").update(port_w=30)),
    ("operating point", "collapses", _long_line),
    ("class", "weak port", _weak_ports),
    ("class", "data-only port", lambda case: case.row("light").update(group="data", port=2)),
    ("class", "wrong class stated", lambda case: case.row("light").update({"class": 5})),
    ("class", "weak injector", lambda case: case.model("injectors", "inj90").update(port_w=30)),
    ("port watts", "draws more than the port gives", _draws_too_much),
    ("pairs", "two-pair cable", lambda case: _thin_cable(case, "light")),
    ("volts", "device", lambda case: case.device("light").update(min_volts=51)),
    ("volts", "extender", lambda case: case.model("extenders", "ext").update(min_volts=54)),
    ("volts", "fed switch", lambda case: case.model("switches", "mast switch").update(min_volts=52)),
    ("pairset current", "too much", _too_much_current),
    ("bundle", "too much current", lambda case: _bundle(case, 10, 0.2)),
    ("bundle", "too many cables", lambda case: _bundle(case, 11, 2)),
    ("fed class", "above in_class", lambda case: case.unit("mast-1")["fed_by"].update({"class": 7})),
    ("fed class", "no such class", lambda case: case.unit("mast-1")["fed_by"].update({"class": 9})),
    ("fed class", "less than its own draw", lambda case: case.unit("mast-1")["fed_by"].update({"class": 1})),
    ("group watts", "too much", lambda case: case.group("strong").update(group_w=104.999)),
    ("budget", "supplies too small", lambda case: case.unit("hut-1").update(supplies=["dc120"])),
    ("budget", "spare watts", lambda case: case.rules.update(spare_watts_pct=60.34)),
    ("budget", "class too small for the fed switch", lambda case: case.unit("mast-1")["fed_by"].update({"class": 4})),
    ("budget", "a switch behind a switch", _two_in_a_row_on_class_4),
    ("budget", "the largest supply does not count", lambda case: (_redundant(case), case.device("far").update(watts=24))
     and case.unit("hut-1").update(supplies=["dc120", "dc120"])),
    ("supplies", "none", lambda case: case.unit("hut-1").update(supplies=[])),
    ("supplies", "one where two are needed", _one_supply),
    ("supplies", "too many", lambda case: case.unit("hut-1")["supplies"].append("dc120")),
    ("supplies", "do not fit", lambda case: case.unit("hut-1").update(supplies=["ac500"])),
    ("supplies", "on a mains switch", lambda case: case.unit("shop-1").update(supplies=["dc120"])),
    ("supplies", "less than the switch itself", lambda case: case.model("switches", "core").update(own_w=400)),
    ("uplink", "through a cascade", _uplink),
    ("uplink", "of the first of two in a row", _uplink_of_two_in_a_row),
    ("critical share", "all on one", _critical),
    ("spare ports", "too few free", lambda case: case.rules.update(spare_ports_pct=70)),
    ("mains", "injector on the mast", lambda case: case.unit("hut-2").update(place="mast")),
    ("mains", "battery on the mast", _battery_on_mast),
    ("rack", "too small", lambda case: case.place("hut").update(rack_u=3.9)),
    ("rack", "battery", _battery_in_rack),
    ("outlets", "too few", lambda case: case.place("hut").update(outlets=2)),
    ("circuit", "too small", lambda case: case.place("hut").update(circuit_a=1)),
    ("ip", "switch", lambda case: case.place("hut").update(ip="IP21")),
    ("ambient", "supply", lambda case: case.model("supplies", "dc120").update(high_c=39)),
    ("ambient", "unstated", lambda case: case.place("shop").update(low_c=-10)),
    ("backup", "none", lambda case: _backup(case, 30, 0)),
    ("backup", "too little energy", lambda case: _backup(case, 89, 1)),
    ("max models", "too many", lambda case: case.rules.update(max_models=4)),
    ("owned", "more than there are", lambda case: case.unit("hut-1").update(owned=True)),
    ("owned", "in another place", lambda case: case.scenario["owned"][0].update(place="hut")),
    ("owned", "supply at no price", _owned_supply),
    ("lines", "missing", _missing_line),
    ("lines", "needless", _needless_line),
    ("lines", "wrong count", _lines("cable", "cat6", count=484, cost=871.2)),
    ("lines", "wrong price", _lines("switch", "core", unit_cost=200, cost=200)),
    ("lines", "does not multiply", _lines("extender", "ext", unit_cost=80)),
    ("lines", "owned switch paid for", _lines("switch", "desk", unit_cost=120, cost=120)),
    ("cost", "a cent off", _cost),
    ("cost", "lines do not add up", _lines("place", "opening", cost=39.99)),
    ("cost", "another currency", lambda case: case.kit.update(currency="XTS")),
    ("unit figures", "budget", _stated("unit", "hut-1", budget_w=299.999)),
    ("unit figures", "reserved", _stated("unit", "mast-1", reserved_w=21.001)),
    ("unit figures", "draw", _stated("unit", "hut-1", draw_w=1)),
    ("unit figures", "heat", _stated("unit", "shop-1", heat_w=9.776)),
    ("unit figures", "mains", _stated("unit", "hut-1", mains_w=143.335)),
    ("unit figures", "traffic", _stated("unit", "hut-1", traffic_mbps=8)),
    ("connection figures", "port", _stated("connection", "light", port_w=60)),
    ("connection figures", "reserved", _stated("connection", "light", reserved_w=59.999)),
    ("connection figures", "draw at the port", _stated("connection", "light", pse_w=51)),
    ("connection figures", "draw of the device", _stated("connection", "reader.1", pd_w=5.001)),
    ("connection figures", "volts", _stated("connection", "light", pd_volts=50)),
    ("connection figures", "amps", _stated("connection", "light", amps=1)),
    ("connection figures", "loss", _stated("connection", "light", loss_w=0)),
]  # fmt: skip


def _nothing(_: Case) -> None:
    """The good kit has three extenders in a run already."""


def _headroom(case: Case) -> None:
    case.model("switches", "core")["budget_w"] = 132


def _phone_watts_only(case: Case) -> None:
    case.device("phone").pop("class")


def _four_injectors(case: Case) -> None:
    case.kit["units"] += [{"unit": f"more-{number}", "model": "inj90", "place": "hut"} for number in range(3)]


def _surge_for_cams_only(case: Case) -> None:
    case.catalog["extras"][0]["for"] = "camera"


def _free_alternative(case: Case) -> None:
    case.scenario["runs"][1]["existing"] = 2


def _hot_span(case: Case) -> None:
    _hot(case)
    case.rules["derate_reach"] = False
    case.kit["connections"].remove(case.row("far"))


def _strong_light(case: Case) -> None:
    case.device("light")["class"] = 8


def _clad(case: Case) -> None:
    case.rules["allow_cca"] = True
    case.device("reader")["cable"] = "clad"


REMARKS: list[tuple[str, str, str, Spoiler]] = [
    ("headroom", "warning", "unit hut-1", _headroom),
    ("extenders in a row", "warning", "device far", _nothing),
    ("single injectors", "warning", "place hut", _four_injectors),
    ("surge", "warning", "place hut", _surge_for_cams_only),
    ("free cable", "note", "device reader", _free_alternative),
    ("clad copper in use", "warning", "cable clad", _clad),
    ("assumed class", "note", "device phone", _phone_watts_only),
    ("hot span", "warning", "device light", _hot_span),
    ("conductor current", "warning", "device light", _strong_light),
    ("second failure", "note", "unit hut-1", _redundant),
    ("already there", "note", "place shop", _two_more_desks),
    ("cable already there", "note", "place shop", _nothing),
    ("idle unit", "note", "unit hut-3", _idle_injector),
]
