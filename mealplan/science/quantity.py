"""
A quantity that carries its own working: value, unit, how it came about, source and uncertainty.

Uncertainty is first-order and linear: every quantity remembers how much each independent source of
error moves it, so that two results built on the same scan are known to move together. The same
object feeds the command line, the pages and the JSON.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Literal

from pydantic import BaseModel, ConfigDict

Provenance = Literal[
    "published",
    "confirmed by independent transcription",
    "worked by hand",
    "common practice",
    "from memory",
    "measured",
    "stated",
]
"""Where a number comes from; ``measured`` and ``stated`` are what the client brought."""

NINETY_PERCENT = 1.645
"""Standard deviations either side of the mean that hold 90 % of a normal distribution."""


class Quantity(BaseModel):
    """
    One number with its working.

    ``components`` maps each independent source of error to the signed change it causes when it is
    one standard deviation off. [unit of the quantity]
    """

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    key: str
    label: str
    value: float
    unit: str
    method: str
    source: str = ""
    provenance: Provenance = "common practice"
    inputs: tuple[Quantity, ...] = ()
    components: dict[str, float] = {}
    note: str = ""

    @property
    def sd(self) -> float:
        """Standard deviation, all sources together [unit of the quantity]."""
        return math.sqrt(sum(part * part for part in self.components.values()))

    @property
    def low(self) -> float:
        """Lower end of the 90 % range [unit of the quantity]."""
        return self.value - NINETY_PERCENT * self.sd

    @property
    def high(self) -> float:
        """Upper end of the 90 % range [unit of the quantity]."""
        return self.value + NINETY_PERCENT * self.sd

    def shares(self) -> tuple[tuple[str, float], ...]:
        """
        Split the variance over its sources, largest first.

        Returns
        -------
        tuple of (source, share)
            Shares sum to 1; empty when the quantity is exact.
        """
        total = sum(part * part for part in self.components.values())
        if total == 0:
            return ()
        parts = ((name, part * part / total) for name, part in self.components.items())
        return tuple(sorted(parts, key=lambda item: (-item[1], item[0])))


def given(
    key: str,
    label: str,
    value: float,
    unit: str,
    *,
    sd: float = 0.0,
    error_name: str = "",
    method: str = "as given",
    source: str = "intake",
    provenance: Provenance = "stated",
    note: str = "",
) -> Quantity:
    """
    Make a quantity that nothing else in the program explains.

    Parameters
    ----------
    key, label, value, unit
        What it is.
    sd : float
        Standard deviation of its own error. [unit]
    error_name : str
        Name of that source of error in plain words; the label when empty.
    method, source, provenance, note
        How and where it was got.

    Returns
    -------
    Quantity
    """
    return Quantity(
        key=key,
        label=label,
        value=value,
        unit=unit,
        method=method,
        source=source,
        provenance=provenance,
        components={error_name or label: sd} if sd else {},
        note=note,
    )


def derive(
    key: str,
    label: str,
    unit: str,
    formula: Callable[..., float],
    inputs: Mapping[str, Quantity],
    *,
    method: str,
    source: str,
    provenance: Provenance,
    model_sd: float = 0.0,
    model_error: str = "",
    note: str = "",
) -> Quantity:
    """
    Work a quantity out from others and carry their uncertainty through.

    Each input's error moves the result by the central difference of ``formula`` over one standard
    deviation of that input; contributions of the same source add with their sign.

    Parameters
    ----------
    key, label, unit
        What the result is.
    formula : callable
        Called with the inputs' values by keyword.
    inputs : mapping of str to Quantity
        Keyword to quantity.
    method : str
        The formula in words or symbols, for the worksheet.
    source, provenance, note
        Where the formula comes from.
    model_sd : float
        Standard deviation of the formula's own error. [unit]
    model_error : str
        Name of that source of error.

    Returns
    -------
    Quantity
    """
    values = {name: quantity.value for name, quantity in inputs.items()}
    components: dict[str, float] = {}
    for name, quantity in inputs.items():
        if not quantity.components:
            continue
        step = quantity.sd
        upper = formula(**{**values, name: quantity.value + step})
        lower = formula(**{**values, name: quantity.value - step})
        slope = (upper - lower) / (2 * step)
        for origin, part in quantity.components.items():
            components[origin] = components.get(origin, 0.0) + slope * part
    if model_sd:
        origin = model_error or f"error of {label}"
        components[origin] = math.hypot(components.get(origin, 0.0), model_sd)
    return Quantity(
        key=key,
        label=label,
        value=formula(**values),
        unit=unit,
        method=method,
        source=source,
        provenance=provenance,
        inputs=tuple(inputs.values()),
        components=components,
        note=note,
    )
