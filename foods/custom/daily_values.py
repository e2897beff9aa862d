"""What labels measure minerals and vitamins against, in both forms."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

Form = Literal["eu", "us"]


@dataclass(frozen=True)
class DailyValue:
    """What 100 % of a vitamin or mineral is on labels, and what it counts as here."""

    key: str
    label: str
    unit: str
    us: float | None
    """[unit]"""
    eu: float | None
    counts_as: str
    """Nutrient key; empty when it is not among the nutrients counted here."""
    us_factor: float
    """Nutrient units per label unit on a US label."""
    eu_factor: float
    ceiling_as: str
    """Added form that has an upper limit of its own; empty where there is none."""
    us_ceiling_factor: float
    """Most units of the added form per label unit on a US label."""
    eu_ceiling_factor: float
    note: str

    def of(self, form: Form) -> float | None:
        """
        Give the daily value of one form of label, in the unit of the key.

        Parameters
        ----------
        form : Form
            Form of the label.
        """
        return self.us if form == "us" else self.eu

    def factor(self, form: Form) -> float:
        """
        Give nutrient units per label unit.

        Parameters
        ----------
        form : Form
            Form of the label.
        """
        return self.us_factor if form == "us" else self.eu_factor

    def ceiling_factor(self, form: Form) -> float:
        """
        Give the most units of the added form that a label unit may be.

        Parameters
        ----------
        form : Form
            Form of the label.
        """
        return self.us_ceiling_factor if form == "us" else self.eu_ceiling_factor


@cache
def daily_values() -> Mapping[str, DailyValue]:
    """
    Read the daily values of US labels and the reference values of European ones.

    Returns
    -------
    mapping of str to DailyValue
        By the label's key, in the order labels list them.

    References
    ----------
    .. [1] 21 CFR 101.9(c)(8)(iv), adults and children from 4 years.
    .. [2] Regulation (EU) 1169/2011, Annex XIII part A.
    """
    text = files("foods").joinpath("data", "daily_values.csv").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            row["key"]: DailyValue(
                key=row["key"],
                label=row["label"],
                unit=row["unit"],
                us=float(row["us"]) if row["us"] else None,
                eu=float(row["eu"]) if row["eu"] else None,
                counts_as=row["counts_as"],
                us_factor=float(row["us_factor"]),
                eu_factor=float(row["eu_factor"]),
                ceiling_as=row["ceiling_as"],
                us_ceiling_factor=float(row["us_ceiling_factor"] or 0),
                eu_ceiling_factor=float(row["eu_ceiling_factor"] or 0),
                note=row["note"],
            )
            for row in csv.DictReader(text.splitlines())
        }
    )
