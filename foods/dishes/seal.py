"""
The shipped dishes as they were proven, kept with the release so that starting does not prove again.

The seal names a digest of everything the proof rests on: dish files, tables and the modules that
prove. Where one byte of it differs the seal counts for nothing and every dish is proven anew;
``python -m foods.dishes --seal`` writes it, and only after proving.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import zlib
from collections.abc import Iterator, Sequence
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from foods.dishes.model import Dish

SEAL = "proven_dishes.json.gz"
TABLES = ("catalogue.csv", "cuts.csv", "seasonings.csv", "treatments.csv", "verbs.csv",
          "vessels.csv")  # fmt: skip
"""What a proof looks up, under ``foods/data``."""


def _inputs() -> Iterator[Traversable]:
    """Give everything the proof rests on, in a fixed order."""
    root = files("foods")
    data = root / "data"
    yield from (data / name for name in TABLES)
    for folder, ending in ((data / "dishes", ".toml"), (root / "dishes", ".py")):
        yield from sorted(
            (entry for entry in folder.iterdir() if entry.name.endswith(ending)),
            key=lambda entry: entry.name,
        )
    yield root / "composition" / "catalogue.py"


def digest() -> str:
    """
    Work out the digest of everything the proof of the shipped dishes rests on.

    Returns
    -------
    str
        SHA-256, in hexadecimal digits.
    """
    found = hashlib.sha256()
    for entry in _inputs():
        body = entry.read_bytes().replace(b"\r\n", b"\n")
        found.update(f"{entry.name} {len(body)}\n".encode())
        found.update(body)
    return found.hexdigest()


def sealed() -> tuple[Dish, ...] | None:
    """
    Give the dishes the seal holds.

    Returns
    -------
    tuple of Dish or None
        None when there is no seal, it is damaged, or anything it rests on has changed.
    """
    try:
        return opened((files("foods") / "data" / SEAL).read_bytes(), digest())
    except OSError:
        return None


def opened(body: bytes, rests_on: str) -> tuple[Dish, ...] | None:
    """
    Open a seal.

    Parameters
    ----------
    body : bytes
        What the file holds.
    rests_on : str
        Digest of what the proof rests on now.

    Returns
    -------
    tuple of Dish or None
        None when it is damaged or was made from something else.
    """
    from foods.dishes.model import Dish

    try:
        content = json.loads(gzip.decompress(body))
        if content["digest"] != rests_on or content["sum"] != _sum(content["dishes"]):
            return None
        entries = content["dishes"]
    except (OSError, EOFError, ValueError, KeyError, TypeError, zlib.error):
        return None
    return tuple(Dish.model_validate(entry, context={"proven": True}) for entry in entries)


def seal(dishes: Sequence[Dish], folder: Path) -> Path:
    """
    Write the seal of dishes that were proven just now.

    Parameters
    ----------
    dishes : sequence of Dish
        Every shipped dish, loaded from its file.
    folder : Path
        Where the tables of food stand.

    Returns
    -------
    Path
        The file written.
    """
    entries = [
        dish.model_dump(mode="json", by_alias=True, exclude_defaults=True) for dish in dishes
    ]
    content = {"digest": digest(), "sum": _sum(entries), "dishes": entries}
    path = folder / SEAL
    path.write_bytes(gzip.compress(json.dumps(content, ensure_ascii=False).encode(), mtime=0))
    return path


def _sum(entries: object) -> str:
    return hashlib.sha256(json.dumps(entries, ensure_ascii=False).encode()).hexdigest()
