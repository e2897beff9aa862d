"""
Usual intake against the spread of requirements: the probability approach, for iron and zinc.

A week's mean stands for usual intake. What comes out is a share: of people of that sex, age and
condition, how many need no more than that. It screens nobody; ferritin and a clinician do.

References
----------
.. [1] IOM 2000, Dietary Reference Intakes: Applications in Dietary Assessment, chapter 4.
.. [2] IOM 2001, iron: pages 340 (men) and 571, table 14-1 (menstruating women), NAP record 10026.
.. [3] EFSA 2014, zinc by phytate, doi:10.2903/j.efsa.2014.3844.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from statistics import NormalDist
from typing import Literal

from mealplan.errors import TargetError
from mealplan.nutrition.minerals import zinc_goal_by_phytate_mg
from mealplan.nutrition.reference_intakes import reference_intake
from mealplan.references.tables import Condition, Sex, read_rows
from mealplan.references.uptake_tables import plant_adjustment_rows
from mealplan.science.equations import equation

ProbabilityNutrient = Literal["iron_mg", "zinc_mg"]
PROBABILITY_NUTRIENTS: tuple[ProbabilityNutrient, ...] = ("iron_mg", "zinc_mg")
Z_975 = NormalDist().inv_cdf(0.975)
HIGH_PHYTATE_MG = 1200.0
"""Phytate of a day of whole grains and pulses, the highest level published. [mg/day]"""
ZINC_CV = 0.10
"""Spread of the zinc requirement between people (IOM 2001; EFSA 2014 by body mass). [fraction]"""
MENSTRUATING = (19.0, 51.0)
"""Ages of the published percentiles of menstruating women; the upper end is excluded. [years]"""
STEPS = 41


@cache
def _iron_percentiles() -> tuple[tuple[float, float], ...]:
    """Pairs of share of women and the iron they need at most, from a mixed diet [mg/day]."""
    return tuple(
        (float(row["percentile"]) / 100, float(row["amount"]))
        for row in read_rows("iron_requirements.csv")
    )


@equation(
    "usual intake",
    population="menstruating women not on the pill, simulated from factorial losses",
)
def iron_need_met_women(iron_mg: float) -> float:
    """
    Give the share of menstruating women who need no more iron than this from a mixed diet.

    Parameters
    ----------
    iron_mg : float
        Usual intake. [mg/day]

    Returns
    -------
    float
        Share, interpolated between the published percentiles. [fraction]

    References
    ----------
    .. [1] IOM 2001, table 14-1 and appendix I, NAP record 10026, page 571.
    """
    _not_negative(iron_mg)
    points = ((0.0, 0.0), *_iron_percentiles())
    if iron_mg >= points[-1][1]:
        # The tail beyond the last percentile falls off like that of a log-normal.
        median = next(amount for share, amount in points if share == 0.5)
        last_share, last = points[-1]
        sd = math.log(last / median) / NormalDist().inv_cdf(last_share)
        return NormalDist(math.log(median), sd).cdf(math.log(iron_mg))
    for (low_share, low), (high_share, high) in pairwise(points):
        if iron_mg <= high:
            return low_share + (high_share - low_share) * (iron_mg - low) / (high - low)
    return 1.0


@equation("usual intake", population="adult men in the United States, by body mass")
def iron_need_met_men(iron_mg: float) -> float:
    """
    Give the share of men who need no more iron than this from a mixed diet.

    Parameters
    ----------
    iron_mg : float
        Usual intake. [mg/day]

    Returns
    -------
    float
        Share: losses are 0.014 mg/kg, the root of body mass is normal, 18 % is absorbed. [fraction]

    References
    ----------
    .. [1] IOM 2001, iron, page 340, NAP record 10026.
    """
    _not_negative(iron_mg)
    root = math.sqrt(iron_mg * 0.18 / 0.014)
    return NormalDist(8.8, 0.84).cdf(root)


@equation("usual intake", population="adults of reference body mass by level of phytate")
def zinc_need_met(zinc_mg: float, sex: Sex, phytate_mg: float = HIGH_PHYTATE_MG) -> float:
    """
    Give the share of adults who need no more zinc than this beside so much phytate.

    Parameters
    ----------
    zinc_mg : float
        Usual intake. [mg/day]
    sex : {"male", "female"}
        Reference body masses differ.
    phytate_mg : float
        Usual phytate; it is not in the food table, so the highest published level stands. [mg/day]

    Returns
    -------
    float
        Share: the published goal covers 97.5 %, requirements spread by a tenth. [fraction]

    References
    ----------
    .. [1] EFSA 2014, doi:10.2903/j.efsa.2014.3844.
    """
    _not_negative(zinc_mg)
    goal = zinc_goal_by_phytate_mg(sex, phytate_mg)
    median = goal / (1 + Z_975 * ZINC_CV)
    return NormalDist(median, ZINC_CV * median).cdf(zinc_mg)


def _not_negative(amount: float) -> None:
    if not 0 <= amount < 1000:
        raise TargetError(f"an intake of {amount:g} mg a day is outside 0 to 1000; check the unit")


@dataclass(frozen=True)
class NeedMet:
    """Share of like people whose need a usual intake meets, and what it rests on."""

    nutrient: ProbabilityNutrient
    share: float
    words: str
    source: str


def need_met(
    key: ProbabilityNutrient,
    sex: Sex,
    age_years: float,
    condition: Condition,
    mean: float,
    sd: float,
) -> NeedMet:
    """
    Judge a week's mean as usual intake, over what composition leaves open.

    Parameters
    ----------
    key : {"iron_mg", "zinc_mg"}
        Nutrient.
    sex : {"male", "female"}
        Of the client.
    age_years : float
        Age. [years]
    condition : Condition
        Pregnancy and lactation have requirements of their own.
    mean : float
        Mean of the days. [mg/day]
    sd : float
        What composition, portions and the other days leave open of that mean. [mg/day]

    Returns
    -------
    NeedMet
        Plant factors count: iron needs 1.8 times as much (IOM 2001).
    """
    if key == "zinc_mg" and condition == "none" and age_years >= 18:
        words = f"zinc by EFSA's goals at {HIGH_PHYTATE_MG:,.0f} mg of phytate a day, which the "
        words += "food table does not hold"
        source = "EFSA 2014"
        share = _averaged(lambda amount: zinc_need_met(amount, sex), mean, sd)
        return NeedMet(key, share, words, source)
    factor = plant_adjustment_rows()["iron_factor" if key == "iron_mg" else "zinc_factor"].value
    source = "IOM 2001"
    if key == "iron_mg" and condition == "none" and age_years >= MENSTRUATING[0]:
        if sex == "male":
            curve, who = iron_need_met_men, "men"
        elif age_years < MENSTRUATING[1]:
            curve, who = iron_need_met_women, "menstruating women"
        else:
            return _by_two_points(key, sex, age_years, condition, mean, sd, factor)
        words = f"requirements of {who}, times {factor:g} for a plant diet"
        share = _averaged(lambda amount: curve(amount / factor), mean, sd)
        return NeedMet(key, share, words, source)
    return _by_two_points(key, sex, age_years, condition, mean, sd, factor)


def _by_two_points(
    key: ProbabilityNutrient,
    sex: Sex,
    age_years: float,
    condition: Condition,
    mean: float,
    sd: float,
    factor: float,
) -> NeedMet:
    """Take the requirement as log-normal through its average and its recommended intake."""
    reference = reference_intake(key, sex, age_years, condition)
    if reference.ear is None or reference.rda is None:
        raise TargetError(f"{key} has no average requirement for this stage of life")
    spread = math.log(reference.rda / reference.ear) / Z_975
    needs = NormalDist(math.log(reference.ear * factor), spread)
    share = _averaged(lambda amount: needs.cdf(math.log(amount)) if amount > 0 else 0.0, mean, sd)
    words = f"a log-normal through average and recommended intake, times {factor:g} for plants"
    return NeedMet(key, share, words, reference.source)


def _averaged(curve: Callable[[float], float], mean: float, sd: float) -> float:
    """Average a share over the normal spread of the mean, at equally likely points."""
    if sd <= 0:
        return curve(max(mean, 0.0))
    spread = NormalDist(mean, sd)
    points = (spread.inv_cdf((step + 0.5) / STEPS) for step in range(STEPS))
    return sum(curve(max(point, 0.0)) for point in points) / STEPS
