"""
What medicines for diabetes forbid or ask for in carbohydrate, from bounds and from day to day.

Words on a medicine as such are rows of ``health_words.csv``; this looks at the numbers beside it.
"""

from __future__ import annotations

from collections.abc import Sequence

from mealplan.client.intake import Intake
from mealplan.nutrition.reference_intakes import reference_intake
from mealplan.references.tables import Condition
from mealplan.targets.ranges import DayTargets, Notice

CARBOHYDRATE_KEYS = ("net_carbohydrate_g", "carbohydrate_g")
"""Nutrients a coach's bound on carbohydrate can name."""
INSULIN_FLAGS = frozenset({"type 1 diabetes", "insulin or sulfonylurea"})
"""Whose doses follow what is eaten."""
SAID_SWING_G = 60.0
"""Difference between days from which doses have to know of it, four exchanges of 15 g. [g]"""


def least_carbohydrate_g(intake: Intake) -> float:
    """
    Give the recommended least of carbohydrate, 130 g a day for adults and 175 when pregnant.

    Parameters
    ----------
    intake : Intake
        Sex, age and health.

    Returns
    -------
    float
        [g/day]
    """
    condition: Condition = "pregnancy" if "pregnant" in intake.health else "none"
    return reference_intake("carbohydrate_g", intake.sex, intake.age_years, condition).goal


def _low_bounds(intake: Intake, least: float) -> list[str]:
    """Say each end of a bound on carbohydrate that lets a day fall below the least."""
    found = []
    for key in CARBOHYDRATE_KEYS:
        bound = intake.nutrition.bounds.get(key)
        if bound is None:
            continue
        for end, value in (("low", bound.low), ("high", bound.high)):
            if value is not None and value < least:
                found.append(f"{key} {end} {value:g}")
    return found


def carbohydrate_notices(intake: Intake) -> tuple[Notice, ...]:
    """
    Refuse a carbohydrate bound that a medicine for diabetes makes dangerous.

    Parameters
    ----------
    intake : Intake
        Medicines and the coach's bounds.

    Returns
    -------
    tuple of Notice
        A refusal with an SGLT2 inhibitor; a professional's decision with insulin, a sulfonylurea,
        or a medicine that is not named; empty otherwise.
    """
    health = set(intake.health)
    if not set(CARBOHYDRATE_KEYS) & set(intake.nutrition.bounds):
        return ()
    least = least_carbohydrate_g(intake)
    ends = _low_bounds(intake, least)
    if not ends:
        return ()
    bounds = f"carbohydrate below {least:g} g a day ({', '.join(ends)} in nutrition.bounds)"
    if "sglt2 inhibitor" in health:
        return (
            Notice(
                code="carbohydrate_low_sglt2",
                severity="refuse",
                message=(
                    f"An SGLT2 inhibitor and {bounds}: no day that low is planned, whoever has "
                    "decided on the medicine. Little carbohydrate on these medicines can bring "
                    "ketoacidosis while blood sugar is nearly normal. Take the bound away."
                ),
                see="the prescriber, before eating less carbohydrate",
                source="FDA safety communication of 2015 on SGLT2 inhibitors; RDA, IOM 2005",
                provenance="from memory",
            ),
        )
    named = health & {*INSULIN_FLAGS, "metformin", "glp-1 medicine"}
    if health & INSULIN_FLAGS or ("diabetes medicines" in health and not named):
        what = (
            "Insulin or a sulfonylurea"
            if health & INSULIN_FLAGS
            else "A medicine for diabetes that is not named"
        )
        return (
            Notice(
                code="carbohydrate_low_insulin",
                severity="override",
                message=(
                    f"{what} and {bounds}: doses set on the usual food make blood sugar fall too "
                    "low, and they have to be changed first, by who prescribes them."
                ),
                see="the diabetes team",
                source="RDA, IOM 2005; good practice",
                provenance="common practice",
            ),
        )
    return ()


def swing_notices(intake: Intake, days: Sequence[DayTargets]) -> tuple[Notice, ...]:
    """
    Say with insulin or a sulfonylurea that carbohydrate differs from day to day.

    Parameters
    ----------
    intake : Intake
        Medicines.
    days : sequence of DayTargets
        The week's, and those of races.

    Returns
    -------
    tuple of Notice
        Empty, or one caution with code ``carbohydrate_swing``.
    """
    if not INSULIN_FLAGS & set(intake.health) or not days:
        return ()
    usual = [day.ranges["net_carbohydrate_g"].usual for day in days]
    if max(usual) - min(usual) < SAID_SWING_G:
        return ()
    return (
        Notice(
            code="carbohydrate_swing",
            severity="warn",
            message=(
                f"Carbohydrate differs from day to day, from {min(usual):.0f} to {max(usual):.0f} "
                "g, as training does: a dose for one day is wrong on another. Agree doses for each "
                "kind of day before the week begins, or plan days alike (vary_by_day false)."
            ),
            see="the diabetes team",
            source="good practice",
            provenance="common practice",
        ),
    )
