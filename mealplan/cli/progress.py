"""How far a long command is, for whoever watches."""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Callable, Iterator


@contextlib.contextmanager
def progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """
    Show progress on standard error once work has taken over a second, if someone is watching.

    Parameters
    ----------
    what : str
        What is being done, such as "planning day".

    Yields
    ------
    callable
        Tells how many of how many are done.
    """
    began = time.monotonic()
    shown = False

    def tell(done: int, total: int) -> None:
        nonlocal shown
        if sys.stderr.isatty() and time.monotonic() - began > 1.0:
            shown = True
            sys.stderr.write(f"\r{what}: {done} of {total} ")
            sys.stderr.flush()

    try:
        yield tell
    finally:
        if shown:
            sys.stderr.write("\r" + " " * (len(what) + 20) + "\r")
            sys.stderr.flush()
