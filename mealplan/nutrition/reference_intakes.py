"""
Reference intakes for one person: what to aim at, the floor to fall back on, what not to exceed.

The goal of an individual is the recommended allowance (RDA) or, where none could be set, the
adequate intake (AI). The average requirement (EAR) meets the needs of only half of people; it is
never a goal, only the documented floor a plan may relax to when the goal cannot be reached. An
upper limit (UL) is compared with what it was set for, which is often not the nutrient's whole sum.

References
----------
.. [1] National Academies 2019, Dietary Reference Intakes for Sodium and Potassium, appendix J
   (collects the reports of 1997 to 2019).
.. [2] Institute of Medicine 2000, Dietary Reference Intakes: Applications in Dietary Assessment.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Literal

from mealplan.errors import TargetError
from mealplan.references.tables import (
    Condition,
    EnergyShareRow,
    IntakeRow,
    Sex,
    UpperLimitScopeRow,
    energy_share_rows,
    intake_rows,
    upper_limit_scopes,
)

YOUNGEST_AGE_YEARS = 14
OLDEST_AGE_YEARS = 120

NOT_ASSESSED = frozenset(
    {"biotin_ug", "chromium_ug", "iodine_ug", "molybdenum_ug", "chloride_mg", "fluoride_ug"}
)
"""
Nutrients with a reference intake that a plan cannot be checked against: USDA SR28 does not hold
them, or, for fluoride, for 7 % of plant foods only. Show them as "not assessed", never as zero.
"""


@dataclass(frozen=True)
class ReferenceIntake(IntakeRow):
    """
    One nutrient's reference intake for one person; amounts a day in ``unit``.

    None means none was set, which is not zero.
    """

    ul_scope: UpperLimitScopeRow | None
    """What the upper limit applies to; None without one."""

    @property
    def goal(self) -> float:
        """What one person should aim at: the RDA, else the AI, in ``unit``."""
        goal = self.rda if self.rda is not None else self.ai
        if goal is None:
            raise TargetError(f"{self.nutrient} has neither an RDA nor an AI in {self.source}")
        return goal

    @property
    def goal_kind(self) -> Literal["RDA", "AI"]:
        """Which of the two the goal is."""
        return "AI" if self.rda is None else "RDA"

    @property
    def relaxed_floor(self) -> float | None:
        """The EAR: the lowest a plan may fall to when the goal is out of reach, in ``unit``."""
        return self.ear

    @property
    def food_ceiling(self) -> tuple[str, float] | None:
        """
        The ceiling on a food total, if the upper limit can be compared with one.

        Returns
        -------
        tuple of (nutrient key, limit) or None
            The key is the total that counts, which may differ from ``nutrient``: retinol for
            vitamin A, folic acid for folate. None when there is no limit, or when it counts only
            supplements (magnesium) or forms a food table cannot tell apart (niacin).
        """
        if self.ul is None or self.ul_scope is None or not self.ul_scope.limits:
            return None
        return self.ul_scope.limits, self.ul


@cache
def _index() -> dict[tuple[str, Sex, Condition], tuple[IntakeRow, ...]]:
    index: dict[tuple[str, Sex, Condition], tuple[IntakeRow, ...]] = {}
    for row in intake_rows():
        key = (row.nutrient, row.sex, row.condition)
        index[key] = (*index.get(key, ()), row)
    return index


@cache
def nutrients_with_reference() -> tuple[str, ...]:
    """Return the keys of every nutrient that has a reference intake, in report order."""
    return tuple(dict.fromkeys(row.nutrient for row in intake_rows()))


def _check_age(age_years: float) -> int:
    age = int(age_years)  # a band runs to the day before the next birthday: 18.9 years is 18
    if not YOUNGEST_AGE_YEARS <= age <= OLDEST_AGE_YEARS:
        raise TargetError(
            f"age_years={age_years:g} is outside {YOUNGEST_AGE_YEARS} to {OLDEST_AGE_YEARS}: "
            "younger children need a paediatric dietitian; check the age if it was a slip"
        )
    return age


def _check_condition(sex: Sex, condition: Condition, age: int) -> None:
    if condition not in ("none", "pregnancy", "lactation"):
        raise TargetError(f"condition={condition!r} is not one of none, pregnancy, lactation")
    if condition != "none" and sex == "male":
        raise TargetError(
            f"condition={condition!r} has no values for sex='male'; correct one of them"
        )
    if condition != "none" and age > 50:
        raise TargetError(
            f"the reports give no values for {condition} at age_years={age}; they stop at 50. "
            "Ask the obstetric team or a registered dietitian"
        )


def reference_intake(
    nutrient: str, sex: Sex, age_years: float, condition: Condition = "none"
) -> ReferenceIntake:
    """
    Look up one nutrient's reference intake.

    Parameters
    ----------
    nutrient : str
        Key with its unit, such as ``iron_mg``; ``protein_g_per_kg`` for protein by body mass.
    sex : {"male", "female"}
        Sex the reports split by.
    age_years : float
        14 to 120; whole years count. [years]
    condition : {"none", "pregnancy", "lactation"}
        Life stage.

    Returns
    -------
    ReferenceIntake

    Raises
    ------
    TargetError
        When the nutrient, age or condition has no row.
    """
    age = _check_age(age_years)
    if nutrient not in nutrients_with_reference():
        near = get_close_matches(nutrient, nutrients_with_reference(), n=3, cutoff=0.5)
        hint = f"; did you mean {' or '.join(near)}?" if near else ""
        raise TargetError(f"no reference intake for {nutrient!r} in the tables read here{hint}")
    _check_condition(sex, condition, age)
    for row in _index().get((nutrient, sex, condition), ()):
        if row.age_low_years <= age <= row.age_high_years:
            scope = upper_limit_scopes()[row.nutrient] if row.ul is not None else None
            return ReferenceIntake(**vars(row), ul_scope=scope)
    raise TargetError(f"sex={sex!r} is not one of male, female; the reports know no other columns")


def all_reference_intakes(
    sex: Sex, age_years: float, condition: Condition = "none"
) -> dict[str, ReferenceIntake]:
    """
    Look up every nutrient at once.

    Parameters
    ----------
    sex, age_years, condition
        As for :func:`reference_intake`.

    Returns
    -------
    dict of str to ReferenceIntake
        By nutrient key, in report order.
    """
    return {
        nutrient: reference_intake(nutrient, sex, age_years, condition)
        for nutrient in nutrients_with_reference()
    }


def energy_share(
    nutrient: str, sex: Sex, age_years: float, condition: Condition = "none"
) -> EnergyShareRow:
    """
    Look up the acceptable share of energy of one macronutrient.

    Parameters
    ----------
    nutrient : str
        ``fat_g``, ``carbohydrate_g``, ``protein_g``, ``linoleic_g``, ``alpha_linolenic_g`` or
        ``sugars_added_g`` (upper end only).
    sex, age_years, condition
        As for :func:`reference_intake`.

    Returns
    -------
    EnergyShareRow
        Low and high as fractions of energy.
    """
    age = _check_age(age_years)
    _check_condition(sex, condition, age)
    for row in energy_share_rows():
        if (
            row.nutrient == nutrient
            and row.sex == sex
            and row.condition == condition
            and row.age_low_years <= age <= row.age_high_years
        ):
            return row
    known = ", ".join(dict.fromkeys(row.nutrient for row in energy_share_rows()))
    raise TargetError(f"no share of energy for {nutrient!r}; there is one for {known}")
