"""Words of food names brought to one form, and what a word may stand for."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from typing import Protocol


class Named(Protocol):
    """What the words of a food are drawn from."""

    @property
    def key(self) -> str: ...  # noqa: D102
    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def group(self) -> str: ...  # noqa: D102
    @property
    def role(self) -> str: ...  # noqa: D102
    @property
    def words(self) -> str: ...  # noqa: D102
    @property
    def heat(self) -> int: ...  # noqa: D102
    @property
    def allergens(self) -> tuple[str, ...]: ...  # noqa: D102
    @property
    def label_check(self) -> tuple[str, ...]: ...  # noqa: D102


Test = Callable[[Named], bool]


def _singular(word: str) -> str:
    if len(word) < 4 or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith("leaves"):
        return word[:-3] + "f"
    if word.endswith(("oes", "ches", "shes", "xes", "sses")):
        return word[:-2]
    return word[:-1] if word.endswith("s") else word


def normalised(text: str) -> str:
    """
    Lower the case, drop accents and punctuation, and make plurals singular.

    Parameters
    ----------
    text : str
        Such as ``Jalapeño peppers`` or ``black-eyed_peas``.

    Returns
    -------
    str
        Such as ``jalapeno pepper``.
    """
    plain = unicodedata.normalize("NFKD", text.lower()).encode("ascii", "ignore").decode()
    return " ".join(_singular(word) for word in re.findall(r"[a-z0-9]+", plain.replace("'", "")))
