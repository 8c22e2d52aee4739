"""Memory of a process and its workers: the largest sum seen in samples of a tenth of a second (Linux), or the process's own peak."""

import os
import resource
import threading
from pathlib import Path

EVERY_S = 0.1


class Peak:
    """The largest memory of this process and its workers together, sampled until stopped."""

    def __init__(self) -> None:
        self.most, self.over = 0.0, threading.Event()
        self.thread = threading.Thread(target=self._watch, daemon=True)
        self.thread.start()

    def _watch(self) -> None:
        while not self.over.wait(EVERY_S):
            self.most = max(self.most, tree_mib(os.getpid()))

    def stop_mib(self) -> float:
        """End the samples; the peak in MiB."""
        self.over.set()
        self.thread.join()
        return max(self.most, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def tree_mib(pid: int) -> float:
    """Memory of a process and all below it, MiB; 0 where it is gone, or where there is no /proc."""
    try:
        pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
        children = " ".join(path.read_text(encoding="ascii") for path in Path(f"/proc/{pid}/task").glob("*/children")).split()
    except (OSError, IndexError):
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20 + sum(tree_mib(int(child)) for child in children)
