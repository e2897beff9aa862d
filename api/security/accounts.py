"""Coaches' accounts: passwords, sign-ins that end, and patience with wrong guesses."""

from __future__ import annotations

import dataclasses
import datetime as dt
import secrets
import threading
from collections import deque
from collections.abc import Callable

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from api.records.view import hashed
from mealplan.errors import MealPlanError, StoreError
from mealplan.store.base import Clash, Store
from mealplan.store.records import LOCAL_LOGIN, Coach, SignIn, new_id

SHORTEST_PASSWORD = 12
"""Letters a password has at least."""
WINDOW = dt.timedelta(minutes=15)
"""Failed tries are forgotten after this."""
TRIES_AN_ADDRESS = 30
"""Failed tries from one address within the window, whichever logins were tried."""

_HASHER = PasswordHasher()
_NOBODY = _HASHER.hash("nobody has this password")
"""Checked when there is no such login, so that both take as long."""


class WrongPassword(MealPlanError):  # noqa: N818  (reads as what happened)
    """The login and password do not belong together."""


class TooManyTries(MealPlanError):  # noqa: N818  (reads as what happened)
    """Wrong passwords too often."""


def add_coach(store: Store, login: str, password: str, now: dt.datetime) -> Coach:
    """
    Sign a coach up.

    The first coach takes over what was entered on this machine before there were accounts.

    Parameters
    ----------
    store : Store
    login : str
        2 to 40 letters, digits, dots or hyphens.
    password : str
        At least 12 letters.
    now : datetime

    Returns
    -------
    Coach

    Raises
    ------
    StoreError
        When the login is taken or either is unusable; the message says how to mend it.
    """
    login = login.strip().lower()
    plain = login.replace(".", "").replace("-", "")
    if (
        not 2 <= len(login) <= 40
        or not plain.isalnum()
        or not plain.isascii()
        or login == LOCAL_LOGIN
    ):
        raise StoreError(
            f"login {login[:60]!r} cannot be used: take 2 to 40 letters, digits, dots or hyphens"
        )
    check_password(password)
    digest = _HASHER.hash(password)
    try:
        with store.writing() as unit:
            local = unit.find(Coach, login=LOCAL_LOGIN)
            if local:
                coach = dataclasses.replace(local[0], login=login, password_hash=digest)
                if unit.find(Coach, login=login):
                    raise Clash("taken")
                unit.change(coach)
            else:
                coach = Coach(id=new_id(), made_at=now, login=login, password_hash=digest)
                unit.add(coach)
    except Clash:
        raise StoreError(f"login {login!r} is taken; choose another") from None
    return coach


def change_password(store: Store, login: str, password: str) -> None:
    """
    Give a coach a new password and sign every browser out.

    Parameters
    ----------
    store : Store
    login, password : str

    Raises
    ------
    StoreError
        When there is no such coach or the password is too short.
    """
    check_password(password)
    with store.writing() as unit:
        found = unit.find(Coach, login=login.strip().lower())
        if not found or found[0].login == LOCAL_LOGIN:
            raise StoreError(f"there is no coach {login!r}; `mealplan coach list` names them")
        unit.change(dataclasses.replace(found[0], password_hash=_HASHER.hash(password)))
        unit.remove(SignIn, coach_id=found[0].id)


def check_password(password: str) -> None:
    """
    Refuse passwords that are guessed quickly.

    Parameters
    ----------
    password : str

    Raises
    ------
    StoreError
    """
    if len(password) < SHORTEST_PASSWORD or len(set(password)) < 5:
        raise StoreError(
            f"the password has {len(password)} letters, {len(set(password))} of them "
            "different; take at least "
            f"{SHORTEST_PASSWORD}, five of them different: a short sentence is easy to keep in mind"
        )


def accounts(store: Store) -> tuple[Coach, ...]:
    """
    Return the coaches who can sign in.

    Parameters
    ----------
    store : Store

    Returns
    -------
    tuple of Coach
    """
    with store.reading() as unit:
        return tuple(coach for coach in unit.find(Coach) if coach.login != LOCAL_LOGIN)


class Patience:
    """
    Remember failed sign-ins and ask for waiting when there are many.

    Parameters
    ----------
    tries : int
        Failures that one login from one address may have within the window.
    now : callable
        The clock.
    """

    def __init__(self, tries: int, now: Callable[[], dt.datetime]) -> None:
        self._tries = tries
        self._now = now
        self._failed: dict[str, deque[dt.datetime]] = {}
        self._lock = threading.Lock()

    def check(self, login: str, address: str) -> None:
        """Raise :class:`TooManyTries` while too many tries lie within the window."""
        with self._lock:
            for key, most in self._keys(login, address):
                if len(self._recent(key)) >= most:
                    raise TooManyTries(
                        "too many wrong passwords; wait a quarter of an hour, then try again"
                    )

    def failed(self, login: str, address: str) -> None:
        """Note a wrong password."""
        with self._lock:
            for key, _ in self._keys(login, address):
                self._recent(key).append(self._now())

    def succeeded(self, login: str, address: str) -> None:
        """Forget a login's failures from this address."""
        with self._lock:
            self._failed.pop(f"{address} {login}", None)

    def _keys(self, login: str, address: str) -> tuple[tuple[str, int], ...]:
        return (f"{address} {login}", self._tries), (address, TRIES_AN_ADDRESS)

    def _recent(self, key: str) -> deque[dt.datetime]:
        if len(self._failed) > 10_000:
            self._failed.clear()
        times = self._failed.setdefault(key, deque(maxlen=TRIES_AN_ADDRESS))
        while times and times[0] < self._now() - WINDOW:
            times.popleft()
        return times


def sign_in(
    store: Store,
    patience: Patience,
    login: str,
    password: str,
    address: str,
    now: dt.datetime,
    hours: float,
) -> tuple[str, SignIn]:
    """
    Let a coach in.

    Parameters
    ----------
    store : Store
    patience : Patience
    login, password : str
        As typed.
    address : str
        Where the request comes from.
    now : datetime
    hours : float
        How long it lasts. [hours]

    Returns
    -------
    token : str
        The secret; kept nowhere.
    sign_in : SignIn

    Raises
    ------
    WrongPassword
        When login and password do not belong together, without saying which is wrong.
    TooManyTries
        After too many of those.
    """
    login = login.strip().lower()[:80]
    patience.check(login, address)
    # Counted before the slow check, so that guesses sent side by side count too.
    patience.failed(login, address)
    with store.reading() as unit:
        found = tuple(coach for coach in unit.find(Coach, login=login) if coach.password_hash)
    digest = found[0].password_hash if found else _NOBODY
    try:
        right = _HASHER.verify(digest, password) and bool(found)
    except (VerificationError, InvalidHashError):
        right = False
    if not right:
        raise WrongPassword(
            "login and password do not belong together; check both, capitals included"
        )
    patience.succeeded(login, address)
    token = secrets.token_urlsafe(32)
    made = SignIn(
        id=hashed(token), made_at=now, coach_id=found[0].id, ends_at=now + dt.timedelta(hours=hours)
    )
    with store.writing() as writer:
        for old in writer.find(SignIn, coach_id=made.coach_id):
            if old.ends_at <= now:
                writer.remove(SignIn, id=old.id)
        writer.add(made)
    return token, made


def sign_out(store: Store, sign_in_id: str) -> None:
    """
    End one sign-in.

    Parameters
    ----------
    store : Store
    sign_in_id : str
    """
    with store.writing() as unit:
        unit.remove(SignIn, id=sign_in_id)
