"""A command on a terminal of its own that is stopped by Ctrl-C."""

import os
import re
import signal
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path


def stopped(command: Sequence[str], when: str, where: Path, environment: Mapping[str, str] | None = None) -> tuple[int, bytes]:
    """How the command ended and what it printed, once Ctrl-C was pressed where its terminal showed what `when` matches."""
    reader, terminal = os.openpty()
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=terminal, cwd=where, env=environment, start_new_session=True) as child:
        os.close(terminal)
        seen = b""
        while not re.search(when.encode(), seen):
            seen += os.read(reader, 1000)
        os.killpg(child.pid, signal.SIGINT)
        printed, _ = child.communicate(timeout=60)
    os.close(reader)
    return child.returncode, printed
