"""
Where body mass and fat are expected to be while a phase runs, and when it has to stop.

The forecast is that of :mod:`mealplan.physiology.weight_change.goals`; it ends with the phase.
"""

from __future__ import annotations

from mealplan.client.intake import Intake
from mealplan.physiology.guard.findings import limit
from mealplan.physiology.tables import constants
from mealplan.physiology.weight_change.goals import ExpectedMass, expected_course
from mealplan.science.quantity import Quantity
from mealplan.targets.body import BodyQuantities
from mealplan.targets.energy_account import PhaseEnergy
from mealplan.targets.expenditure import Expenditure
from mealplan.targets.ranges import Notice
from mealplan.targets.safety import PHASE_WEEKS

COURSE_DAYS = (28, 84)
"""Days ahead at which the expected course is written on the worksheet."""
LOOKED_AHEAD_WEEKS = 52
STEP_WEEKS = 4
"""How far, and in which steps, a plan is looked ahead for its fat floor. [week]"""


def _course_days(intake: Intake) -> tuple[int, ...]:
    """Days at which the course is written, none of them after the phase's end."""
    weeks = intake.goal.weeks
    if weeks is None:
        return COURSE_DAYS
    end = max(7, 7 * int(weeks))
    return tuple(sorted({min(day, end) for day in COURSE_DAYS}))


def floor_notices(intake: Intake, body: BodyQuantities, phase: PhaseEnergy) -> tuple[Notice, ...]:
    """
    Say when a measured body would pass its own fat floor before the phase ends.

    Parameters
    ----------
    intake : Intake
        Sex, age and the phase's length.
    body : BodyQuantities
        Nothing is said of fat that is not measured.
    phase : PhaseEnergy
        The planned change.

    Returns
    -------
    tuple of Notice
        Empty, or one caution with code ``fat_floor_ahead``.
    """
    floor = limit("fat_low_men" if intake.sex == "male" else "fat_low_women")
    if body.method is None or phase.change.change_kcal >= 0 or body.fat_percent.value < floor:
        return ()
    weeks = min(LOOKED_AHEAD_WEEKS, int(intake.goal.weeks or PHASE_WEEKS))
    below: list[ExpectedMass] = []
    # Step by step, for beyond the floor the model soon has no fat left to run on.
    for end in range(STEP_WEEKS, weeks + STEP_WEEKS, STEP_WEEKS):
        days = range(0, 7 * min(end, weeks) + 1, 7)
        course = expected_course(
            phase.baseline, phase.change.change_kcal, days, fat_fraction=phase.fat_fraction
        )
        below = [one for one in course.points if 100 * one.fat_kg / one.weight_kg < floor]
        if below:
            break
    if not below:
        return ()
    return (
        Notice(
            code="fat_floor_ahead",
            severity="warn",
            message=(
                f"After {below[0].day // 7} weeks of this plan body fat would be below {floor:g} "
                f"%, where no deficit is allowed: hold before then, at about "
                f"{course.points[max(0, below[0].day // 7 - 1)].weight_kg:.1f} kg, and measure fat."
            ),
            see="a physician and a registered dietitian",
            source=constants("safety_thresholds")["fat_low_men"].source,
            provenance="published",
        ),
    )


def mass_course(intake: Intake, phase: PhaseEnergy, spent: Expenditure) -> list[Quantity]:
    """
    Write where body mass should be in some weeks, with its band.

    Parameters
    ----------
    intake : Intake
        The phase's length.
    phase : PhaseEnergy
        The planned change.
    spent : Expenditure
        Its doubt is the band's.

    Returns
    -------
    list of Quantity
        One at 4 and one at 12 weeks, neither later than the phase's end.
    """
    course = expected_course(
        phase.baseline,
        phase.change.change_kcal,
        (0, *_course_days(intake)),
        fat_fraction=phase.fat_fraction,
        maintenance_sd=spent.quantity.sd / spent.quantity.value,
    )
    lines = []
    for point in course.points[1:]:
        half = (point.high_kg - point.low_kg) / 2
        lines.append(
            Quantity(
                key=f"mass_day_{point.day}_kg",
                label=f"Body mass expected after {point.day // 7} weeks",
                value=point.weight_kg,
                unit="kg",
                method=course.method,
                source="Hall et al. 2011, Lancet 378:826, doi:10.1016/S0140-6736(11)60812-X",
                provenance="published",
                components={
                    name: half * width / _norm(course.half_widths_kg) / 1.645
                    for name, width in course.half_widths_kg
                },
                note=f"fat {point.fat_kg:.1f} kg, the rest {point.lean_kg:.1f} kg",
            )
        )
    return lines


def _norm(widths: tuple[tuple[str, float], ...]) -> float:
    return sum(width * width for _, width in widths) ** 0.5 or 1.0
