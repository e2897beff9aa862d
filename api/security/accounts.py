"""Coaches' accounts: passwords, second factors, sign-ins that end, and handing over."""

from __future__ import annotations

import dataclasses
import datetime as dt
import functools
import logging
import secrets
import threading

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from api.records.view import hashed
from api.security.passwords import check_password
from api.security.second_factor import step_of
from api.security.throttle import SignInThrottle
from api.settings import Settings
from mealplan.errors import MealPlanError, StoreError
from mealplan.jobs import Busy
from mealplan.store.base import AlreadyThere, Store, Writer
from mealplan.store.records import (
    LOCAL_LOGIN,
    Client,
    Coach,
    Entry,
    Job,
    Link,
    OwnVersion,
    Reply,
    SeatOffer,
    SharedTable,
    SignIn,
    new_id,
)

_log = logging.getLogger("api.security")
AT_ONCE = threading.BoundedSemaphore(3)
"""Passwords looked at side by side; each takes 64 MB for a moment."""
LONGEST_TRIED = 400
"""Letters of a typed password that are looked at; no kept one has as many."""
LONGEST_WAIT_S = 5.0
"""How long a sign-in waits for its turn. [s]"""

_HASHER = PasswordHasher()


@functools.cache
def _nobody() -> str:
    """Return what is checked when there is no such login, so that both take as long."""
    return _HASHER.hash("nobody has this password")


class WrongPassword(MealPlanError):  # noqa: N818  (reads as what happened)
    """The login and password do not belong together."""


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
    check_password(password, login)
    digest = _HASHER.hash(password)
    try:
        with store.writing() as unit:
            local = unit.find(Coach, login=LOCAL_LOGIN)
            if local:
                coach = dataclasses.replace(local[0], login=login, password_hash=digest)
                if unit.find(Coach, login=login):
                    raise AlreadyThere("taken")
                unit.change(coach)
            else:
                coach = Coach(id=new_id(), made_at=now, login=login, password_hash=digest)
                unit.add(coach)
    except AlreadyThere:
        raise StoreError(f"login {login!r} is taken; choose another") from None
    return coach


def change_password(
    store: Store, login: str, password: str, now: dt.datetime, *, but: str = ""
) -> None:
    """
    Give a coach a new password and sign every browser out.

    Parameters
    ----------
    store : Store
    login, password : str
    now : datetime
    but : str
        Identifier of a sign-in that stays, that of whoever changes it; empty for none.

    Raises
    ------
    StoreError
        When there is no such coach or the password is too short or common.
    """
    check_password(password, login)
    with store.writing() as unit:
        found = unit.find(Coach, login=login.strip().lower())
        if not found or found[0].login == LOCAL_LOGIN:
            raise StoreError(f"there is no coach {login!r}; `mealplan coach list` names them")
        unit.change(
            dataclasses.replace(found[0], password_hash=_HASHER.hash(password), password_at=now)
        )
        for one in unit.find(SignIn, coach_id=found[0].id):
            if one.id != but:
                unit.remove(SignIn, id=one.id)
        _note(unit, found[0], now, "password changed")


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


def sign_in(
    store: Store,
    settings: Settings,
    login: str,
    password: str,
    *,
    code: str = "",
    address: str = "",
    device: str = "",
) -> tuple[str, SignIn]:
    """
    Let a coach in.

    Parameters
    ----------
    store : Store
    settings : Settings
    login, password, code : str
        As typed; the code is asked for of those alone who set one up.
    address : str
        Where the request comes from.
    device : str
        What the browser or program calls itself.

    Returns
    -------
    token : str
        The secret; kept nowhere.
    sign_in : SignIn

    Raises
    ------
    WrongPassword
        When login, password and code do not belong together, without saying which is wrong.
    TooManyTries
        After too many of those.
    """
    login = login.strip().lower()[:80]
    throttle = SignInThrottle(store, settings.tries, settings.now)
    noted = throttle.begin(login, address)
    now = settings.now()
    coach, step = _right_coach(store, login, password, code, now, address)
    throttle.succeeded(noted, login, address)
    token = secrets.token_urlsafe(32)
    made = SignIn(
        id=hashed(token),
        made_at=now,
        coach_id=coach.id,
        ends_at=now + dt.timedelta(hours=settings.sign_in_hours),
        device=" ".join(device.split())[:120],
    )
    with store.writing() as writer:
        _let_in(writer, made, step)
    return token, made


def _right_coach(
    store: Store, login: str, password: str, code: str, now: dt.datetime, address: str
) -> tuple[Coach, int]:
    """Return whose login, password and code these are, and the step of the code."""
    with store.reading() as unit:
        found = tuple(coach for coach in unit.find(Coach, login=login) if coach.password_hash)
    right = _verified(found[0].password_hash if found else _nobody(), password) and bool(found)
    step = _step(found[0], code, now) if right else None
    if right and step is None:
        _note_used_again(store, found[0], code, now)
    if not right or step is None:
        _log.warning("a sign-in failed: login %s, from %s", hashed(login)[:12], address)
        raise WrongPassword(
            "login and password do not belong together, or the one-time code is missing or old; "
            "check all, capitals included"
        )
    return found[0], step


def _let_in(unit: Writer, made: SignIn, step: int) -> None:
    """Keep a sign-in, unless its code was used meanwhile."""
    coach, now = unit.get(Coach, made.coach_id), made.made_at
    if coach.second_factor and step <= coach.second_factor_step:
        raise WrongPassword("this one-time code was used already; wait for the next one")
    if coach.second_factor:
        unit.change(dataclasses.replace(coach, second_factor_step=step))
    unit.remove(SignIn, coach_id=made.coach_id, before=("ends_at", now))
    known = {one.device for one in unit.find(SignIn, coach_id=made.coach_id)}
    unit.add(made)
    _note(unit, coach, now, "signed in" if made.device in known else "signed in anew")


def _note_used_again(store: Store, coach: Coach, code: str, now: dt.datetime) -> None:
    """Tell the coach of a code that came a second time: someone may have read it off."""
    if step_of(coach.second_factor, code, now.timestamp(), after=-1) is None:
        return
    _log.warning("a one-time code came again: login %s", hashed(coach.login)[:12])
    with store.writing() as unit:
        _note(unit, coach, now, "a one-time code was tried a second time")


def _verified(digest: str, password: str) -> bool:
    """Look at one password among few at a time."""
    if not AT_ONCE.acquire(timeout=LONGEST_WAIT_S):
        raise Busy("many are signing in just now; wait half a minute and try again")
    try:
        return _HASHER.verify(digest, password[:LONGEST_TRIED])
    except (VerificationError, InvalidHashError):
        return False
    finally:
        AT_ONCE.release()


def _step(coach: Coach, code: str, now: dt.datetime) -> int | None:
    """Say which step the code belongs to; 0 for a coach without a second factor."""
    if not coach.second_factor:
        return 0
    return step_of(coach.second_factor, code, now.timestamp(), coach.second_factor_step)


def _note(unit: Writer, coach: Coach, now: dt.datetime, what: str) -> None:
    """Put on the coach's own trail what was done to the account."""
    unit.add(
        Entry(
            id=new_id(),
            made_at=now,
            coach_id=coach.id,
            client_id="",
            by=coach.login,
            what=what,
            detail="",
        )
    )


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


def change_own_password(
    store: Store,
    settings: Settings,
    coach_id: str,
    old: str,
    new: str,
    *,
    but: str,
    address: str = "",
) -> None:
    """
    Let a coach change their own password; every other browser is signed out.

    Parameters
    ----------
    store : Store
    settings : Settings
    coach_id, old, new : str
    but : str
        Identifier of the sign-in that stays.
    address : str
        Where the request comes from.

    Raises
    ------
    WrongPassword
        When the old one is not right.
    StoreError
        When the new one is too short or common.
    """
    coach = prove(store, settings, coach_id, old, address)
    change_password(store, coach.login, new, settings.now(), but=but)


def prove(store: Store, settings: Settings, coach_id: str, password: str, address: str) -> Coach:
    """
    Let a coach prove who they are before the account is changed.

    Parameters
    ----------
    store : Store
    settings : Settings
    coach_id, password : str
    address : str
        Where the request comes from.

    Returns
    -------
    Coach

    Raises
    ------
    WrongPassword
        When it is not the coach's password.
    """
    with store.reading() as unit:
        coach = unit.get(Coach, coach_id)
    throttle = SignInThrottle(store, settings.tries, settings.now)
    noted = throttle.begin(coach.login, address)
    if not _verified(coach.password_hash, password):
        raise WrongPassword("that is not the password you have now")
    throttle.succeeded(noted, coach.login, address)
    return coach


def set_second_factor(
    store: Store, coach_id: str, secret: str, code: str, now: dt.datetime
) -> None:
    """
    Ask for one-time codes from now on, once a first one was right; or no more.

    Parameters
    ----------
    store : Store
    coach_id : str
    secret : str
        Empty for no more.
    code : str
        From the device that was given the secret.
    now : datetime

    Raises
    ------
    WrongPassword
        When the code is not the device's.
    """
    step: int | None = 0
    if secret:
        step = step_of(secret, code, now.timestamp(), 0)
        if step is None:
            raise WrongPassword("that is not the code of now; check the device's clock, try again")
    with store.writing() as unit:
        coach = unit.get(Coach, coach_id)
        unit.change(dataclasses.replace(coach, second_factor=secret, second_factor_step=step or 0))
        _note(unit, coach, now, "one-time codes asked for" if secret else "no more one-time codes")


def remove_coach(store: Store, login: str, hand_to: str, now: dt.datetime) -> int:
    """
    Remove a coach; the clients, their foods and dishes go to another.

    Parameters
    ----------
    store : Store
    login, hand_to : str
    now : datetime

    Returns
    -------
    int
        Clients handed over.

    Raises
    ------
    StoreError
        When either is not there, or both are the same.
    """
    with store.writing() as unit:
        leaving = unit.find(Coach, login=login.strip().lower())
        taking = unit.find(Coach, login=hand_to.strip().lower())
        if not leaving or not taking or leaving[0].id == taking[0].id:
            raise StoreError(
                f"{login!r} cannot be handed to {hand_to!r}: name two coaches that `mealplan coach "
                "list` shows"
            )
        old, new = leaving[0], taking[0]
        clients = unit.find(Client, coach_id=old.id)
        for client in clients:
            unit.change(dataclasses.replace(client, coach_id=new.id))
            for link in unit.find(Link, client_id=client.id):
                if link.revoked_at is None:
                    unit.change(dataclasses.replace(link, revoked_at=now))
        for entry in unit.find(Entry, coach_id=old.id):
            unit.change(dataclasses.replace(entry, coach_id=new.id))
        taken = {(own.what, own.key) for own in unit.find(OwnVersion, coach_id=new.id)}
        for own in unit.find(OwnVersion, coach_id=old.id):
            if (own.what, own.key) in taken:
                unit.remove(OwnVersion, id=own.id)  # the other has one of this name
            else:
                unit.change(dataclasses.replace(own, coach_id=new.id))
        for table in unit.find(SharedTable, coach_id=old.id):
            unit.change(dataclasses.replace(table, coach_id=new.id))
        for kind in (SignIn, Reply, Job, SeatOffer):
            unit.remove(kind, coach_id=old.id)
        unit.remove(Coach, id=old.id)
        _note(unit, new, now, f"took over {len(clients)} clients of {old.login}")
    return len(clients)
