"""
Planning beside the event loop: few processes, a bounded queue, progress, and a way to stop.

Each planning process is tended by one thread. Stopping a running task ends its process, which is
the only way to stop a solver for certain; the next task starts another one.
"""

from __future__ import annotations

import logging
import multiprocessing
import queue
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Literal

from api.jobs.worker import Made, Task, error_named, plan_for, serve
from mealplan.errors import MealPlanError, StoreError
from mealplan.store.records import new_id

State = Literal["waiting", "working", "done", "failed", "stopped"]
REMEMBERED = 200
"""Finished tasks whose outcome can still be asked for."""

_log = logging.getLogger("api.jobs.pool")


class Busy(MealPlanError):  # noqa: N818  (reads as what happened)
    """Too many plans are waiting."""


class _Stopped(Exception):  # noqa: N818
    """The task was stopped from outside."""


@dataclass
class Solve:
    """One task and how it goes."""

    client_id: str
    what: str
    """In words, such as ``a week from 30 November``."""
    back_to: str
    """Address of the page to show when it is done."""
    task: Task
    keep: Callable[[Made], None]
    """Called with the plan before the task counts as done."""
    id: str = field(default_factory=new_id)
    state: State = "waiting"
    done: int = 0
    total: int = 1
    error: MealPlanError | None = None
    finished: threading.Event = field(default_factory=threading.Event)
    stopping: threading.Event = field(default_factory=threading.Event)

    def tell(self, done: int, total: int) -> None:
        """Note how far it is; ends the work when stopping was asked for."""
        self.done, self.total = done, total
        if self.stopping.is_set():
            raise _Stopped


class SolvePool:
    """
    Plans in a few processes, or in threads.

    Parameters
    ----------
    processes : int
        How many; 0 plans in one thread of this process, for tests.
    waiting : int
        Tasks that may wait.
    """

    def __init__(self, processes: int, waiting: int) -> None:
        self._in_threads = processes == 0
        self._queue: queue.Queue[Solve | None] = queue.Queue()
        self._room = waiting
        self._solves: OrderedDict[str, Solve] = OrderedDict()
        self._lock = threading.Lock()
        self._threads = [
            threading.Thread(target=self._tend, name=f"solves-{number}", daemon=True)
            for number in range(max(1, processes))
        ]
        for thread in self._threads:
            thread.start()

    def submit(self, solve: Solve) -> Solve:
        """
        Queue a task.

        Parameters
        ----------
        solve : Solve

        Returns
        -------
        Solve
            The same one.

        Raises
        ------
        Busy
            When the queue is full.
        """
        with self._lock:
            if sum(other.state == "waiting" for other in self._solves.values()) >= self._room:
                raise Busy("many plans are being made just now; wait half a minute and ask again")
            self._solves[solve.id] = solve
            ended = [key for key, other in self._solves.items() if other.finished.is_set()]
            for key in ended[: max(0, len(self._solves) - REMEMBERED)]:
                del self._solves[key]
        self._queue.put(solve)
        return solve

    def get(self, id_: str) -> Solve | None:
        """Return a task that is known here."""
        return self._solves.get(id_)

    def stop(self, solve: Solve) -> None:
        """Stop a task, waiting or running; a finished one stays as it is."""
        solve.stopping.set()

    def close(self) -> None:
        """Stop everything and end the processes."""
        for solve in list(self._solves.values()):
            solve.stopping.set()
        for _ in self._threads:
            self._queue.put(None)
        for thread in self._threads:
            thread.join(timeout=10)

    def _tend(self) -> None:
        helper = None if self._in_threads else _Helper()
        while (solve := self._queue.get()) is not None:
            self._run(solve, helper)
        if helper is not None:
            helper.end()

    def _run(self, solve: Solve, helper: _Helper | None) -> None:
        try:
            solve.tell(0, solve.total)
            solve.state = "working"
            made = plan_for(solve.task, solve.tell) if helper is None else helper.plan(solve)
            solve.keep(made)
            solve.state = "done"
        except _Stopped:
            solve.state = "stopped"
        except MealPlanError as error:
            solve.error, solve.state = error, "failed"
        except Exception:
            _log.exception("planning %s failed", solve.what)
            solve.error = StoreError(
                "planning failed for a reason the log of the service tells; try again"
            )
            solve.state = "failed"
        finally:
            solve.finished.set()


class _Helper:
    """A planning process and the pipe to it."""

    def __init__(self) -> None:
        self._start()

    def _start(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe: Connection
        self._pipe, other = context.Pipe()
        self._process: BaseProcess = context.Process(target=serve, args=(other,), daemon=True)
        self._process.start()
        other.close()

    def plan(self, solve: Solve) -> Made:
        if not self._process.is_alive():
            self._start()
        try:
            self._pipe.send(solve.task)
            while True:
                while not self._pipe.poll(0.1):
                    solve.tell(solve.done, solve.total)
                message = self._pipe.recv()
                if isinstance(message, Made):
                    return message
                if message[0] == "progress":
                    solve.tell(message[1], message[2])
                else:
                    raise error_named(message[1], message[2])
        except _Stopped:
            self.end()
            raise
        except (EOFError, OSError):
            self.end()
            raise StoreError(
                "the planning process ended before the plan was made; ask again"
            ) from None

    def end(self) -> None:
        self._pipe.close()
        self._process.terminate()
        self._process.join(timeout=5)
