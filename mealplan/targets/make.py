"""
Intake to targets: the whole step from a measured body to what each day should give.

The order is that of a worksheet: body, resting energy, total energy, the phase's change, energy
availability, then protein, fuel and nutrients; safety is asked last and its answer travels along.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from mealplan.client.day_times import sessions_on, times_on
from mealplan.client.intake import WEEKDAYS, Intake
from mealplan.errors import IntakeError
from mealplan.nutrition.performance import PerformanceRow, performance_lines
from mealplan.nutrition.protein import meal_protein
from mealplan.nutrition.protein_told import ProteinTarget
from mealplan.nutrition.reference_intakes import all_reference_intakes
from mealplan.nutrition.supplements import (
    SupplementChoice,
    SupplementTaken,
    choose_lines,
    prescribed_iron,
)
from mealplan.nutrition.upper_limits import limit_findings
from mealplan.physiology.expenditure.availability import availability
from mealplan.physiology.guard.findings import limit
from mealplan.physiology.tables import constants
from mealplan.references.tables import Condition
from mealplan.science.quantity import Quantity, derive, given
from mealplan.targets.bloods import line_switches
from mealplan.targets.body import BodyQuantities, body_quantities, much_fat
from mealplan.targets.conditions import condition_of
from mealplan.targets.course import floor_notices, mass_course
from mealplan.targets.energy_account import PhaseEnergy, energy_by_weekday, phase_energy
from mealplan.targets.expenditure import Expenditure, expenditure
from mealplan.targets.fuel_totals import kept_within
from mealplan.targets.fuelling import race_days, session_fuel
from mealplan.targets.life_stage import (
    mass_before_pregnancy,
    pregnancy_notices,
    race_notices,
    unsaid_notices,
)
from mealplan.targets.medicines import swing_notices
from mealplan.targets.nutrients import DayInputs, day_ranges
from mealplan.targets.protein import protein_of_day
from mealplan.targets.ranges import DayTargets, Notice, SupplementLine, Targets
from mealplan.targets.resting import RestingEnergy, resting_energy
from mealplan.targets.safety import (
    Situation,
    find_notices,
    screening_notices,
    starvation_notices,
    stop,
)
from mealplan.targets.shared_kitchen import kitchen_notices
from mealplan.targets.training import day_training, sessions_of

CARRYING = frozenset({"pregnant", "breastfeeding"})
"""While these hold body mass follows no energy balance worth forecasting."""


def make_targets(intake: Intake) -> Targets:
    """
    Work out a client's targets with their working and cautions.

    Whatever a guard rail refuses, or keeps for a professional whose decision is not recorded in the
    intake, ends in a refusal with its reasons: nobody is handed numbers they must not act on.

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
        When a finding refuses these targets or waits for a professional's decision.
    IntakeError
        When a session, bound or supplement named in the intake is unknown.
    TargetError
        When no intake could bring the wanted change.
    """
    notices = screening_notices(intake)
    stop(notices)
    before = mass_before_pregnancy(intake)
    body = body_quantities(before)
    rest = resting_energy(before, body)
    spent = expenditure(before, rest.quantity)
    phase = phase_energy(before, body, rest.quantity, spent)
    energies = energy_by_weekday(intake, phase.quantity.value, spent)
    stop(starvation_notices(intake, min(energies)))
    condition = condition_of(intake)
    supplements = _supplements(intake, condition)
    protein = protein_of_day(before, body)
    left = _availability(intake, body, spent, phase)
    meal = meal_protein(
        protein.reference_mass_kg if protein.per != "fat-free mass" else intake.weight_kg,
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
        resting_ratio=rest.ratio.ratio if rest.ratio is not None else None,
        much_fat=much_fat(intake, body),
    )
    notices += find_notices(situation) + _remarks(intake, body, rest, supplements)
    stop(notices)
    notices += floor_notices(intake, body, phase)
    worksheet = _worksheet(intake, body, rest, spent, phase, left, protein)
    days = _week(intake, energies, protein, condition, supplements)
    special = _special(intake, energies, protein, supplements)
    performance = performance_lines(intake.nutrition.performance, intake.health, intake.age_years)
    return Targets(
        role=intake.role,
        made_on=intake.start,
        energy=phase.quantity,
        worksheet=worksheet,
        days=days,
        special=special,
        supplements=(
            *(_line(line) for line in supplements.lines),
            *(_performance(row, intake) for row in performance),
        ),
        notices=(*notices, *swing_notices(intake, (*days, *special.values()))),
        meals=intake.kitchen.meals,
        protein_per_meal_g=meal.aim_g,
        leucine_per_meal_g=meal.leucine_g,
        held={day.date: day.why for day in intake.held_days},
        maintenance=_maintenance(intake, spent, protein, condition, supplements),
    )


def _remarks(
    intake: Intake, body: BodyQuantities, rest: RestingEnergy, supplements: SupplementChoice
) -> tuple[Notice, ...]:
    """Say what beside the energies speaks against acting on these numbers."""
    return (
        *(
            Notice(code="supplement", severity="warn", message=text + ".")
            for text in supplements.warnings
        ),
        *(Notice(code="resting-test", severity="note", message=f"{t}.") for t in rest.remarks),
        *(Notice(code="scan_doubtful", severity="warn", message=f"{t}.") for t in body.doubts),
        *unsaid_notices(intake),
        *pregnancy_notices(intake),
        *race_notices(intake),
        *kitchen_notices(intake),
    )


def _maintenance(
    intake: Intake,
    spent: Expenditure,
    protein: ProteinTarget,
    condition: Condition,
    supplements: SupplementChoice,
) -> tuple[DayTargets, ...]:
    """Ranges of sick and travelling days, none where none are foreseen."""
    if not intake.held_days:
        return ()
    energies = energy_by_weekday(intake, spent.quantity.value, spent)
    return _week(intake, energies, protein, condition, supplements, trained=False)


def _week(
    intake: Intake,
    energies: tuple[float, ...],
    protein: ProteinTarget,
    condition: Condition,
    supplements: SupplementChoice,
    *,
    trained: bool = True,
) -> tuple[DayTargets, ...]:
    """Ranges of the seven weekdays at these energies, Monday first; no fuel for untrained ones."""
    days = []
    fuel = session_fuel(intake) if trained else dict.fromkeys(WEEKDAYS, ())
    for weekday, energy in zip(WEEKDAYS, energies, strict=True):
        today = day_training(intake, weekday)
        inputs = DayInputs(
            weekday,
            energy,
            today.load,
            today.hours,
            protein,
            condition,
            today.sweat_l_per_h,
            today.sweat_words,
            fuel=kept_within(fuel[weekday], energy),
            meal_times=times_on(intake, sessions_on(intake, weekday) if trained else ()),
        )
        days.append(day_ranges(intake, inputs, supplements))
    return tuple(days)


def _special(
    intake: Intake,
    energies: tuple[float, ...],
    protein: ProteinTarget,
    supplements: SupplementChoice,
) -> dict[dt.date, DayTargets]:
    """Ranges of the days that a race changes; energy rises where loading needs the room."""
    found = {}
    fuel = session_fuel(intake)
    for race in race_days(intake, protein.low_g, protein.aim_g):
        weekday = WEEKDAYS[race.date.weekday()]
        today = day_training(intake, weekday)
        racing = race.carbohydrate is None
        energy = max(energies[race.date.weekday()], race.least_kcal)
        items = race.fuel if racing else (*race.fuel, *fuel[weekday])
        day = DayInputs(
            weekday,
            energy,
            "very hard" if racing else "light",
            race.hours if racing else today.hours,
            protein,
            condition_of(intake),
            today.sweat_l_per_h if race.sweat_l_per_h is None else race.sweat_l_per_h,
            f"{race.words}; {race.sweat_words or today.sweat_words}",
            carbohydrate=race.carbohydrate,
            race=racing,
            fuel=kept_within(items, energy, race=racing),
            meal_times=race.meal_times,
        )
        found[race.date] = day_ranges(intake, day, supplements)
    return found


def _supplements(intake: Intake, condition: Condition) -> SupplementChoice:
    switches = dict(intake.nutrition.supplements)
    if condition == "pregnancy":
        switches.setdefault("folic_acid", True)
        switches.setdefault("algae_oil", True)
    if condition == "lactation":
        switches.setdefault("algae_oil", True)
    if "thyroid disease" in intake.health:
        switches.setdefault("iodine", False)
    by_blood, regimen = line_switches(intake)
    if "bariatric surgery" in intake.health:
        regimen["vitamin_b12"] = "after_bariatric"
    switches = by_blood | switches
    iron = intake.nutrition.prescribed_iron
    try:
        chosen = choose_lines(
            intake.sex, intake.age_years, condition, switches=switches, regimen=regimen
        )
        if iron is not None:
            line = prescribed_iron(iron.mg_per_day, iron.by)
            words = f"Prescribed; the upper limit is for iron chosen by oneself. {line.caution}"
            chosen = replace(chosen, lines=(*chosen.lines, replace(line, caution=words)))
    except Exception as error:
        raise IntakeError(f"nutrition.supplements: {error}") from None
    if iron is not None and "haemochromatosis" in intake.health:
        raise IntakeError(
            "nutrition.prescribed_iron: iron is not taken with haemochromatosis; ask the prescriber"
        )
    if "iodine" not in intake.nutrition.supplements and switches.get("iodine") is False:
        # The thyroid's own caution says why the line is off; nobody turned it off.
        kept = tuple(text for text in chosen.warnings if not text.startswith("Iodine was turned"))
        chosen = replace(chosen, warnings=kept)
    references = all_reference_intakes(intake.sex, intake.age_years, condition).values()
    supplied: dict[str, float] = {}
    for one in chosen.lines:
        for key, amount in one.nutrients.items() if not one.prescribed_by else ():
            supplied[key] = supplied.get(key, 0.0) + amount
    over = [found.text for found in limit_findings(references, {}, supplied)]
    return replace(chosen, warnings=(*chosen.warnings, *over))


def _line(line: SupplementTaken) -> SupplementLine:
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


def _performance(row: PerformanceRow, intake: Intake) -> SupplementLine:
    return SupplementLine(
        key=row.key,
        name=row.label,
        dose=row.dose(intake.weight_kg),
        nutrients={},
        reason=f"chosen by the coach; evidence {row.evidence}; none of these is needed",
        caution=f"{row.caution}. Only products tested for banned substances",
        source=row.source,
        provenance=row.provenance,
    )


def _availability(
    intake: Intake, body: BodyQuantities, spent: Expenditure, phase: PhaseEnergy
) -> Quantity | None:
    """Energy availability, which says something only of those without much fat to spare."""
    if much_fat(intake, body) or "pregnant" in intake.health:
        return None
    guessed = body.method is None or not sessions_of(intake)
    milk = constants("life_stage")["lactation"].value if "breastfeeding" in intake.health else 0.0
    eaten = given(
        "energy_planned_kcal",
        "Energy to plan" + (", less what goes into milk" if milk else ""),
        phase.quantity.value - milk,
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
        note=(
            "a reading, never a diagnosis"
            + ("; fat-free mass or training was estimated, so it is only a hint" if guessed else "")
        ),
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
    # No composition is shown to those who still grow.
    grown = intake.age_years >= limit("adult_age")
    shown = grown and "pregnant" not in intake.health
    lines: list[Quantity] = [body.mass, *((body.fat_percent, body.ffm) if shown else ())]
    if rest.measured is not None:
        lines += [rest.measured, rest.predicted]
    if rest.quantity is not rest.predicted or rest.measured is None:
        lines.append(rest.quantity)
    lines += [spent.quantity, phase.quantity]
    if left is not None and grown:
        lines.append(left)
    if grown and not CARRYING & set(intake.health):
        lines += mass_course(intake, phase, spent)
    basis = {"fat-free mass": body.ffm, "body mass": body.mass}.get(protein.per) or given(
        "adjusted_kg", "Mass that protein is set by", protein.reference_mass_kg, "kg",
        method="; ".join(protein.working), source=protein.source, provenance="common practice",
    )  # fmt: skip
    per_kg = given(
        "protein_g_per_kg",
        "Protein a kilogram",
        protein.aim_g_per_kg,
        f"g/kg {protein.per}",
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
