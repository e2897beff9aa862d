"""Backups that only who knows the secret can read."""

import gzip
import hashlib
import io
import random

import pytest
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

from mealplan.errors import StoreError
from mealplan.store import sealed
from mealplan.store.backup import backup, needs_secret, restore
from mealplan.store.sealed import MAGIC, PIECE, SealedReader, SealedWriter
from tests.mealplan.store.conftest import NOW
from tests.mealplan.store.memory import MemoryStore
from tests.mealplan.store.test_backup import everything, filled

SECRET = "three plain words"


@pytest.fixture(autouse=True)
def cheap(monkeypatch):
    """Draw keys at a cost that tests can pay; the scheme stays the same."""
    monkeypatch.setattr(sealed, "SCRYPT_N", 2**4)


def sealed_bytes(data, secret=SECRET, step=10_000):
    raw = io.BytesIO()
    with SealedWriter(raw, secret) as out:
        for at in range(0, len(data), step):
            out.write(data[at : at + step])
    return raw.getvalue()


def opened(data, secret=SECRET):
    return io.BufferedReader(SealedReader(io.BytesIO(data), secret)).read()


@pytest.mark.parametrize("size", [0, 1, PIECE - 1, PIECE, PIECE + 1, 3 * PIECE, 3 * PIECE + 7])
def test_what_was_sealed_is_read_again(size):
    data = random.Random(size).randbytes(size)
    assert opened(sealed_bytes(data)) == data


def test_pieces_are_what_the_construction_says():
    # source: worked by hand (STREAM over ChaCha20-Poly1305: nonce = random prefix, number, last;
    # the key by scrypt of Python's own hashlib, another implementation)
    data = b"x" * (PIECE + 5)
    file = sealed_bytes(data)
    head, body = file[: len(MAGIC) + 23], file[len(MAGIC) + 23 :]
    salt, prefix = head[len(MAGIC) : -7], head[-7:]
    cipher = ChaCha20Poly1305(
        hashlib.scrypt(SECRET.encode(), salt=salt, n=sealed.SCRYPT_N, r=8, p=1, dklen=32)
    )
    first = cipher.decrypt(prefix + bytes([0, 0, 0, 0, 0]), body[: PIECE + 16], head)
    last = cipher.decrypt(prefix + bytes([0, 0, 0, 1, 1]), body[PIECE + 16 :], head)
    assert first + last == data


def damaged(file, how):
    at = len(MAGIC) + 23
    piece = PIECE + 16
    if how == "a bit":
        return file[: at + 9] + bytes([file[at + 9] ^ 1]) + file[at + 10 :]
    if how == "swapped":
        return file[:at] + file[at + piece : at + 2 * piece] + file[at : at + piece]
    if how == "head":
        return file[: at - 1] + bytes([file[at - 1] ^ 1]) + file[at:]
    return {"last piece gone": file[: at + 2 * piece], "cut": file[:-1], "only a head": file[:at]}[
        how
    ]


@pytest.mark.parametrize(
    "how", ["a bit", "swapped", "head", "last piece gone", "cut", "only a head"]
)
def test_a_changed_file_is_noticed(how):
    with pytest.raises(StoreError, match="changed or cut short"):
        opened(damaged(sealed_bytes(bytes(2 * PIECE + 50)), how))


def test_another_secret_opens_nothing():
    with pytest.raises(StoreError, match="another one"):
        opened(sealed_bytes(b"x"), "three other words")
    with pytest.raises(StoreError, match="12 or more"):
        sealed_bytes(b"x", "short")


def test_a_sealed_backup_comes_back_and_shows_nothing(tmp_path):
    store = filled(MemoryStore())
    before, source = everything(store), tmp_path / "one.backup"
    assert backup(store, source, NOW, SECRET) == 4
    assert needs_secret(source)
    assert b"club rower" not in source.read_bytes()
    with pytest.raises(gzip.BadGzipFile):
        gzip.decompress(source.read_bytes())
    other = MemoryStore()
    with pytest.raises(StoreError, match="sealed"):
        restore(other, source)
    with pytest.raises(StoreError, match="another one"):
        restore(other, source, secret="not the right words")
    assert restore(other, source, secret=SECRET) == 4
    assert everything(other) == before


def test_a_sealed_backup_is_named_by_command(tmp_path, monkeypatch, capsys):
    from mealplan.cli.main import main

    db, target, key = str(tmp_path / "a.sqlite"), tmp_path / "a.backup", tmp_path / "key"
    key.write_text(SECRET + "\n", encoding="utf-8")
    assert main(["backup", str(target), "--key-file", str(key), "--db", db]) == 0
    assert "sealed" in capsys.readouterr().out
    monkeypatch.setattr("sys.stdin", io.StringIO("wrong, wrong, wrong\n"))
    other = str(tmp_path / "b.sqlite")
    assert main(["restore", str(target), "--db", other]) != 0
    monkeypatch.setattr("sys.stdin", io.StringIO(SECRET + "\n"))
    assert main(["restore", str(target), "--db", other]) == 0
    monkeypatch.setattr("sys.stdin", io.StringIO("\n"))
    assert main(["backup", str(tmp_path / "c.backup"), "--sealed", "--db", db]) != 0
    assert not (tmp_path / "c.backup").exists()
