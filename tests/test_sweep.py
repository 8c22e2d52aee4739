import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Event, Thread

import pytest

from equipsel.sweep import WorkerDied, sweep
from equipsel.workers import AHEAD, Workers, workers


def square(number: int) -> int:
    return number * number


def search(seconds: float) -> str:
    """So long as a search is that Ctrl-C stops; with 61 seconds, stopped, it finds a bug."""
    stopped: list[bool] = []
    before = signal.signal(signal.SIGINT, lambda *_: stopped.append(True))
    until = time.monotonic() + seconds
    while not stopped and time.monotonic() < until:
        time.sleep(0.02)
    signal.signal(signal.SIGINT, before)
    if seconds == 61:
        raise ValueError("a bug")
    return "best so far" if stopped else "proven"


def refuse(number: int) -> int:
    raise ValueError(f"{number} is refused")


def die_once(task: tuple[Path, int]) -> int:
    """The square of a number; the first to find no mark leaves one and dies."""
    mark, number = task
    if number == 3 and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return square(number)


def die_at_three(number: int) -> int:
    if number == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return square(number)


@pytest.mark.parametrize("number", [1, 2])
def test_every_task_is_done_whatever_the_number_of_processes(number: int) -> None:
    with workers(number) as executor:
        assert sorted(sweep(square, [3, 1, 2], executor)) == [(0, 9), (1, 1), (2, 4)]


def test_results_come_as_they_are_finished() -> None:
    with ThreadPoolExecutor(2) as executor:
        assert [position for position, _ in sweep(time.sleep, [0.4, 0.0], executor)] == [1, 0]


def test_what_the_work_raises_is_raised() -> None:
    with pytest.raises(ValueError, match="1 is refused"), workers(2) as executor:
        list(sweep(refuse, [1], executor))
    with pytest.raises(ValueError, match="2 is refused"):
        list(sweep(refuse, [2]))


def test_who_stops_reading_leaves_the_rest_undone() -> None:
    done: list[int] = []
    with ThreadPoolExecutor(1) as executor:
        results = sweep(lambda number: done.append(number) or time.sleep(0.05), list(range(50)), executor)
        next(results)
        results.close()
    assert len(done) < 10


def test_tasks_are_taken_as_there_is_room_for_them() -> None:
    taken: list[int] = []

    def tasks() -> Iterator[int]:
        for number in range(200):
            taken.append(number)
            yield number

    with ThreadPoolExecutor(2) as executor:
        for finished, _ in enumerate(sweep(square, tasks(), executor), 1):
            assert len(taken) <= finished + AHEAD
    assert len(taken) == 200


@pytest.mark.parametrize("number", [1, 2])
def test_tasks_may_depend_on_the_results_read(number: int) -> None:
    """Each is the square of the one before: none is to be had until that has come back."""
    results = [2]

    def tasks() -> Iterator[int | None]:
        for there in range(1, 5):
            yield results[-1]
            while len(results) == there:
                yield None

    with workers(number) as executor:
        for position, result in sweep(square, tasks(), executor):
            assert position == len(results) - 1
            results.append(result)
    assert results == [2, 4, 16, 256, 65536]


def test_work_whose_process_was_killed_is_done_again(tmp_path: Path) -> None:
    with workers(2) as executor:
        found = dict(sweep(die_once, [(tmp_path / "mark", number) for number in range(12)], executor))
    assert found == {number: number * number for number in range(12)}
    assert (tmp_path / "mark").exists()


def test_work_that_kills_every_process_is_given_up_and_nothing_else() -> None:
    with workers(2) as executor:
        found = dict(sweep(die_at_three, range(8), executor, lost=lambda number: -number))
    assert found == {number: number * number if number != 3 else -3 for number in range(8)}
    with pytest.raises(WorkerDied, match="died 3 times"), workers(2) as executor:
        list(sweep(die_at_three, range(8), executor))


@pytest.mark.parametrize("error", [OSError(38, "Function not implemented"), NotImplementedError("no semaphores"), ImportError()])
@pytest.mark.parametrize("apart", [False, True])
def test_where_the_machine_gives_no_processes_the_work_is_done_in_this_one(
    monkeypatch: pytest.MonkeyPatch, error: Exception, apart: bool
) -> None:
    def none(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr("equipsel.workers.ProcessPoolExecutor", none)
    with workers(2, apart=apart) as executor:
        assert executor is None
        assert dict(sweep(square, range(40), executor)) == {number: number * number for number in range(40)}


INTERRUPTED = """
import time
from equipsel.sweep import sweep
from equipsel.workers import workers
if __name__ == "__main__":
    try:
        with workers(2) as executor:
            for _ in sweep(time.sleep, [0.0, 60, 60], executor):
                print("ready", flush=True)
    except KeyboardInterrupt:
        print("stopped", flush=True)
"""


def printed_after_ctrl_c(script: str, folder: Path, begun: str) -> str:
    """What a script prints once Ctrl-C is pressed half a second after it has printed the line that says it is under way."""
    (folder / "main.py").write_text(script)
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(Path(__file__).parents[1]), os.environ.get("PYTHONPATH", "")])}
    command = [sys.executable, str(folder / "main.py")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment, start_new_session=True) as child:
        assert child.stdout
        assert child.stdout.readline() == begun
        time.sleep(0.5)
        os.killpg(child.pid, signal.SIGINT)
        printed, _ = child.communicate(timeout=20)
    assert child.returncode == 0
    return printed


def test_ctrl_c_ends_the_processes_at_once(tmp_path: Path) -> None:
    assert printed_after_ctrl_c(INTERRUPTED, tmp_path, "ready\n") == "stopped\n"


HANDED_OVER = """
import signal
import time
from equipsel.sweep import sweep
from equipsel.workers import workers

def search(seconds):
    stopped = []
    before = signal.signal(signal.SIGINT, lambda *_: stopped.append(True))
    until = time.monotonic() + seconds
    while not stopped and time.monotonic() < until:
        time.sleep(0.02)
    signal.signal(signal.SIGINT, before)
    return "best so far" if stopped else "proven"

if __name__ == "__main__":
    try:
        with workers(2) as executor:
            for position, found in sweep(search, [0.0, 60, 60, 60, 60], executor, patience_s=20):
                print(position, found, flush=True)
    except KeyboardInterrupt:
        print("stopped", flush=True)
"""


def test_after_ctrl_c_searches_under_way_hand_over_what_they_have_found(tmp_path: Path) -> None:
    """Of five, one is done, two are under way on two processes, and two are not begun any more."""
    assert printed_after_ctrl_c(HANDED_OVER, tmp_path, "0 proven\n") == "1 best so far\n2 best so far\nstopped\n"


@pytest.mark.parametrize(("second", "ends"), [(60, KeyboardInterrupt), (61, ValueError)])
def test_ctrl_c_waits_until_a_result_is_kept_and_a_bug_comes_after_the_others(second: float, ends: type[BaseException]) -> None:
    """Pressed by what reads the first result, beside a thread that a signal may reach as well."""
    asleep = Event()
    Thread(target=asleep.wait, daemon=True).start()
    kept = []

    def read(executor: Workers | None) -> None:
        for position, found in sweep(search, [0.0, second, 62], executor, patience_s=20):
            if position == 0:
                time.sleep(2)
                os.kill(os.getpid(), signal.SIGINT)
                time.sleep(0.1)
            kept.append((position, found))

    with pytest.raises(ends), workers(3) as executor:
        read(executor)
    asleep.set()
    assert kept == [(0, "proven"), *([(1, "best so far")] if second == 60 else []), (2, "best so far")]


def test_who_leaves_while_ctrl_c_is_held_leaves_in_peace() -> None:
    with workers(2) as executor:
        for _ in sweep(square, range(4), executor, patience_s=20):
            os.kill(os.getpid(), signal.SIGINT)
            break
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


ORPHANS = """
import os
import time
from equipsel.sweep import sweep
from equipsel.workers import workers

def told(seconds):
    print(os.getpid(), flush=True)
    time.sleep(seconds)

if __name__ == "__main__":
    with workers(2) as executor:
        list(sweep(told, [600, 601, 602], executor))
"""


def running(pid: int) -> bool:
    """Whether a process is there and has not ended (one whose end nobody asks for stays in the list)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def test_processes_end_with_the_one_that_gave_out_the_work(tmp_path: Path) -> None:
    """Killed outright, it cannot end them; left alone, a search could go on for hours."""
    (tmp_path / "main.py").write_text(ORPHANS)
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(Path(__file__).parents[1]), os.environ.get("PYTHONPATH", "")])}
    with subprocess.Popen([sys.executable, str(tmp_path / "main.py")], stdout=subprocess.PIPE, text=True, env=environment) as child:
        assert child.stdout
        orphans = [int(child.stdout.readline()) for _ in range(2)]
        child.kill()
    until = time.monotonic() + 20
    while any(map(running, orphans)):
        assert time.monotonic() < until, "the processes are still there"
        time.sleep(0.05)
