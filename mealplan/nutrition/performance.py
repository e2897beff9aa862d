"""
Lines for training and races: caffeine, creatine, nitrate, beta-alanine, bicarbonate.

All are off by default and none is needed; each carries dose, timing, grade of evidence and caution.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

from mealplan.errors import TargetError
from mealplan.references.tables import Provenance, provenance, read_rows


@dataclass(frozen=True)
class PerformanceRow:
    """One line: dose a kilogram or flat, when, grade of evidence, and what can go wrong."""

    key: str
    label: str
    low: float
    high: float
    unit: str
    timing: str
    evidence: str
    caution: str
    not_with: tuple[str, ...]
    """Health flags beside which it is not offered."""
    source: str
    provenance: Provenance

    def dose(self, body_mass_kg: float) -> str:
        """
        Say the dose for a body.

        Parameters
        ----------
        body_mass_kg : float
            [kg]

        Returns
        -------
        str
        """
        if self.unit.endswith("/kg"):
            low, high = self.low * body_mass_kg, self.high * body_mass_kg
            return f"{low:.0f} to {high:.0f} {self.unit.removesuffix('/kg')}, {self.timing}"
        return f"{self.low:g} to {self.high:g} {self.unit}, {self.timing}"


@cache
def performance_rows() -> dict[str, PerformanceRow]:
    """
    Load the lines.

    Returns
    -------
    dict of str to PerformanceRow
        By key, in file order.
    """
    return {
        row["key"]: PerformanceRow(
            key=row["key"],
            label=row["label"],
            low=float(row["low"]),
            high=float(row["high"]),
            unit=row["unit"],
            timing=row["timing"],
            evidence=row["evidence"],
            caution=row["caution"],
            not_with=tuple(flag for flag in row["not_with"].split(";") if flag),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("performance.csv")
    }


def performance_lines(
    wanted: Collection[str], health: Collection[str], age_years: float
) -> tuple[PerformanceRow, ...]:
    """
    Pick the lines a coach switched on.

    Parameters
    ----------
    wanted : collection of str
        Keys, such as ``caffeine``.
    health : collection of str
        Health flags of the client.
    age_years : float
        None of these is for anyone under 18. [years]

    Returns
    -------
    tuple of PerformanceRow

    Raises
    ------
    TargetError
        For an unknown key, under 18, or beside a condition it is not offered with.
    """
    rows = performance_rows()
    for key in wanted:
        if key not in rows:
            raise TargetError(f"no performance line {key!r}; there are {', '.join(rows)}")
        if age_years < 18:
            raise TargetError(f"{key} is not offered under 18; food first")
        clash = [flag for flag in rows[key].not_with if flag in health]
        if clash:
            raise TargetError(
                f"{key} is not offered with {clash[0]}: {rows[key].caution}. Take it off, or ask "
                "the physician"
            )
    return tuple(row for key, row in rows.items() if key in wanted)
