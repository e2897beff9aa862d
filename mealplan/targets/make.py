"""
Intake to targets: the whole step from a measured body to what each day should give.

The order is that of a worksheet: body, resting energy, total energy, the phase's change, energy
availability, then protein, fuel and nutrients; safety is asked last and its answer travels along.
"""

from __future__ import annotations

from mealplan.client.intake import WEEKDAYS, ComponentActivity, Intake
from mealplan.errors import IntakeError
from mealplan.nutrition.fuel import Load, training_load
from mealplan.nutrition.protein import ProteinTarget, Training, meal_protein, protein_target
from mealplan.nutrition.supplements import SupplementChoice, choose_lines
from mealplan.nutrition.supplements import SupplementLine as ChosenLine
from mealplan.physiology.expenditure.availability import availability
from mealplan.physiology.weight_change.goals import expected_course
from mealplan.quantity import Quantity, derive, given
from mealplan.references.tables import Condition
from mealplan.targets.body import BodyQuantities, body_quantities
from mealplan.targets.energy_account import (
    Expenditure,
    PhaseEnergy,
    RestingEnergy,
    energy_by_weekday,
    expenditure,
    phase_energy,
    resting_energy,
)
from mealplan.targets.nutrients import DayInputs, day_ranges
from mealplan.targets.ranges import DayTargets, Notice, SupplementLine, Targets
from mealplan.targets.safety import (
    Situation,
    find_notices,
    screening_notices,
    starvation_notices,
    stop,
)

COURSE_DAYS = (28, 84)
"""Days ahead at which the expected course is written on the worksheet."""


def make_targets(intake: Intake) -> Targets:
    """
    Work out a client's targets with their working and cautions.

    Targets are always worked out for adults, even when acting on them is refused: the refusal is a
    notice that stops :func:`mealplan.menu.planner.make_plan`.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    Targets

    Raises
    ------
    SafetyRefusal
        For a client under 18 and for conditions where no target may be shown.
    IntakeError
        When a session, bound or supplement named in the intake is unknown.
    TargetError
        When no intake could bring the wanted change.
    """
    notices = screening_notices(intake)
    stop(notices)
    body = body_quantities(intake)
    rest = resting_energy(intake, body)
    spent = expenditure(intake, rest.quantity)
    phase = phase_energy(intake, body, rest.quantity, spent.quantity)
    energies = energy_by_weekday(intake, phase.quantity.value, spent)
    stop(starvation_notices(min(energies)))
    condition = _condition(intake)
    supplements = _supplements(intake, condition)
    protein = _protein(intake, body)
    left = _availability(intake, body, spent, phase)
    meal = meal_protein(
        intake.weight_kg,
        intake.kitchen.meals,
        day_protein_g=protein.aim_g,
        age_years=intake.age_years,
    )
    situation = Situation(
        intake=intake,
        energy_kcal=phase.quantity.value,
        expenditure_kcal=spent.quantity.value,
        resting_kcal=rest.quantity.value,
        rate_percent_per_week=phase.change.percent_per_week,
        fat_percent=body.fat_percent.value if body.method is not None else None,
        availability=left.value if left is not None else None,
        protein_g_per_kg=protein.high_g / intake.weight_kg,
    )
    notices += find_notices(situation)
    notices += tuple(
        Notice(code="supplement", severity="warn", message=text + ".")
        for text in supplements.warnings
    )
    notices += tuple(Notice(code="resting-test", severity="note", message=t) for t in rest.remarks)
    worksheet = _worksheet(intake, body, rest, spent, phase, left, protein)
    return Targets(
        role=intake.role,
        made_on=intake.start,
        energy=phase.quantity,
        worksheet=worksheet,
        days=_week(intake, energies, protein, condition, supplements),
        supplements=tuple(_line(line) for line in supplements.lines),
        notices=notices,
        meals=intake.kitchen.meals,
        protein_per_meal_g=meal.low_g,
        leucine_per_meal_g=meal.leucine_g,
        held={day.date: day.why for day in intake.held_days},
        maintenance=(
            _week(
                intake,
                energy_by_weekday(intake, spent.quantity.value, spent),
                protein,
                condition,
                supplements,
            )
            if intake.held_days
            else ()
        ),
    )


def _week(
    intake: Intake,
    energies: tuple[float, ...],
    protein: ProteinTarget,
    condition: Condition,
    supplements: SupplementChoice,
) -> tuple[DayTargets, ...]:
    """Ranges of the seven weekdays at these energies, Monday first."""
    days = []
    for weekday, energy in zip(WEEKDAYS, energies, strict=True):
        load, hours = _training(intake, weekday)
        inputs = DayInputs(weekday, energy, load, hours, protein, condition)
        days.append(day_ranges(intake, inputs, supplements))
    return tuple(days)


def _condition(intake: Intake) -> Condition:
    if "pregnant" in intake.health:
        return "pregnancy"
    if "breastfeeding" in intake.health:
        return "lactation"
    return "none"


def _supplements(intake: Intake, condition: Condition) -> SupplementChoice:
    try:
        return choose_lines(
            intake.sex, intake.age_years, condition, switches=intake.nutrition.supplements
        )
    except Exception as error:
        raise IntakeError(f"nutrition.supplements: {error}") from None


def _line(line: ChosenLine) -> SupplementLine:
    name, _, dose = line.label.partition(": ")
    return SupplementLine(
        key=line.key,
        name=name,
        dose=dose,
        nutrients=dict(line.nutrients),
        reason="no plant food brings it reliably" if line.always_on else "chosen by the coach",
        caution=line.caution,
        source=line.source,
        provenance=line.provenance,
    )


def _kind_of_training(intake: Intake) -> Training:
    if intake.goal.phase == "endurance":
        return "endurance"
    if isinstance(intake.activity, ComponentActivity) and intake.activity.sessions:
        words = " ".join(session.activity.lower() for session in intake.activity.sessions)
        lifts = any(word in words for word in ("resistance", "lifting", "020", "calisthenics"))
        runs = any(
            word in words
            for word in (
                "run",
                "cycl",
                "row",
                "swim",
                "ski",
                "jog",
                "120",
                "010",
                "182",
                "02072",
                "02073",
            )
        )
        if lifts and runs:
            return "mixed"
        if runs:
            return "endurance"
        return "strength" if lifts else "mixed"
    if intake.sessions_per_week == 0:
        return "none"
    return "mixed"


def _protein(intake: Intake, body: BodyQuantities) -> ProteinTarget:
    known = body.method is not None and body.method != "bioimpedance"
    base = protein_target(
        intake.weight_kg,
        intake.goal.phase,
        _kind_of_training(intake),
        ffm_kg=body.ffm.value if known else None,
        age_years=intake.age_years,
    )
    wish = intake.nutrition.protein
    if wish is None:
        return base
    mass = intake.weight_kg if wish.per == "body mass" else body.ffm.value
    aim = (wish.low_g_per_kg + wish.high_g_per_kg) / 2
    return ProteinTarget(
        low_g=wish.low_g_per_kg * mass,
        aim_g=aim * mass,
        high_g=wish.high_g_per_kg * mass,
        low_g_per_kg=wish.low_g_per_kg,
        aim_g_per_kg=aim,
        high_g_per_kg=wish.high_g_per_kg,
        per=wish.per,
        reference_mass_kg=mass,
        allowance=base.allowance,
        source="coach",
        provenance="common practice",
        working=(
            (
                f"set by the coach: {wish.low_g_per_kg:g} to {wish.high_g_per_kg:g} g per kg of"
                f" {wish.per}; the published range would be {base.low_g:.0f} to {base.high_g:.0f} g"
            ),
        ),
    )


def _training(intake: Intake, weekday: str) -> tuple[Load, float]:
    """Name the day's load and its hours of training."""
    activity = intake.activity
    if isinstance(activity, ComponentActivity) and activity.sessions:
        today = [session for session in activity.sessions if session.day == weekday]
        minutes = sum(session.minutes for session in today)
        said = [session.load for session in today if session.load is not None]
        order: tuple[Load, ...] = ("light", "moderate", "hard", "very hard")
        load = max(said, key=order.index) if said else training_load(minutes)
        return load, minutes / 60
    # A factor alone does not say what is done on which day: an ordinary day of training is assumed.
    if intake.sessions_per_week == 0:
        return "light", 0.0
    pal = getattr(activity, "pal", 1.7)
    return ("light", 0.5) if pal < 1.6 else ("moderate", 1.0) if pal < 2.0 else ("hard", 1.5)


def _availability(
    intake: Intake, body: BodyQuantities, spent: Expenditure, phase: PhaseEnergy
) -> Quantity | None:
    """Energy availability; needs fat-free mass and the cost of training, and is not guessed."""
    if body.method is None or spent.exercise is None:
        return None
    eaten = given(
        "energy_planned_kcal",
        "Energy to plan",
        phase.quantity.value,
        "kcal/day",
        sd=0.10 * phase.quantity.value,
        error_name="intake actually eaten",
    )
    return derive(
        "energy_availability",
        "Energy availability",
        "kcal/kg fat-free mass/day",
        lambda eaten, trained, ffm: availability(eaten, max(trained, 0.0), ffm).value,
        {"eaten": eaten, "trained": spent.exercise, "ffm": body.ffm},
        method="(energy eaten − net cost of training) / fat-free mass",
        source="Loucks et al.; Mountjoy et al. 2023, IOC consensus on REDs",
        provenance="published",
        note="a reading with about five units of uncertainty, never a diagnosis",
    )


def _worksheet(
    intake: Intake,
    body: BodyQuantities,
    rest: RestingEnergy,
    spent: Expenditure,
    phase: PhaseEnergy,
    left: Quantity | None,
    protein: ProteinTarget,
) -> tuple[Quantity, ...]:
    lines: list[Quantity] = [body.mass, body.fat_percent, body.ffm]
    if rest.measured is not None:
        lines += [rest.measured, rest.predicted]
    lines += [rest.quantity, spent.quantity, phase.quantity]
    if left is not None:
        lines.append(left)
    lines += _course(phase, spent)
    basis = body.ffm if protein.per == "fat-free mass" else body.mass
    per_kg = given(
        "protein_g_per_kg",
        "Protein a kilogram",
        protein.aim_g_per_kg,
        f"g/kg {protein.per}",
        sd=(protein.high_g_per_kg - protein.low_g_per_kg) / (2 * 1.645),
        error_name="published protein range",
        method="; ".join(protein.working),
        source=protein.source,
        provenance=protein.provenance,
    )
    lines.append(
        derive(
            "protein_g",
            "Protein aim",
            "g/day",
            lambda per_kg, mass: per_kg * mass,
            {"per_kg": per_kg, "mass": basis},
            method=f"protein a kilogram × {protein.per}",
            source=protein.source,
            provenance=protein.provenance,
        )
    )
    return tuple(lines)


def _course(phase: PhaseEnergy, spent: Expenditure) -> list[Quantity]:
    """Write where body mass should be in some weeks, with its band."""
    course = expected_course(
        phase.baseline,
        phase.change.change_kcal,
        (0, *COURSE_DAYS),
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
