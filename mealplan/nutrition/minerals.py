"""
How much of the zinc and calcium in plant foods is taken up.

For display and for counting calcium of high-oxalate greens; the food table holds neither phytate
nor oxalate, so nothing here changes a zinc target by itself.

References
----------
.. [1] Miller, Krebs and Hambidge 2007, J Nutr 137:135, doi:10.1093/jn/137.1.135.
.. [2] EFSA 2014, zinc, doi:10.2903/j.efsa.2014.3844.
.. [3] Weaver and co-workers' isotope studies, tabulated in PMC5442193 table 1.
"""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import Literal

from mealplan.errors import TargetError
from mealplan.references.tables import Sex
from mealplan.references.uptake_tables import (
    calcium_absorption_rows,
    plant_adjustment_rows,
    zinc_by_phytate_rows,
)
from mealplan.science.equations import equation

ZINC_G_PER_MOL = 65.38
PHYTATE_G_PER_MOL = 660.04

_HIGH_OXALATE = re.compile(
    r"^(spinach|new zealand spinach|chard|beet greens|rhubarb|amaranth leaves)\b", re.IGNORECASE
)


def _not_negative(**amounts: float) -> None:
    for name, value in amounts.items():
        if value < 0:
            raise TargetError(f"{name}={value:g} is negative; amounts start at 0")


@equation("minerals")
def phytate_zinc_ratio(phytate_mg: float, zinc_mg: float) -> float:
    """
    Work out the molar ratio of phytate to zinc in a day's food.

    Parameters
    ----------
    phytate_mg, zinc_mg : float
        Amounts in the same food. [mg]

    Returns
    -------
    float
        [mol/mol]
    """
    _not_negative(phytate_mg=phytate_mg, zinc_mg=zinc_mg)
    if zinc_mg == 0:
        raise TargetError("zinc_mg=0: without zinc there is no ratio")
    return (phytate_mg / PHYTATE_G_PER_MOL) / (zinc_mg / ZINC_G_PER_MOL)


@equation("minerals")
def zinc_availability(ratio: float) -> Literal["high", "moderate", "low"]:
    """
    Name the band of a phytate to zinc ratio: high below 5, low above 15 [mol/mol].

    Parameters
    ----------
    ratio : float
        Phytate over zinc. [mol/mol]
    """
    _not_negative(ratio=ratio)
    rows = plant_adjustment_rows()
    if ratio < rows["phytate_zinc_moderate"].value:
        return "high"
    return "low" if ratio > rows["phytate_zinc_low"].value else "moderate"


@equation("minerals")
def zinc_absorbed_mg(zinc_mg: float, phytate_mg: float) -> float:
    """
    Estimate the zinc an adult absorbs in a day from zinc and phytate eaten.

    Parameters
    ----------
    zinc_mg, phytate_mg : float
        Eaten that day. [mg/day]

    Returns
    -------
    float
        Saturable absorption; parameters from memory, cross-checked against EFSA's average
        requirements. For display only. [mg/day]
    """
    _not_negative(zinc_mg=zinc_mg, phytate_mg=phytate_mg)
    rows = plant_adjustment_rows()
    most, k_r, k_p = (rows[f"zinc_model_{name}"].value for name in ("amax", "kr", "kp"))
    zinc, phytate = zinc_mg / ZINC_G_PER_MOL, phytate_mg / PHYTATE_G_PER_MOL
    total = most + zinc + k_r * (1 + phytate / k_p)
    return 0.5 * (total - math.sqrt(total**2 - 4 * most * zinc)) * ZINC_G_PER_MOL


@equation("minerals")
def zinc_goal_by_phytate_mg(sex: Sex, phytate_mg: float) -> float:
    """
    Look up the zinc intake that covers nearly all adults at a level of phytate.

    Parameters
    ----------
    sex : {"male", "female"}
        Reference body masses of 68.1 and 58.5 kg.
    phytate_mg : float
        A day's phytate; between the published levels the value is interpolated, outside them the
        nearest level stands. [mg/day]

    Returns
    -------
    float
        Zinc. [mg/day]
    """
    _not_negative(phytate_mg=phytate_mg)
    rows = [row for row in zinc_by_phytate_rows() if row.sex == sex]
    if phytate_mg <= rows[0].phytate_mg:
        return rows[0].zinc_mg
    for below, above in pairwise(rows):
        if phytate_mg <= above.phytate_mg:
            share = (phytate_mg - below.phytate_mg) / (above.phytate_mg - below.phytate_mg)
            return below.zinc_mg + share * (above.zinc_mg - below.zinc_mg)
    return rows[-1].zinc_mg


@equation("minerals")
def calcium_absorbed_fraction(load_mg: float) -> float:
    """
    Estimate the fraction absorbed from one dose of calcium in milk.

    Parameters
    ----------
    load_mg : float
        Calcium in one sitting, 15 to 500; larger doses are absorbed less. [mg]

    Returns
    -------
    float
        Fraction from 0 to 1.
    """
    if not 15 <= load_mg <= 1500:
        raise TargetError(f"load_mg={load_mg:g} is outside 15 to 1500, where the line was drawn")
    rows = plant_adjustment_rows()
    return rows["calcium_load_intercept"].value + rows["calcium_load_slope"].value * math.log(
        load_mg
    )


@equation("minerals")
def calcium_absorbed_mg(food: str, calcium_mg: float) -> float:
    """
    Estimate the calcium absorbed from a serving of one of the foods that were studied.

    Parameters
    ----------
    food : str
        Name in ``calcium_absorption.csv``, such as ``kale``.
    calcium_mg : float
        Calcium in the serving. [mg]

    Returns
    -------
    float
        Absorbed. [mg]
    """
    _not_negative(calcium_mg=calcium_mg)
    return calcium_mg * _fraction(food)


@equation("minerals")
def milk_equivalent_factor(food: str) -> float:
    """
    Compare a food's fractional calcium absorption with cow's milk, the yardstick.

    Parameters
    ----------
    food : str
        Its name in the table of fractional absorption.
    """
    return _fraction(food) / _fraction("cow's milk (yardstick only)")


def _fraction(food: str) -> float:
    rows = calcium_absorption_rows()
    if food not in rows:
        raise TargetError(f"no calcium absorption for {food!r}; studied were {', '.join(rows)}")
    return rows[food].fraction


def is_high_oxalate(description: str) -> bool:
    """
    Tell whether a food's calcium is mostly bound to oxalate.

    Parameters
    ----------
    description : str
        The food's description in the food table, such as ``Spinach, raw``.

    Returns
    -------
    bool
        True for spinach, chard, beet greens, rhubarb and amaranth leaves. Oats, beans or nuts hold
        oxalate too, but their calcium was not shown to be that unavailable.
    """
    return _HIGH_OXALATE.match(description.strip()) is not None


@equation("minerals")
def counted_calcium_mg(calcium_mg: float, description: str) -> float:
    """
    Count calcium toward the floor as milk's would be.

    Parameters
    ----------
    calcium_mg : float
        Calcium in the portion. [mg]
    description : str
        The food's description.

    Returns
    -------
    float
        All of it, or the factor 0.159 for high-oxalate greens. [mg]
    """
    _not_negative(calcium_mg=calcium_mg)
    if not is_high_oxalate(description):
        return calcium_mg
    return calcium_mg * plant_adjustment_rows()["oxalate_calcium_factor"].value
