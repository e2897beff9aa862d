"""
Registry of nutrients: one row each, read from ``nutrients.csv``.

A key ends in the unit its values are in (``iron_mg``), so that no amount travels without one. The
registry maps each key to the release's nutrient number and, where one exists, to the INFOODS
tagname [1]_. A row with a rule is derived from other rows when the table is built.

References
----------
.. [1] FAO/INFOODS, Tagnames for food components; the release prints them in its NUTR_DEF file.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Literal, cast, get_args

from foods.registry.errors import FoodError

NutrientGroup = Literal["energy", "macro", "mineral", "vitamin", "amino acid", "fat", "other"]
Operation = Literal["sum", "first", "minus", "niacin_equivalents"]

TRYPTOPHAN_G_PER_NIACIN_MG = Decimal("0.06")
"""60 mg of tryptophan count as 1 mg of niacin (IOM 1998, Dietary Reference Intakes, B vitamins)."""


@dataclass(frozen=True, slots=True)
class DerivedRule:
    """
    How a derived nutrient is made from others.

    Parameters
    ----------
    operation : Operation
        ``sum`` adds the parts that are present, so a sum with a part missing is a lower bound;
        ``first`` takes the first part that is present; ``minus`` takes the second from the first
        and needs both; ``niacin_equivalents`` adds niacin and a sixtieth of the tryptophan, again
        a lower bound when one is missing.
    parts : tuple of str
        Keys of the nutrients it is made from, in order.
    """

    operation: Operation
    parts: tuple[str, str]

    def apply(self, amounts: Sequence[Decimal | None]) -> tuple[Decimal, tuple[str, ...]] | None:
        """
        Work out the derived amount, and say which parts it rests on.

        Parameters
        ----------
        amounts : sequence of Decimal or None
            Amounts of the parts per 100 g, in the order of ``parts``; None when missing.

        Returns
        -------
        tuple of Decimal and tuple of str, or None
            The amount, and the keys of the parts used; None when it stays missing.
        """
        first, second = amounts
        if self.operation == "minus":
            if first is None or second is None:
                return None
            return first - second, self.parts
        present = tuple(
            (key, amount)
            for key, amount in zip(self.parts, amounts, strict=True)
            if amount is not None
        )
        if not present:
            return None
        if self.operation == "first":
            key, amount = present[0]
            return amount, (key,)
        used = tuple(key for key, _ in present)
        if self.operation == "sum":
            return sum((amount for _, amount in present), Decimal(0)), used
        niacin, tryptophan = first or Decimal(0), second or Decimal(0)
        return niacin + tryptophan / TRYPTOPHAN_G_PER_NIACIN_MG, used


@dataclass(frozen=True, slots=True)
class Nutrient:
    """
    One nutrient as the tables, pages and rules know it.

    Parameters
    ----------
    key : str
        Name used in code and data, unit at the end, such as ``iron_mg``.
    label : str
        Plain English name.
    unit : str
        Unit as printed.
    ucum : str
        Unit as the UCUM code used in JSON.
    usda_number : int or None
        Number in the USDA release; None when the nutrient is derived.
    tagname : str
        INFOODS tagname; empty when none is known.
    group : NutrientGroup
        Heading under which pages list it.
    decimals : int
        Decimals shown on pages; data keep every digit.
    rule : Rule or None
        How it is derived; None when the release gives it.
    """

    key: str
    label: str
    unit: str
    ucum: str
    usda_number: int | None
    tagname: str
    group: NutrientGroup
    decimals: int
    rule: DerivedRule | None

    @property
    def derived(self) -> bool:
        """True when the amount is worked out from other nutrients of the same food."""
        return self.rule is not None


def _rule(text: str) -> DerivedRule | None:
    if not text:
        return None
    match = re.fullmatch(r"(\w+)\((\w+); (\w+)\)", text)
    if match is None or match[1] not in get_args(Operation):
        raise FoodError(
            f"nutrients.csv: rule {text!r} is not understood; "
            f"write one of {', '.join(get_args(Operation))} as name(part_one; part_two)"
        )
    return DerivedRule(cast("Operation", match[1]), (match[2], match[3]))


def _read() -> tuple[Nutrient, ...]:
    rows = files("foods.registry").joinpath("nutrients.csv").read_text("utf-8").splitlines()
    return tuple(
        Nutrient(
            key=row["key"],
            label=row["label"],
            unit=row["unit"],
            ucum=row["ucum"],
            usda_number=int(row["usda_number"]) if row["usda_number"] else None,
            tagname=row["tagname"],
            group=cast("NutrientGroup", row["group"]),
            decimals=int(row["decimals"]),
            rule=_rule(row["rule"]),
        )
        for row in csv.DictReader(rows)
    )


NUTRIENTS: tuple[Nutrient, ...] = _read()
"""Every nutrient of the registry, in the order pages show them."""

NUTRIENT_KEYS: tuple[str, ...] = tuple(item.key for item in NUTRIENTS)


@cache
def _by_key() -> dict[str, Nutrient]:
    return {item.key: item for item in NUTRIENTS}


@cache
def _by_number() -> dict[int, Nutrient]:
    return {item.usda_number: item for item in NUTRIENTS if item.usda_number is not None}


def nutrient(key: str) -> Nutrient:
    """
    Look up a nutrient by its key.

    Parameters
    ----------
    key : str
        Such as ``iron_mg``.

    Returns
    -------
    Nutrient

    Raises
    ------
    FoodError
        The key is not in the registry; the message names the nearest ones.
    """
    found = _by_key().get(key)
    if found is None:
        near = get_close_matches(key, NUTRIENT_KEYS, n=3, cutoff=0.5)
        hint = (
            f"did you mean {', '.join(near)}?"
            if near
            else "see foods/registry/nutrients.csv for all keys"
        )
        raise FoodError(
            f"nutrient {key!r} is not in the registry "
            f"(keys end in their unit, such as iron_mg); {hint}"
        )
    return found


def by_number(usda_number: int) -> Nutrient:
    """
    Look up a nutrient by its number in the USDA release.

    Parameters
    ----------
    usda_number : int
        Such as 303 for iron.

    Returns
    -------
    Nutrient

    Raises
    ------
    FoodError
        The registry keeps no nutrient of that number.
    """
    found = _by_number().get(usda_number)
    if found is None:
        raise FoodError(
            f"USDA nutrient number {usda_number} is not kept in the registry; "
            "foods/data/SOURCE.md lists the numbers that were dropped"
        )
    return found
