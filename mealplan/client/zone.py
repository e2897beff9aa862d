"""Where a client's day begins and ends; knows no clock of its own."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo


def check_zone(name: str) -> None:
    """
    Refuse a time zone that does not exist.

    Parameters
    ----------
    name : str
        Such as ``Europe/Berlin``; empty stands for the service's own.

    Raises
    ------
    ValueError
        With the way to write one.
    """
    if not name:
        return
    try:
        ZoneInfo(name)
    except (OSError, ValueError, KeyError):
        raise ValueError(
            f"{name[:40]!r} is not a time zone; write continent and city, such as Europe/Berlin"
        ) from None


def local_time(now: dt.datetime, name: str) -> dt.datetime:
    """
    Turn a moment into the clock time of a client.

    Parameters
    ----------
    now : datetime
        With its time zone.
    name : str
        Time zone; empty for that of this machine.

    Returns
    -------
    datetime
    """
    return now.astimezone(ZoneInfo(name) if name else None)
