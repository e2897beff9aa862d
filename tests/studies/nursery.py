"""
Services and workers forked from a process that has loaded them once, for studies that kill many.

What is killed is a process with its own connections and threads like any other; only loading the
program again, most of what a start costs, falls away. Reads lines ``serve URL PORT`` and
``work URL QUEUE`` and answers each with the number of the process that does it.
"""

from __future__ import annotations

import os
import signal
import sys

from api.app import serve, work
from api.jobs.tasks import warm
from mealplan.jobs.worker import PARENT


def main() -> None:
    """Fork what is asked for until nothing more is."""
    warm()
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # the dead are not waited for
    os.environ[PARENT] = str(os.getpid())
    while line := sys.stdin.readline():
        what, url, which = line.split()
        pid = os.fork()
        if not pid:
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            _be(what, url, which)
        sys.stdout.write(f"{pid}\n")
        sys.stdout.flush()


def _be(what: str, url: str, which: str) -> None:
    code = 1
    try:
        if what == "serve":
            code = serve.run("127.0.0.1", int(which), url, soon=0, later=0)
        else:
            code = work.work(url, soon=0, later=0, only=which)
    finally:
        os._exit(code)


if __name__ == "__main__":
    main()
