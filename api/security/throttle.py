"""
Failed sign-ins, counted in the database, so that every process and host counts the same.

Only failures count: an office behind one address signs in as often as it likes.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable

from mealplan.errors import MealPlanError
from mealplan.store.base import Store
from mealplan.store.records import Try, new_id

WINDOW = dt.timedelta(minutes=15)
"""Failed tries are forgotten after this."""
TRIES_A_LOGIN = 20
"""Failed tries on one login within the window, from whatever addresses."""
TRIES_AN_ADDRESS = 100
"""Failed tries from one address within the window, on whatever logins."""


class TooManyTries(MealPlanError):  # noqa: N818  (reads as what happened)
    """Wrong passwords too often."""


class SignInThrottle:
    """
    Remember failed sign-ins and ask for waiting when there are many.

    Parameters
    ----------
    store : Store
    tries : int
        Failures that one login from one address may have within the window.
    now : callable
        The clock.
    """

    def __init__(self, store: Store, tries: int, now: Callable[[], dt.datetime]) -> None:
        self._store, self._tries, self._now = store, tries, now

    def begin(self, login: str, address: str) -> tuple[str, ...]:
        """
        Count a try before its password is looked at, so that guesses side by side count too.

        Parameters
        ----------
        login, address : str

        Returns
        -------
        tuple of str
            What :meth:`succeeded` takes.

        Raises
        ------
        TooManyTries
            While too many failures lie within the window.
        """
        now = self._now()
        limits = (
            (f"pair {address} {login}", self._tries),
            (f"login {login}", TRIES_A_LOGIN),
            (f"address {address}", TRIES_AN_ADDRESS),
        )
        noted = []
        with self._store.writing() as unit:
            unit.remove(Try, before=("made_at", now - WINDOW))
            for words, most in limits:
                of = hashlib.sha256(words.encode()).hexdigest()
                if unit.count(Try, of=of) >= most:
                    raise TooManyTries(
                        "too many wrong passwords; wait a quarter of an hour, then try again"
                    )
                one = Try(id=new_id(), made_at=now, of=of)
                unit.add(one)
                noted.append(one.id)
        return tuple(noted)

    def succeeded(self, noted: tuple[str, ...], login: str, address: str) -> None:
        """
        Take a try back that was none, and forget the failures of this login from this address.

        Parameters
        ----------
        noted : tuple of str
            What :meth:`begin` gave.
        login, address : str
        """
        pair = hashlib.sha256(f"pair {address} {login}".encode()).hexdigest()
        with self._store.writing() as unit:
            for id_ in noted:
                unit.remove(Try, id=id_)
            unit.remove(Try, of=pair)
