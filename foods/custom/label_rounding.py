"""
How far a printed amount may lie from the true one, by the rounding rules of both forms of label.

References
----------
.. [1] US Code of Federal Regulations, 21 CFR 101.9(c)(1) to (c)(9).
.. [2] European Commission, guidance on tolerances for nutrient values declared on a label, December
   2012, section 6: rounding.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from foods.custom.daily_values import Form, daily_values


@dataclass(frozen=True)
class Span:
    """A declared amount with the least and most it may stand for, rounding being what it is."""

    value: float
    low: float
    high: float

    def times(self, factor: float) -> Span:
        """
        Scale it.

        Parameters
        ----------
        factor : float
            [1]

        Returns
        -------
        Span
        """
        return Span(self.value * factor, self.low * factor, self.high * factor)

    def plus(self, other: Span) -> Span:
        """
        Add another.

        Parameters
        ----------
        other : Span
            The other span, in the same unit.
        """
        return Span(self.value + other.value, self.low + other.low, self.high + other.high)

    def minus(self, other: Span) -> Span:
        """
        Take another off; nothing falls below 0.

        Parameters
        ----------
        other : Span
            The other span, in the same unit.
        """
        return Span(
            max(0.0, self.value - other.value),
            max(0.0, self.low - other.high),
            max(0.0, self.high - other.low),
        )

    @property
    def sd(self) -> float:
        """Standard deviation of an amount that lies anywhere in the span alike."""
        return (self.high - self.low) / math.sqrt(12)


def _us_step(name: str, value: float) -> tuple[float, float]:
    """Step of rounding, and what is printed as 0, by 21 CFR 101.9(c)."""
    if name == "energy_kcal":
        return (5.0 if value <= 50 else 10.0), 5.0
    if name == "energy_kj":
        return (20.0 if value <= 209 else 40.0), 20.0
    if name in ("sodium_mg", "potassium_mg"):
        return (5.0 if value <= 140 else 10.0), 5.0
    if name.endswith("fat_g"):
        return (0.5 if value < 5 else 1.0), 0.5
    return 1.0, 0.5


def _eu_step(name: str, value: float) -> tuple[float, float]:
    """Step of rounding, and what is printed as 0, by the Commission's guidance of 2012."""
    if name in ("energy_kcal", "energy_kj"):
        return 1.0, 0.5
    if name == "salt_g":
        return (0.1 if value >= 1 else 0.01), 0.0125
    if name == "sodium_mg":
        return (100.0 if value >= 1000 else 1.0), 5.0
    if name.endswith("fat_g") and name != "fat_g":
        return (1.0 if value >= 10 else 0.1), 0.1
    return (1.0 if value >= 10 else 0.1), 0.5


def _micro_step(name: str, value: float) -> float:
    """Last place of two significant figures, three for the minerals and vitamins of bulk."""
    if value <= 0:
        return 0.0
    figures = 3 if name in _THREE_FIGURES else 2
    return float(10.0 ** (math.floor(math.log10(value)) - figures + 1))


_THREE_FIGURES = frozenset(
    {
        "vitamin_a_ug", "folate_ug", "chloride_mg", "calcium_mg", "phosphorus_mg", "magnesium_mg",
        "iodine_ug", "potassium_mg",
    }
)  # fmt: skip


def _printed_step(value: float, step: float) -> float:
    """Narrow a step to the last place that is printed, where a label prints finer."""
    while step > 1e-4 and abs(value / step - round(value / step)) > 1e-6:
        step /= 5 if f"{step:e}"[0] == "5" else 2 if f"{step:e}"[0] == "2" else 10
    return step


def span_of(form: Form, name: str, value: float) -> Span:
    """
    Say what a printed amount may stand for.

    Parameters
    ----------
    form : {"eu", "us"}
    name : str
        Field of the label, such as ``fat_g``, or a key of :func:`daily_values`.
    value : float
        As printed. [unit of the field]

    Returns
    -------
    Span
        Same unit.
    """
    if name in daily_values() and (form == "eu" or name != "potassium_mg"):
        step = _printed_step(value, _micro_step(name, value))
        return Span(value, max(0.0, value - step / 2), value + step / 2)
    step, zero = (_us_step if form == "us" else _eu_step)(name, value)
    if value == 0:
        return Span(0.0, 0.0, zero)
    step = _printed_step(value, step)
    return Span(value, max(0.0, value - step / 2), value + step / 2)


def percent_span(form: Form, name: str, percent: float) -> Span:
    """
    Turn a share of the daily value into an amount.

    Parameters
    ----------
    form : {"eu", "us"}
    name : str
        Key of :func:`daily_values`.
    percent : float
        As printed. [%]

    Returns
    -------
    Span
        In the unit of the key. US labels round to 2 % up to 10 %, to 5 % up to 50 % and to 10 %
        above (21 CFR 101.9(c)(8)(iii)); European ones to whole per cents.
    """
    whole = daily_values()[name].of(form)
    if whole is None:
        raise ValueError(f"{form.upper()} labels have no daily value of {name}")
    step = 1.0
    if form == "us":
        step = 2.0 if percent <= 10 else 5.0 if percent <= 50 else 10.0
        step = _printed_step(percent, step)
    low, high = max(0.0, percent - step / 2), percent + step / 2
    if percent == 0 and form == "us":
        high = 2.0
    return Span(percent, low, high).times(whole / 100)
