"""
A season of phases: dates, targets and what hands each phase over to the next.

Body mass and fat at the start of a later phase are those the dynamic model expects at the end of
the one before; a scan then replaces them.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from mealplan.client.intake import Goal, Intake, SeasonPart
from mealplan.errors import IntakeError
from mealplan.physiology.weight_change.goals import expected_course
from mealplan.physiology.weight_change.phases import (
    BodyReading,
    HandOver,
    Phase,
    StopRule,
    check_hand_over,
)
from mealplan.physiology.weight_change.rates import default_rate
from mealplan.targets.body import body_quantities
from mealplan.targets.energy_account import phase_energy
from mealplan.targets.expenditure import expenditure
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Targets
from mealplan.targets.resting import resting_energy


@dataclass(frozen=True)
class SeasonStep:
    """One phase with its targets and where the body should be at both ends."""

    phase: Phase
    targets: Targets
    start_kg: float
    end_kg: float
    end_low_kg: float
    end_high_kg: float
    """Ends of the 90 % band at the last day. [kg]"""
    end_fat_percent: float
    measured: bool
    """True when fat was measured, not assumed."""

    @property
    def stop_words(self) -> str:
        """What ends the phase, in words."""
        rule = self.phase.stop
        side = "reaches" if self.phase.kind == "gain" else "has come down to"
        limits = [
            f"{name} {side} {limit:g} {unit}"
            for name, limit, unit in (
                ("fat mass index", rule.fat_mass_index, "kg/m²"),
                ("body fat", rule.fat_percent, "%"),
                ("waist", rule.waist_cm, "cm"),
            )
            if limit is not None
        ]
        last = f"on {self.phase.end:%d %B %Y}"
        if not limits:
            return f"hands over {last}"
        return f"hands over when {' or '.join(limits)}, else {last}"


def _phase(part: SeasonPart, start: dt.date, intake: Intake, fat_percent: float | None) -> Phase:
    rate = part.rate_percent_per_week
    if rate is None:
        rate = default_rate(part.phase, intake.training_status, intake.sex, fat_percent)
    return Phase(
        part.phase,
        start,
        start + dt.timedelta(weeks=part.weeks),
        rate,
        StopRule(part.stop_fat_mass_index, part.stop_fat_percent, part.stop_waist_cm),
    )


def season_steps(intake: Intake) -> tuple[SeasonStep, ...]:
    """
    Work out every phase of a season.

    Parameters
    ----------
    intake : Intake
        With its season; measurements are those of the first day.

    Returns
    -------
    tuple of SeasonStep
        In order of time.

    Raises
    ------
    IntakeError
        When the intake holds no season.
    SafetyRefusal
        When no targets may be shown to this client at all.
    """
    if not intake.season:
        raise IntakeError(
            'this intake has no season; add one, such as "season": [{"phase": "gain", '
            '"weeks": 12}, {"phase": "cut", "weeks": 8}]'
        )
    steps: list[SeasonStep] = []
    now, start = intake, intake.start
    for part in intake.season:
        body = body_quantities(now)
        known = body.method is not None
        phase = _phase(part, start, now, body.fat_percent.value if known else None)
        goal = Goal(
            phase=part.phase,
            rate_percent_per_week=phase.percent_per_week if phase.percent_per_week else None,
        )
        now = now.model_copy(update={"goal": goal, "start": start})
        rest = resting_energy(now, body)
        spent = expenditure(now, rest.quantity)
        energy = phase_energy(now, body, rest.quantity, spent)
        end = expected_course(
            energy.baseline,
            energy.change.change_kcal,
            (0, phase.days),
            fat_fraction=energy.fat_fraction,
            maintenance_sd=spent.quantity.sd / spent.quantity.value,
        ).points[-1]
        fat_percent = 100 * end.fat_kg / end.weight_kg
        steps.append(
            SeasonStep(
                phase=phase,
                targets=make_targets(now),
                start_kg=now.weight_kg,
                end_kg=end.weight_kg,
                end_low_kg=end.low_kg,
                end_high_kg=end.high_kg,
                end_fat_percent=fat_percent,
                measured=known,
            )
        )
        now, start = _expected(now, end.weight_kg, fat_percent), phase.end
    return tuple(steps)


def _expected(intake: Intake, mass_kg: float, fat_percent: float) -> Intake:
    """Carry the client to the expected end of a phase."""
    changes: dict[str, object] = {"weight_kg": mass_kg, "girths": None}
    if intake.scan is not None:
        changes["scan"] = intake.scan.model_copy(
            update={
                "fat_percent": fat_percent,
                "fat_percent_of": "whole body",
                "fat_kg": None,
                "lean_soft_kg": None,
                "bone_kg": None,
            }
        )
    test = intake.resting_test
    if test is not None and test.weight_kg is None:
        changes["resting_test"] = test.model_copy(update={"weight_kg": intake.weight_kg})
    return intake.model_copy(update=changes)


def hand_over(intake: Intake, today: dt.date) -> HandOver:
    """
    Say whether the running phase should hand over, from the intake's latest scan and tape.

    Parameters
    ----------
    intake : Intake
        With its season.
    today : date
        Within the season.

    Returns
    -------
    HandOver
        ``hand over``, ``stay`` or ``can't tell``, with reasons.

    Raises
    ------
    IntakeError
        When there is no season, or today lies outside it.
    """
    start = intake.start
    for part in intake.season:
        phase = _phase(part, start, intake, None)
        if phase.start <= today < phase.end:
            body = body_quantities(intake)
            measured = intake.scan is not None
            tape = intake.girths
            reading = BodyReading(
                date=today,
                fat_mass_index=(
                    body.fat.value / (intake.height_cm / 100) ** 2 if measured else None
                ),
                fat_percent=body.fat_percent.value if measured else None,
                waist_cm=tape.waist_cm if tape is not None else None,
            )
            return check_hand_over(phase, today, reading)
        start = phase.end
    raise IntakeError(f"{today} lies outside this intake's season; add a phase or mend the start")


def season_text(intake: Intake) -> str:
    """
    Write a season as a table of phases.

    Parameters
    ----------
    intake : Intake
        With its season.

    Returns
    -------
    str
    """
    rows = [f"SEASON  {intake.role}, from {intake.start}"]
    for step in season_steps(intake):
        day = step.targets.days[0]
        protein = day.ranges["protein_g"]
        fat = f", about {step.end_fat_percent:.0f} % fat" if step.measured else ""
        rows.append(
            f"\n{step.phase.kind.upper()}  {step.phase.start:%d %b %Y} to "
            f"{step.phase.end - dt.timedelta(days=1):%d %b %Y}, "
            f"{step.phase.percent_per_week:+g} % a week\n"
            f"  energy {step.targets.energy.value:,.0f} kcal a day "
            f"({step.targets.energy.low:,.0f} to {step.targets.energy.high:,.0f}); "
            f"protein {protein.low:.0f} to {protein.high:.0f} g\n"
            f"  body mass {step.start_kg:.1f} kg, expected at the end {step.end_kg:.1f} "
            f"({step.end_low_kg:.1f} to {step.end_high_kg:.1f}){fat}\n"
            f"  {step.stop_words}"
        )
        stops = [n for n in step.targets.notices if n.severity in ("refuse", "override")]
        rows += [f"  ! {notice.message}" for notice in stops]
    rows.append(
        "\nLater phases start from what the model expects; measure again before each and put the "
        "new values in."
    )
    return "\n".join(rows)
