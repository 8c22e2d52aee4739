"""Everything that is asked about a site that grows, worked out on several processes; Ctrl-C keeps what is done."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import singledispatch
from typing import Any

from equipsel.growth.plans import How, Plan, Terms, by_stage, once, planned
from equipsel.growth.points import Curve, CurveQuestion
from equipsel.growth.reach import Reach, ReachTask, reach, reach_tasks
from equipsel.growth.search import ReasonsTask, SearchTask, reasons, searched
from equipsel.growth.stages import Stage, Stages
from equipsel.growth.traces import Traces
from equipsel.kit import Kit
from equipsel.site import Site
from equipsel.solve import AuditFailed, Limits, cheapest_kit
from equipsel.sweep import PATIENCE_S, sweep
from equipsel.workers import Workers, Workplace


@dataclass(frozen=True)
class Asked:
    """What is asked: the stages, the same stages under each change (by its words), curves, whether today's reach; when to stop."""

    stages: Stages
    variants: Mapping[str, tuple[Stage, ...]]
    curves: Sequence[CurveQuestion]
    reach: bool
    terms: Terms


@dataclass
class Study:
    """What is known so far. kits: the cheapest of each stage by its position; of each change by its words and position."""

    asked: Asked
    kits: dict[int, Kit] = field(default_factory=dict)
    changed: dict[tuple[str, int], Kit] = field(default_factory=dict)
    plans: dict[How, Plan] = field(default_factory=dict)
    reaches: dict[str, Reach] = field(default_factory=dict)
    curves: dict[int, Curve] = field(default_factory=dict)
    interrupted: bool = False

    @property
    def stages(self) -> tuple[Stage, ...]:
        """The stages asked for, today's first."""
        return self.asked.stages.stages

    @property
    def reachable(self) -> tuple[Stage, ...]:
        """The stages up to the first that has no kit."""
        found = []
        for at, stage in enumerate(self.stages):
            kit = self.kits.get(at)
            if kit is None or kit.cost is None:
                break
            found.append(stage)
        return tuple(found)

    @property
    def best(self) -> Plan | None:
        """The plan over all stages together, or the best one known."""
        known = [self.plans[how] for how in (How.TOGETHER, How.BY_STAGE, How.ONCE) if how in self.plans]
        return min(known, key=lambda one: one.rank, default=None)

    def kit(self, at: int) -> Kit | None:
        """The kit that is in use at a stage: of the best plan, else the cheapest of the stage."""
        plan = self.best
        return plan.kits[at] if plan is not None and at < len(plan.kits) else self.kits.get(at)


@dataclass(frozen=True)
class KitTask:
    """A site to solve; the words of its change (none: as it is), and the position of its stage."""

    change: str | None
    position: int
    site: Site
    terms: Terms


@dataclass(frozen=True)
class PlanTask:
    """A plan to make over some stages, from the cheapest kit of each and the plans known."""

    how: How
    sites: tuple[Site, ...]
    kits: tuple[Kit, ...]
    known: tuple[Plan, ...]
    terms: Terms


Tell = Callable[[int, int], None]


def study(asked: Asked, where: Workplace, tell: Tell | None = None) -> Study:
    """Work out everything on an executor (None: here); `tell` is told how many pieces are done, and of how many known by then."""
    found = Study(asked)
    done = 0
    try:
        with where as executor:
            for phase in (_first, _second, _third):
                done = _worked_through(found, phase(found), executor, done, tell)
            _traced(found, executor, done, tell)
    except KeyboardInterrupt:
        found.interrupted = True
    return found


def _worked_through(found: Study, tasks: list[Any], executor: Workers | None, before: int, tell: Tell | None) -> int:
    for done, (position, result) in enumerate(sweep(_worked_out, tasks, executor, patience_s=_patience_s(tasks)), 1):
        _keep(found, tasks[position], result)
        if tell:
            tell(before + done, before + len(tasks))
    return before + len(tasks)


def _patience_s(tasks: list[Any]) -> float:
    """A kit under way is handed over; other pieces are of many searches, and what they have by then says little."""
    return PATIENCE_S if all(isinstance(task, KitTask) for task in tasks) else 0.0


def _traced(found: Study, executor: Workers | None, before: int, tell: Tell | None) -> None:
    """The curves, search by search; what comes back counts at once, so that nothing of it is lost."""
    if found.kits[0].cost is None:
        return
    traces = Traces(found.asked.curves, found.kits[0], 1 if executor is None else executor.number)
    try:
        for done, (position, result) in enumerate(sweep(_worked_out, traces.tasks(), executor), before + 1):
            traces.take(position, result)
            if tell:
                tell(done, done + traces.left)
            if traces.over():
                _leave(traces.under_way, executor)
                break
    finally:
        found.curves = traces.curves()


def _leave(under_way: int, executor: Workers | None) -> None:
    """Do not wait for searches that are not needed any more."""
    if under_way and executor is not None:
        executor.stop()


def _first(found: Study) -> list[Any]:
    """The cheapest kit of every stage, as it is and under each change."""
    asked = found.asked
    tasks: list[Any] = [KitTask(None, at, stage.site, asked.terms) for at, stage in enumerate(found.stages)]
    return tasks + [KitTask(words, at, stage.site, asked.terms) for words, all_ in asked.variants.items() for at, stage in enumerate(all_)]


def _second(found: Study) -> list[Any]:
    """The two plans that need no program over all stages, and how far today's kit reaches."""
    tasks: list[Any] = [*_plans(found, How.BY_STAGE, How.ONCE)]
    if found.reachable and found.asked.reach:
        tasks += reach_tasks(found.stages[0].site, found.kits[0], found.asked.terms)
    return tasks


def _third(found: Study) -> list[Any]:
    return list(_plans(found, How.TOGETHER))


def _plans(found: Study, *hows: How) -> list[PlanTask]:
    stages = found.reachable
    if len(stages) < 2:
        return []
    sites, kits = tuple(stage.site for stage in stages), tuple(found.kits[at] for at in range(len(stages)))
    return [PlanTask(how, sites, kits, tuple(found.plans.values()), found.asked.terms) for how in hows]


def _keep(found: Study, task: Any, result: Any) -> None:
    if isinstance(task, KitTask):
        if task.change is None:
            found.kits[task.position] = result
        else:
            found.changed[task.change, task.position] = result
    elif isinstance(task, ReachTask):
        found.reaches[task.what] = result
    elif result is not None:
        found.plans[task.how] = result


def _worked_out(task: Any) -> Any:
    try:
        return _work(task)
    except AuditFailed as failed:
        raise RuntimeError(str(failed)) from None  # its kit does not travel between processes


@singledispatch
def _work(task: Any) -> Any:
    raise TypeError(f"{task!r} is no piece of a study of growth")


@_work.register
def _(task: KitTask) -> Kit:
    return cheapest_kit(task.site.scenario, task.site.catalog, Limits(task.terms.gap, task.terms.time_limit_s))


@_work.register
def _(task: PlanTask) -> Plan | None:
    if task.how is How.ONCE:
        return once(task.sites, task.kits[-1], task.terms)
    if task.how is How.BY_STAGE:
        return by_stage(task.sites, task.kits[0], task.terms)
    return planned(task.sites, task.kits, task.known, task.terms)


@_work.register
def _(task: ReachTask) -> Reach:
    return reach(task)


@_work.register
def _(task: SearchTask) -> Curve:
    return searched(task)


@_work.register
def _(task: ReasonsTask) -> tuple[str, ...]:
    return reasons(task)
