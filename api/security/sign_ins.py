"""A coach's sign-ins as the account page lists and ends them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from api.records.view import hashed
from mealplan.store.base import Store
from mealplan.store.records import SignIn


def sign_ins(store: Store, coach_id: str, now: dt.datetime) -> tuple[SignIn, ...]:
    """
    List a coach's sign-ins that last, newest first.

    Parameters
    ----------
    store : Store
    coach_id : str
    now : datetime

    Returns
    -------
    tuple of SignIn
    """
    with store.reading() as unit:
        found = unit.find(SignIn, coach_id=coach_id, newest_first=True)
    return tuple(one for one in found if one.ends_at > now)


def end_sign_ins(store: Store, coach_id: str, handles: Collection[str]) -> int:
    """
    End some of a coach's sign-ins.

    Parameters
    ----------
    store : Store
    coach_id : str
    handles : collection of str
        As :func:`handle` names them.

    Returns
    -------
    int
        How many ended.
    """
    with store.writing() as unit:
        found = [one for one in unit.find(SignIn, coach_id=coach_id) if handle(one.id) in handles]
        for one in found:
            unit.remove(SignIn, id=one.id)
    return len(found)


def handle(sign_in_id: str) -> str:
    """
    Name a sign-in on a page, without what it is kept by.

    Parameters
    ----------
    sign_in_id : str

    Returns
    -------
    str
    """
    return hashed(f"handle {sign_in_id}")[:16]
