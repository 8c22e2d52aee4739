"""The one table of rules: name, and the function that checks it. Findings are reported in this order."""

from collections.abc import Callable, Iterator
from types import MappingProxyType

from equipsel.audit import check_cost as cost
from equipsel.audit import check_lines as lines
from equipsel.audit import check_places as places
from equipsel.audit import check_practice as practice
from equipsel.audit import check_reuse as reuse
from equipsel.audit import check_runs as runs
from equipsel.audit import check_structure as structure
from equipsel.audit import check_units as units
from equipsel.audit.facts import Facts
from equipsel.audit.words import Found

Check = Callable[[Facts], Iterator[Found]]

CHECKS = MappingProxyType[str, Check](
    {
        "number": structure.check_numbers,
        "device": structure.check_devices,
        "unit": structure.check_units,
        "known place": places.check_known_places,
        "port": structure.check_ports,
        "injector": structure.check_injectors,
        "feed": structure.check_feeds,
        "cascade": structure.check_cascade,
        "place": structure.check_places_of_lines,
        "route": structure.check_routes,
        "speed": lines.check_speed,
        "copper-clad aluminium": lines.check_copper,
        "span": runs.check_spans,
        "heat-reduced reach": runs.check_hot_reach,
        "extender": runs.check_extender_models,
        "extender count": runs.check_extender_count,
        "extender position": runs.check_extender_positions,
        "extender path": runs.check_path,
        "extender class": lines.check_extender_input,
        "extender output": lines.check_extender_output,
        "operating point": lines.check_operating_point,
        "class": lines.check_class,
        "port watts": lines.check_port_watts,
        "pairs": lines.check_pairs,
        "volts": lines.check_min_volts,
        "pairset current": lines.check_pairset,
        "bundle": lines.check_bundle,
        "fed class": units.check_fed_class,
        "group watts": units.check_group_watts,
        "budget": units.check_budget,
        "supplies": units.check_supplies,
        "uplink": units.check_uplink,
        "critical share": units.check_critical_share,
        "spare ports": places.check_spare_ports,
        "mains": places.check_mains,
        "rack": places.check_rack,
        "outlets": places.check_outlets,
        "circuit": places.check_circuit,
        "ip": places.check_ip,
        "ambient": places.check_ambient,
        "backup": places.check_backup,
        "max models": units.check_max_models,
        "owned": units.check_owned,
        "lines": cost.check_lines,
        "cost": cost.check_cost,
        "unit figures": cost.check_stated_units,
        "connection figures": cost.check_stated_connections,
        "headroom": practice.check_headroom,
        "extenders in a row": practice.check_long_chains,
        "single injectors": practice.check_single_injectors,
        "surge": practice.check_surge,
        "free cable": practice.check_free_cable,
        "clad copper in use": practice.check_clad_copper,
        "assumed class": practice.check_assumed_class,
        "hot span": practice.check_heat_reach,
        "conductor current": practice.check_conductor,
        "second failure": practice.check_second_failure,
        "already there": reuse.check_already_there,
        "cable already there": reuse.check_cables_already_there,
        "idle unit": practice.check_idle_units,
    }
)
