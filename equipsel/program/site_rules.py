"""Rules of the whole site, and the objectives that decide between kits of the same cost."""

from equipsel.feeds.fed import FedBuild
from equipsel.program.counts import any_of, run_of
from equipsel.program.model import Model
from equipsel.program.rows import Terms, Variable


def models_in_kit(model: Model) -> dict[str, Variable]:
    """A binary variable a model of switch, injector or extender: one where the kit has any."""
    counts: dict[str, list[tuple[Variable, int]]] = {}
    for item in model.bins:
        counts.setdefault(item.build.model.model, []).append((item.count, item.most))
    for plug in model.plugs:
        run = run_of(model, plug)
        for extender in run[1].chain if run else ():
            counts.setdefault(extender.model, []).append((plug.count, max(model.demand.values())))
    return {name: any_of(model, f"model_{name}", used) for name, used in counts.items()}


def define_max_models(model: Model) -> None:
    """Different models of switch, injector and extender <= max_models."""
    most = model.site.rules.max_models
    if most is not None:
        model.rows.at_most("site-max_models", [(1, chosen) for chosen in models_in_kit(model).values()], most)


def port_watts(model: Model) -> Terms:
    """The first tie: W of the ports in use, for data too (a weaker sufficient port is better), in tenths of a watt."""
    return [(round(plug.ports.head.port_w * 10), plug.count) for plug in model.plugs]


def fewest(model: Model) -> Terms:
    """The ties after it: fewer units, fewer models, the rows that stand first in the catalog's tables, lower classes fed."""
    rank = _ranks(model)
    models = models_in_kit(model)
    supplies = max((len(item.build.supplies) for item in model.bins), default=0)
    late = 1 + 10 * (1 + max(rank.values(), default=0) * (1 + supplies)) * sum(model.demand.values())
    more = late * (1 + len(rank) + len(model.site.catalog.extenders))
    terms: Terms = [(more, item.count) for item in model.bins]
    terms += [(late, chosen) for chosen in models.values()]
    for item in model.bins:
        order = rank[item.build.model.model] + sum(rank[supply.model] for supply in item.build.supplies)
        terms.append((10 * order + (item.build.class_ if isinstance(item.build, FedBuild) else 0), item.count))
    return terms


def _ranks(model: Model) -> dict[str, int]:
    catalog = model.site.catalog
    rows = [*catalog.switches, *catalog.supplies, *catalog.injectors]
    return {row.model: rank for rank, row in enumerate(rows)}
