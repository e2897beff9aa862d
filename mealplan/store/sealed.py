"""
Files that only who knows a secret can read: written and read in pieces, so that memory stays flat.

The key is drawn from the secret by scrypt. Each piece is sealed by ChaCha20-Poly1305 with its
number and whether it is the last in its nonce (the STREAM construction of Hoang, Reyhanitabar,
Rogaway and Vizár, 2015), so that pieces changed, swapped, left out or cut off are noticed.
"""

from __future__ import annotations

import io
import secrets
from pathlib import Path
from typing import BinaryIO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from mealplan.errors import StoreError

MAGIC = b"mealplan sealed 1\n"
"""Begins every sealed file."""
SHORTEST_SECRET = 12
"""Shortest secret taken. [characters]"""
PIECE = 64 * 1024
"""Bytes sealed at a time."""
SALT = 16
PREFIX = 7
"""Random part of each nonce. [bytes]"""
TAG = 16
SCRYPT_N, SCRYPT_R, SCRYPT_P = 2**17, 8, 1
"""Cost of trying one secret: 128 MB and some tenths of a second."""


def secret_in(file: Path) -> str:
    """
    Read the secret of sealed backups.

    Parameters
    ----------
    file : Path

    Returns
    -------
    str
        Its first line.

    Raises
    ------
    StoreError
        When it cannot be read, or says nothing.
    """
    try:
        with file.open(encoding="utf-8") as lines:
            secret = lines.readline().rstrip("\n")
    except (OSError, UnicodeDecodeError) as error:
        raise StoreError(
            f"{file} cannot be read ({type(error).__name__}); it holds the secret in its first line"
        ) from None
    if not secret:
        raise StoreError(
            f"the first line of {file} is empty; put the secret there and run this again"
        )
    return secret


def is_sealed(head: bytes) -> bool:
    """
    Say whether a file that begins so is sealed.

    Parameters
    ----------
    head : bytes

    Returns
    -------
    bool
    """
    return head.startswith(MAGIC)


def _cipher(secret: str, salt: bytes) -> ChaCha20Poly1305:
    scrypt = Scrypt(salt=salt, length=32, n=SCRYPT_N, r=SCRYPT_R, p=SCRYPT_P)
    return ChaCha20Poly1305(scrypt.derive(secret.encode()))


def _nonce(prefix: bytes, number: int, *, last: bool) -> bytes:
    return prefix + number.to_bytes(4) + bytes([last])


class SealedWriter(io.RawIOBase):
    """
    Seals what is written to it.

    Parameters
    ----------
    raw : file
        Where the sealed pieces go; stays open.
    secret : str

    Raises
    ------
    StoreError
        When the secret is too short.
    """

    def __init__(self, raw: BinaryIO, secret: str) -> None:
        if len(secret) < SHORTEST_SECRET:
            raise StoreError(
                f"the secret has {len(secret)} characters; take {SHORTEST_SECRET} or more, several "
                "words say"
            )
        self._raw = raw
        self._prefix = secrets.token_bytes(PREFIX)
        salt = secrets.token_bytes(SALT)
        self._cipher = _cipher(secret, salt)
        self._head = MAGIC + salt + self._prefix
        self._number = 0
        self._waiting = bytearray()
        raw.write(self._head)

    def writable(self) -> bool:
        """Return True."""
        return True

    def write(self, data: bytes | bytearray | memoryview, /) -> int:  # type: ignore[override]
        """
        Take bytes; what fills a piece is sealed.

        Parameters
        ----------
        data : bytes | bytearray | memoryview
            Plain bytes that follow those written before.
        """
        self._waiting += data
        # One byte more than a piece waits: the last piece must be known to be the last.
        while len(self._waiting) > PIECE:
            self._seal(bytes(self._waiting[:PIECE]), last=False)
            del self._waiting[:PIECE]
        return memoryview(data).nbytes

    def _seal(self, piece: bytes, *, last: bool) -> None:
        nonce = _nonce(self._prefix, self._number, last=last)
        self._raw.write(self._cipher.encrypt(nonce, piece, self._head))
        self._number += 1

    def close(self) -> None:
        """Seal what is left as the last piece; without it the file does not open."""
        if not self.closed:
            self._seal(bytes(self._waiting), last=True)
            self._waiting.clear()
        super().close()


class SealedReader(io.RawIOBase):
    """
    Gives back what was sealed, each piece only once it is known to be whole.

    Parameters
    ----------
    raw : file
        At its beginning.
    secret : str

    Raises
    ------
    StoreError
        On reading, when the secret is another or the file was changed.
    """

    def __init__(self, raw: BinaryIO, secret: str) -> None:
        self._raw = raw
        self._head = raw.read(len(MAGIC) + SALT + PREFIX)
        salt = self._head[len(MAGIC) : len(MAGIC) + SALT]
        self._prefix = self._head[len(MAGIC) + SALT :]
        if not is_sealed(self._head) or len(self._prefix) != PREFIX:
            raise StoreError("the file is not sealed, or was cut short; nothing was changed")
        self._cipher = _cipher(secret, salt)
        self._next = raw.read(PIECE + TAG)
        self._number = 0
        self._ended = False
        self._open = b""

    def readable(self) -> bool:
        """Return True."""
        return True

    def readinto(self, into: bytearray | memoryview, /) -> int:  # type: ignore[override]
        """
        Fill a buffer; 0 at the end.

        Parameters
        ----------
        into : bytearray | memoryview
            Filled from its start.
        """
        while not self._open and not self._ended:
            self._open = self._piece()
        view = memoryview(into).cast("B")
        count = min(len(view), len(self._open))
        view[:count] = self._open[:count]
        self._open = self._open[count:]
        return count

    def _piece(self) -> bytes:
        sealed, self._next = self._next, self._raw.read(PIECE + TAG)
        self._ended = not self._next
        nonce = _nonce(self._prefix, self._number, last=self._ended)
        self._number += 1
        try:
            return self._cipher.decrypt(nonce, sealed, self._head)
        except InvalidTag:
            raise StoreError(
                "the secret is another one, or the file was changed or cut short; nothing was "
                "changed here"
            ) from None
