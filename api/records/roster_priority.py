"""What on the roster needs attention today, and in which order clients stand there."""

from __future__ import annotations

import dataclasses
import datetime as dt

from mealplan.store.records import Client

PLAN_ENDS_SOON_DAYS = 2
"""A plan with this many days left or fewer is named. [days]"""
CHECK_IN_DAYS = 7
"""So many days without any entry, and a check-in is due (common practice). [days]"""
MEASURED_LASTS_WEEKS = 12
"""A scan or laboratory test this old is named: a phase has passed (common practice). [weeks]"""
_STOPPED = ("refuse", "override")
_CALM = 9
"""First digit of the place of a client for whom only dates count."""


def needs(client: Client, today: dt.date) -> tuple[str, ...]:
    """
    Say what a client's file needs.

    Parameters
    ----------
    client : Client
    today : date

    Returns
    -------
    tuple of str
        Gravest first; empty when nothing does.
    """
    found = []
    if client.gravest == "refuse":
        found.append("refused for safety")
    elif client.gravest == "override":
        found.append("needs a professional's word")
    if client.warning:
        found.append(client.warning + _as_of(client, today))
    if client.move_kcal and client.read_on == today:
        found.append(f"{client.move_kcal:+.0f} kcal proposed".replace("-", "−"))
    elif client.move_kcal:
        found.append("log to be read again")
    if client.gravest not in _STOPPED:
        if client.planned_until is None:
            found.append("no plan yet")
        elif client.planned_until < today:
            found.append(f"plan ended {client.planned_until:%d %B}")
        elif (client.planned_until - today).days < PLAN_ENDS_SOON_DAYS:
            found.append(f"plan ends {client.planned_until:%A}")
    if client.plan_number and client.start <= today:
        days = (today - _last_heard(client)).days
        if days > CHECK_IN_DAYS:
            found.append(f"check-in due: nothing logged for {days} days")
    if client.measured_on is not None:
        weeks = (today - client.measured_on).days // 7
        if weeks >= MEASURED_LASTS_WEEKS:
            found.append(f"scan and test {weeks} weeks old")
    return tuple(found)


def _as_of(client: Client, today: dt.date) -> str:
    """Date a warning whose log has not been read again since something changed."""
    if client.read_on == today or client.warned_on is None:
        return ""
    return f" (as read on {client.warned_on:%d %B})"


def _last_heard(client: Client) -> dt.date:
    return max(client.logged_on or client.start, client.start)


def to_be_read(client: Client, today: dt.date) -> bool:
    """
    Say whether a client's log says something that has not been read yet.

    Parameters
    ----------
    client : Client
    today : date

    Returns
    -------
    bool
    """
    return client.logged_on is not None and client.read_on != today


def _due_on(client: Client) -> dt.date:
    """First day on which a date in the file alone asks for attention."""
    days = [dt.date.max]
    if client.gravest not in _STOPPED:
        if client.planned_until is None:
            days.append(client.made_at.date() - dt.timedelta(days=1))  # whatever the coach's zone
        else:
            days.append(client.planned_until - dt.timedelta(days=PLAN_ENDS_SOON_DAYS - 1))
    if client.plan_number:
        days.append(_last_heard(client) + dt.timedelta(days=CHECK_IN_DAYS + 1))
    if client.measured_on is not None:
        days.append(client.measured_on + dt.timedelta(weeks=MEASURED_LASTS_WEEKS))
    return min(days)


def placed(client: Client) -> Client:
    """
    Work out where a client stands on the roster.

    Places sort as text: first those whom something other than a date brings up, gravest first, then
    the rest by the day on which they will have waited longest. Nothing in a place turns with the
    day, so it changes only when the file does.

    Parameters
    ----------
    client : Client

    Returns
    -------
    Client
        With its place.
    """
    if client.gravest in _STOPPED:
        urgency = _STOPPED.index(client.gravest)
    elif client.warning:
        urgency = 2 if client.warning_severity in _STOPPED else 3
    else:
        urgency = 4 if client.move_kcal else _CALM
    return dataclasses.replace(client, place=f"{urgency}{_due_on(client):%Y%m%d}")


def last_place(today: dt.date) -> str:
    """
    Give the place up to which clients need attention.

    Parameters
    ----------
    today : date

    Returns
    -------
    str
    """
    return f"{_CALM}{today:%Y%m%d}"
