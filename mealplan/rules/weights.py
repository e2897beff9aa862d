"""
The weights of the objective: what the programme wants, and how much.

Each stands once, in ``weights.toml``, with its unit, its meaning and the reason for its size.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True)
class Weight:
    """One weight of the objective."""

    key: str
    family: str
    """What it belongs with: tiers of rows, repeating, buying, minutes and so on."""
    value: float
    """Below nought for what is welcome. [unit]"""
    unit: str
    meaning: str
    reason: str


@cache
def weights() -> Mapping[str, Weight]:
    """
    Read the table.

    Returns
    -------
    mapping of str to Weight
        By key, in the order of the table.
    """
    text = (files("mealplan.rules") / "weights.toml").read_text(encoding="utf-8")
    return {key: Weight(key=key, **entry) for key, entry in tomllib.loads(text).items()}


def by_family() -> tuple[tuple[str, tuple[Weight, ...]], ...]:
    """
    Group the table for reading.

    Returns
    -------
    tuple of (str, tuple of Weight)
        Families in the order of the table.
    """
    found: dict[str, list[Weight]] = {}
    for one in weights().values():
        found.setdefault(one.family, []).append(one)
    return tuple((family, tuple(group)) for family, group in found.items())


def weight(key: str) -> float:
    """
    Give the size of one weight.

    Parameters
    ----------
    key : str
        As in the table.

    Returns
    -------
    float
    """
    return weights()[key].value
