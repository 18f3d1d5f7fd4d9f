"""Whole processes with a limit: how much processor time and memory each took, or that it did not end."""

from __future__ import annotations

import json
import math
import os
import resource
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

LONG = 5.0
"""Seconds above which one run is enough."""
OUT_OF_MEMORY = ("MemoryError", "bad_alloc", "memory allocation", "Cannot allocate")


class Limits(NamedTuple):
    """What a process may use: seconds of processor time, gigabytes of memory; and how often it runs."""

    seconds: int
    gigabytes: float
    runs: int


class Cost(NamedTuple):
    """Seconds of processor time and peak memory in MB of a process; ``seconds`` is infinite where it did not end."""

    seconds: float
    megabytes: float
    told: dict[str, Any]


def environment(cache: str, compiled: str) -> dict[str, str]:
    """Compiled modules are kept, as an installed copy has them, and prepared copies stay in a folder of their own."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"KNOCKON_CACHE": cache, "PYTHONPYCACHEPREFIX": compiled}


def run(command: Sequence[str], limits: Limits, around: Mapping[str, str]) -> Cost:
    """One run of ``python COMMAND``; what it prints as its last line, a JSON object, is told.

    The peak memory is at least this process's own. Where the command fails, ``why`` among what is told says so.
    """
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as wrong:
        started = subprocess.Popen([sys.executable, *command], stdout=out, stderr=wrong, env=dict(around))
        memory = int(limits.gigabytes * 1e9)
        resource.prlimit(started.pid, resource.RLIMIT_AS, (memory, memory))
        ended = threading.Event()
        watch = threading.Thread(target=_stop_at, args=(started, limits.seconds, ended))
        watch.start()
        _, status, used = os.wait4(started.pid, 0)
        started.returncode = os.waitstatus_to_exitcode(status)
        ended.set()
        watch.join()
        out.seek(0)
        wrong.seek(0)
        text, error = out.read(), wrong.read().decode(errors="replace")
    if started.returncode in (0, 1) and "Traceback (most recent" not in error:  # answered, or answered with a no
        return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, _told(text))
    if started.returncode < 0 or any(word in error for word in OUT_OF_MEMORY):
        why = "time" if started.returncode == -signal.SIGKILL else "memory"
        return Cost(math.inf, used.ru_maxrss / 1024, {"why": why})
    return Cost(math.inf, used.ru_maxrss / 1024, {"why": f"failed: {' '.join(error.split())[-100:]}"})


def _stop_at(started: subprocess.Popen[bytes], seconds: int, ended: threading.Event) -> None:
    """Kill a process once it has used its time, or has waited for four times as long.

    Its time is looked up from outside: with a limit set on the process itself, its own clock would go in steps of a
    few milliseconds.
    """
    tick, asleep = os.sysconf("SC_CLK_TCK"), 0.0
    while not ended.wait(0.1):
        asleep += 0.1
        try:
            fields = Path(f"/proc/{started.pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
        except OSError:  # it has just ended
            return
        if (int(fields[11]) + int(fields[12])) / tick > seconds or asleep > 4 * seconds + 60:
            os.kill(started.pid, signal.SIGKILL)
            return


def _told(text: bytes) -> dict[str, Any]:
    """What a process printed, as far as it is JSON: one line of its own, or an answer of the command line, of which it
    counts what was not decided."""
    if text.startswith(b"{\n"):
        left = json.loads(text)["result"].get("not_decided", ())
        return {"why": "not all decided in its own time"} if left else {}
    last = text.strip().rpartition(b"\n")[2]
    found = json.loads(last) if last.startswith(b"{") else {}
    return found if isinstance(found, dict) else {}


def median_of(once: Callable[[], Cost], limits: Limits, warming: bool = True) -> Cost:
    """The run with the median time of some, after one that is not counted; where that one took long, that one."""
    first = once()
    if first.seconds > LONG:
        return first
    costs = [once() for _ in range(limits.runs)] if warming else [first, *(once() for _ in range(limits.runs - 1))]
    return sorted(costs, key=lambda c: c.seconds)[len(costs) // 2]
