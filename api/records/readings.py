"""
Logs as the filter last read them, kept in memory so that one more entry costs a day to read.

Nothing here outlives the process, and a client who is erased is forgotten. A reading that no longer
fits its log is only slower, never wrong: what has changed is read again.
"""

from __future__ import annotations

import threading
from collections import OrderedDict

from mealplan.checkin.energy.log_reading import LogReading

MOST = 4
"""Readings kept; a year of mornings and some filters take about 8 MB each."""

_lock = threading.Lock()
_kept: OrderedDict[str, LogReading] = OrderedDict()


def kept_for(client_id: str) -> LogReading | None:
    """
    Give the last reading of a client's log, if it is still here.

    Parameters
    ----------
    client_id : str

    Returns
    -------
    LogReading or None
    """
    with _lock:
        return _kept.get(client_id)


def keep(client_id: str, reading: LogReading | None) -> None:
    """
    Keep a client's newest reading, and let the oldest of all go.

    Parameters
    ----------
    client_id : str
    reading : LogReading or None
        None forgets the client.
    """
    with _lock:
        _kept.pop(client_id, None)
        if reading is not None:
            _kept[client_id] = reading
            while len(_kept) > MOST:
                _kept.popitem(last=False)
