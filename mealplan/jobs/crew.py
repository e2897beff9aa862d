"""The workers that a service starts beside itself: so many a queue, replaced when one ends."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import threading
import time

from mealplan.jobs.durable import LATER, SOON
from mealplan.jobs.worker import LEFT, PARENT

GRACE_S = 3.0
"""What workers get to end in before they are ended. [s]"""
AGAIN_S = 1.0
"""Wait before a worker is started again that ended at once; it doubles. [s]"""
LONGEST_AGAIN_S = 60.0


class Crew:
    """
    Workers as processes of their own.

    Parameters
    ----------
    db : str
        Database URL; handed on by the environment, so that no list of processes shows it.
    soon, later : int
        Workers for what is waited for, and for what may take longer.
    """

    def __init__(self, db: str, soon: int, later: int) -> None:
        self._db = db
        self._queues = [SOON] * soon + [LATER] * later
        self._running: list[subprocess.Popen[bytes] | None] = [None] * len(self._queues)
        self._ending = threading.Event()
        self._tending = threading.Thread(target=self._tend, name="crew", daemon=True)
        self._tending.start()

    def _start(self, queue: str) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-m", "mealplan", "work", "--only", queue],
            env=os.environ | {"MEALPLAN_DB": self._db, PARENT: str(os.getpid())},
            stdin=subprocess.DEVNULL,
        )

    def _tend(self) -> None:
        begun = [0.0] * len(self._queues)
        waits = [0.0] * len(self._queues)
        while not self._ending.wait(0.1):
            for place, queue in enumerate(self._queues):
                process, at = self._running[place], time.monotonic()
                if process is not None and process.poll() is None:
                    continue
                if process is not None and process.returncode > 0 and process.returncode != LEFT:
                    # It could not begin: the database is away, say.
                    waits[place] = min(LONGEST_AGAIN_S, max(AGAIN_S, 2 * waits[place]))
                else:
                    waits[place] = 0.0
                if at - begun[place] < waits[place]:
                    continue
                begun[place] = at
                if self._ending.is_set():
                    return
                with contextlib.suppress(OSError):
                    self._running[place] = self._start(queue)

    def processes(self) -> tuple[int, ...]:
        """Return the process numbers of the workers that run."""
        return tuple(one.pid for one in self._running if one is not None and one.poll() is None)

    def close(self) -> None:
        """Tell the workers to end; what they have at hand goes back into the queue."""
        self._ending.set()
        self._tending.join()
        running = [one for one in self._running if one is not None]
        for process in running:
            with contextlib.suppress(OSError):
                process.terminate()
        until = time.monotonic() + GRACE_S
        for process in running:
            try:
                process.wait(timeout=max(0.0, until - time.monotonic()))
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(timeout=5)
