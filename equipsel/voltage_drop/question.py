"""What is asked of one line, and what is wrong with the asking: every problem at once, in words that say how to mend it."""

from dataclasses import dataclass
from itertools import pairwise
from math import isfinite

from equipsel.circuit import CORD_AWG, DEFAULT_AWG, PAIR_UNBALANCE_PCT
from equipsel.standard import CLASSES, LOWEST_PD_V, MAX_PD_W, class_for_watts


@dataclass(frozen=True, slots=True)
class Question:
    """One line: a source, a run of cable with any extenders along it, and a device at its end.

    run_m: from port to device, cords included, m. watts: the most the device draws at its input, W; class_: its power
    class; one of the two is needed. awg, cca, stranded, shielded: the cable. pairs, volts, port_w: the source; None =
    what the class needs, worst case. cable_c: conductor temperature, C. extender_w: own draw of each extender from the
    source outwards, W; they need extender_min_volts. span_m: longest data span, m. min_volts: the device's lowest, V;
    None = its class's. cord_m: a stranded patch cord at either end, m, of gauge cord_awg. connectors: mated ones along
    the run. unbalance_pct: between the pairs. efficiency: of the source's supply. backup_minutes: to hold on battery.
    """

    run_m: float
    watts: float | None = None
    class_: int | None = None
    awg: int = DEFAULT_AWG
    cca: bool = False
    stranded: bool = False
    shielded: bool = False
    pairs: int | None = None
    volts: float | None = None
    port_w: float | None = None
    cable_c: float = 45
    extender_w: tuple[float, ...] = ()
    extender_min_volts: float = LOWEST_PD_V
    span_m: float = 100
    min_volts: float | None = None
    cord_m: float = 0
    cord_awg: int = CORD_AWG
    connectors: int = 0
    unbalance_pct: float = PAIR_UNBALANCE_PCT
    efficiency: float = 0.9
    backup_minutes: float = 0

    @property
    def number(self) -> int | None:
        """The device's power class, given or assumed from its watts; None for a data-only device."""
        if self.class_ is not None:
            return self.class_
        return class_for_watts(self.watts) if self.watts else None

    @property
    def pd_w(self) -> float:
        """The most the device draws, W: given, or its class's most."""
        if self.watts is not None:
            return self.watts
        return float(CLASSES[self.class_].pd_w) if self.class_ is not None else 0.0

    @property
    def pd_min_v(self) -> float:
        """The device's lowest voltage, V: given, or its class's; 0 for a data-only device."""
        if self.min_volts is not None:
            return self.min_volts
        return 0.0 if self.number is None else CLASSES[self.number].pd_min_v

    @property
    def ends_m(self) -> tuple[float, ...]:
        """Where each span ends, m from the source: an extender at every span_m, evenly where they would not all fit."""
        count = len(self.extender_w)
        step = self.span_m if self.run_m > count * self.span_m else self.run_m / (count + 1)
        return (*(step * number for number in range(1, count + 1)), self.run_m)

    @property
    def lengths_m(self) -> tuple[float, ...]:
        """Length of each span, m, from the source outwards."""
        return tuple(end - start for start, end in pairwise((0.0, *self.ends_m)))


MOST_EXTENDERS = 6


@dataclass(frozen=True, slots=True)
class _Bounds:
    option: str
    low: float
    high: float
    mend: str
    above: bool = False

    def problem(self, value: float) -> str | None:
        """What is wrong with a value, in words; None when nothing is."""
        if isfinite(value) and (self.low < value if self.above else self.low <= value) and value <= self.high:
            return None
        low = f"above {self.low:g}" if self.above else f"{self.low:g}"
        return f"--{self.option} is {value:g}; it must be {low} to {self.high:g}: {self.mend}"


_BOUNDS = {
    "run_m": _Bounds("run-m", 0, 10_000, "give the length from port to device in metres (or --run-ft in feet)"),
    "watts": _Bounds("watts", 0, float(MAX_PD_W), "no device may draw more than class 8; split the load or feed it from the mains"),
    "class_": _Bounds("class", 0, 8, "read the class on the device's data sheet, or leave it out and give --watts"),
    "awg": _Bounds("awg", 10, 32, "read the gauge on the cable's jacket; 24 is usual"),
    "volts": _Bounds("volts", 30, 57, "give the voltage at the source's port, or leave it out for the worst case"),
    "port_w": _Bounds("port-w", 4, 100, "give what one port of the source gives, such as 15.4, 30, 60 or 90"),
    "cable_c": _Bounds("cable-c", -40, 90, "give the temperature of the conductors in degrees Celsius"),
    "extender_min_volts": _Bounds("extender-min-volts", 0, 57, "read it on the extender's data sheet; 37 is usual"),
    "span_m": _Bounds("span-m", 0, 10_000, "give the longest data span in metres; 100 is usual", above=True),
    "min_volts": _Bounds("min-volts", 0, 57, "read it on the device's data sheet, or leave it out for its class's"),
    "cord_m": _Bounds("cord-m", 0, 100, "give the length of the patch cord at either end in metres"),
    "cord_awg": _Bounds("cord-awg", 10, 32, "read the gauge on the cord's jacket; 26 is usual"),
    "connectors": _Bounds("connectors", 0, 20, "count the mated connectors along the run"),
    "unbalance_pct": _Bounds("unbalance-pct", 0, 50, "give how much the pairs differ, as a cable tester shows it"),
    "efficiency": _Bounds("efficiency", 0, 1, "give output over mains input, such as 0.9", above=True),
    "backup_minutes": _Bounds("backup-minutes", 0, 100_000, "give the minutes the line must be held on battery"),
}


def problems(question: Question) -> list[str]:
    """Everything wrong with a question: what was found, what is allowed, how to mend it. Empty when it can be answered."""
    found = [_BOUNDS[name].problem(value) for name in _BOUNDS if (value := getattr(question, name)) is not None]
    extender = _Bounds("extender-w", 0, float(MAX_PD_W), "give what each extender draws itself, from the source outwards")
    found += [extender.problem(value) for value in question.extender_w]
    wrong = [problem for problem in found if problem]
    wrong += _odd_choices(question)
    return wrong or _contradictions(question)


def _odd_choices(question: Question) -> list[str]:
    wrong = []
    if question.watts is None and question.class_ is None:
        wrong.append("neither --watts nor --class is given: say what the device draws, or which class it is")
    if question.pairs not in (None, 2, 4):
        wrong.append(f"--pairs is {question.pairs}; it must be 2 or 4: power goes over two pairs, or over all four")
    if len(question.extender_w) > MOST_EXTENDERS:
        wrong.append(f"--extender-w is given {len(question.extender_w)} times; at most {MOST_EXTENDERS} extenders stand in one run")
    return wrong


def _contradictions(question: Question) -> list[str]:
    wrong = []
    if question.class_ is not None and question.watts is not None and question.watts > float(CLASSES[question.class_].pd_w):
        most = CLASSES[question.class_].pd_w
        wrong.append(f"--watts is {question.watts:g}; class {question.class_} draws at most {most} W: correct the watts or the class")
    ends = (question.lengths_m[0], question.lengths_m[-1]) if question.extender_w else (question.run_m / 2,)
    if question.cord_m > min(ends):
        wrong.append(f"--cord-m is {question.cord_m:g} at either end; the run is too short for it (cords count in the run)")
    return wrong
