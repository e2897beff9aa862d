"""What on the roster needs attention today."""

from __future__ import annotations

import datetime as dt

from mealplan.store.records import Client

PLAN_ENDS_SOON_DAYS = 2
"""A plan with this many days left or fewer is named. [days]"""
CHECK_IN_DAYS = 7
"""So many days without any entry, and a check-in is due (common practice). [days]"""
MEASURED_LASTS_WEEKS = 12
"""A scan or laboratory test this old is named: a phase has passed (common practice). [weeks]"""


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
    if client.gravest not in ("refuse", "override"):
        if client.planned_until is None:
            found.append("no plan yet")
        elif client.planned_until < today:
            found.append(f"plan ended {client.planned_until:%d %B}")
        elif (client.planned_until - today).days < PLAN_ENDS_SOON_DAYS:
            found.append(f"plan ends {client.planned_until:%A}")
    if client.plan_number and client.start <= today:
        since = max(client.logged_on or client.start, client.start)
        days = (today - since).days
        if days > CHECK_IN_DAYS:
            found.append(f"check-in due: nothing logged for {days} days")
    if client.measured_on is not None:
        weeks = (today - client.measured_on).days // 7
        if weeks >= MEASURED_LASTS_WEEKS:
            found.append(f"scan and test {weeks} weeks old")
    return tuple(found)
