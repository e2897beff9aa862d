"""
One-time codes beside the password, as RFC 6238 gives them: six digits, a new one every 30 s.

Codes of the step before and after count too, since clocks differ; none counts twice.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
import struct
from urllib.parse import quote

STEP_S = 30
"""How long a code lasts. [s]"""
DIGITS = 6
EITHER_WAY = 1
"""Steps by which clocks may differ."""


def new_secret() -> str:
    """
    Draw a secret for a coach and their device.

    Returns
    -------
    str
        160 bits in base 32, as devices take it.
    """
    return base64.b32encode(secrets.token_bytes(20)).decode()


def code_at(secret: str, step: int) -> str:
    """
    Work the code of one step out (RFC 6238, 4; RFC 4226, 5.3).

    Parameters
    ----------
    secret : str
        In base 32.
    step : int
        Steps of 30 s since 1970.

    Returns
    -------
    str
        Six digits.
    """
    key = base64.b32decode(secret)
    digest = hmac.new(key, struct.pack(">Q", step), hashlib.sha1).digest()
    at = digest[-1] & 0x0F
    number = struct.unpack(">I", digest[at : at + 4])[0] & 0x7FFFFFFF
    return f"{number % 10**DIGITS:0{DIGITS}d}"


def step_of(secret: str, code: str, moment: float, after: int) -> int | None:
    """
    Say which step a typed code belongs to.

    Parameters
    ----------
    secret : str
        In base 32.
    code : str
        As typed.
    moment : float
        Seconds since 1970.
    after : int
        Step of the last code that was used; this and earlier ones do not count.

    Returns
    -------
    int or None
        None when the code is not one that counts now.
    """
    typed = "".join(code.split())
    now = int(moment) // STEP_S
    for step in range(now - EITHER_WAY, now + EITHER_WAY + 1):
        if step > after and hmac.compare_digest(code_at(secret, step).encode(), typed.encode()):
            return step
    return None


def address_for_device(secret: str, login: str) -> str:
    """
    Write the secret as the address that devices read.

    Parameters
    ----------
    secret, login : str

    Returns
    -------
    str
    """
    return f"otpauth://totp/mealplan:{quote(login)}?secret={secret}&issuer=mealplan"
