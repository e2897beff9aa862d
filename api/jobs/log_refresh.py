"""
Reads the logs of a whole roster behind the pages, so that the roster knows every warning.

One thread at a time, started by whoever looks at the roster while logs are unread, and no longer
at work than at rest: pages stay quick while it runs.
"""

from __future__ import annotations

import logging
import threading
import time

from api.records.book import Records

_log = logging.getLogger("api.jobs.log_refresh")


class LogReader:
    """Brings the snapshots of a coach's clients up to date in the background."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._at_work: dict[str, threading.Thread] = {}
        self._closing = threading.Event()

    def wake(self, records: Records) -> None:
        """
        See that a coach's unread logs get read.

        Parameters
        ----------
        records : Records
            Of the coach.
        """
        coach_id = records.principal.coach_id
        with self._lock:
            if coach_id in self._at_work or self._closing.is_set():
                return
            thread = threading.Thread(
                target=self._read, args=(records,), name="log-reader", daemon=True
            )
            self._at_work[coach_id] = thread
            thread.start()

    def _read(self, records: Records) -> None:
        try:
            for client in records.roster.unread():
                begin = time.perf_counter()
                records.roster.read(client)
                if self._closing.wait(time.perf_counter() - begin):
                    return
        except Exception:
            _log.exception("reading logs behind the pages stopped")
        finally:
            with self._lock:
                del self._at_work[records.principal.coach_id]

    def wait(self) -> None:
        """Wait until nothing is being read."""
        with self._lock:
            threads = list(self._at_work.values())
        for thread in threads:
            thread.join()

    def close(self) -> None:
        """Stop after the log at hand."""
        self._closing.set()
        self.wait()
