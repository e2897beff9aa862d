"""
Resting energy of a client: predicted, measured, or both with the test judged as evidence.

The test's conditions, its gas values and how well it fits the body decide how much it counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from mealplan.client.intake import Intake, RestingTest
from mealplan.physiology.resting import equations as resting
from mealplan.physiology.resting.choice import (
    Body,
    EquationShares,
    MetabolicRatio,
    Prediction,
    blend,
    metabolic_ratio,
    offered_forms,
)
from mealplan.physiology.resting.evidence import FAULTY_SHARE, Pooled, compare_reported, pool
from mealplan.physiology.resting.measurement import (
    RestingConditions,
    RestingMeasurement,
    discount,
    judge_resting,
)
from mealplan.science.quantity import Quantity, derive, given
from mealplan.targets.body import BodyQuantities
from mealplan.targets.training import training_sessions

DAYS_PER_MONTH = 30.44
TRUSTED_METHODS = ("dxa", "four compartment", "air displacement", "skinfold")
"""Methods of fat-free mass that may feed a resting equation."""


UNSOUND = 0.05
"""Chance of being sound below which a test counts for nothing. [fraction] (common practice)"""
IF_LOW_AGAIN = (
    "A leak at the mask or a wrong unit reads low; if it is as low again it may mean too little "
    "energy for the training done, or an underactive thyroid: see a physician"
)
IF_HIGH_AGAIN = (
    "A meal, caffeine, unrest or a wrong unit reads high; if it is as high again it may mean "
    "fever, illness or an overactive thyroid: see a physician"
)
"""What a far-off test may mean (common practice)."""


@dataclass(frozen=True)
class RestingEnergy:
    """Resting energy with how it was chosen."""

    quantity: Quantity
    predicted: Quantity
    measured: Quantity | None
    spread: tuple[Prediction, ...]
    """Every equation that could be computed, those in use first, for comparison."""
    remarks: tuple[str, ...]
    ratio: MetabolicRatio | None = None
    """Test over Harris-Benedict, a marker of low energy availability; None without a test."""


def resting_energy(intake: Intake, body: BodyQuantities) -> RestingEnergy:
    """
    Work out resting energy: measured, predicted, or both weighed as evidence.

    Parameters
    ----------
    intake : Intake
        Client and, if any, laboratory test.
    body : BodyQuantities
        Mass and fat-free mass with errors.

    Returns
    -------
    RestingEnergy
    """
    height = given("height_cm", "Height", intake.height_cm, "cm", sd=0.5, provenance="measured")
    age = given("age_years", "Age", float(intake.age_years), "years")
    trusted = body.method in TRUSTED_METHODS
    found = blend(
        Body(
            sex=intake.sex,
            age_years=intake.age_years,
            weight_kg=intake.weight_kg,
            height_cm=intake.height_cm,
            ffm_kg=body.ffm.value if trusted else None,
            fm_kg=body.fat.value if trusted else None,
            ffm_method=body.method if trusted else None,  # type: ignore[arg-type]
            sessions_per_week=training_sessions(intake),
        )
    )
    predicted = _predicted(found, intake, body, height, age)
    others = (*(part for part, _ in found.parts), *found.others)
    if intake.resting_test is None:
        return RestingEnergy(predicted, predicted, None, others, ())
    judged, remarks = _judged(intake.resting_test, intake, body)
    measured = _measured(intake.resting_test, judged, intake, remarks)
    pooled = pool(
        measured.value, measured.sd, predicted.value, predicted.sd, FAULTY_SHARE[judged.verdict]
    )
    unused = judged.impossible or pooled.sound < UNSOUND
    if unused or pooled.sound < 0.5:
        counts = "nothing" if unused else f"{pooled.test_weight:.0%}"
        remarks.append(
            f"The test ({measured.value:,.0f}) does not fit this body, for which "
            f"{predicted.value:,.0f} is predicted (ratio {pooled.ratio:.2f}): it counts for "
            f"{counts}. Repeat it, fasted and rested, before trusting either. "
            + (IF_LOW_AGAIN if pooled.ratio < 1 else IF_HIGH_AGAIN)
        )
    old_formula = resting.harris_benedict_1919(
        intake.weight_kg, intake.height_cm, intake.age_years, intake.sex
    )
    ratio = metabolic_ratio(measured.value, old_formula, "Harris-Benedict 1919", on_ffm=False)
    combined = predicted if unused else _combined(measured, predicted, pooled)
    return RestingEnergy(combined, predicted, measured, others, tuple(remarks), ratio)


def _predicted(
    found: EquationShares, intake: Intake, body: BodyQuantities, height: Quantity, age: Quantity
) -> Quantity:
    """Predict by one equation, or by neighbours in their shares, the others said beside."""
    beside = "; ".join(f"{one.equation} {one.energy_kcal:,.0f}" for one in found.others)
    parts = [
        (_by_equation(one, found.reason, intake, body, height, age), share)
        for one, share in found.parts
    ]
    if len(parts) == 1:
        only = parts[0][0]
        return only.model_copy(update={"note": f"{only.note}. Beside it: {beside} kcal"})
    components: dict[str, float] = {}
    for part, share in parts:
        for origin, error in part.components.items():
            components[origin] = components.get(origin, 0.0) + share * error
    names = " and ".join(f"{share:.0%} {one.equation}" for one, share in found.parts)
    return Quantity(
        key="resting_energy_predicted_kcal",
        label="Resting energy, equations blended",
        value=sum(share * part.value for part, share in parts),
        unit="kcal/day",
        method=f"{names}: {found.reason}",
        source="; ".join(one.source for one, _ in found.parts),
        provenance="common practice",
        inputs=tuple(part for part, _ in parts),
        components=components,
        note=f"Beside them: {beside} kcal",
    )


def _by_equation(
    chosen: Prediction,
    reason: str,
    intake: Intake,
    body: BodyQuantities,
    height: Quantity,
    age: Quantity,
) -> Quantity:
    form = next(form for form in offered_forms() if form.key == chosen.key)
    known = {
        "weight_kg": body.mass,
        "height_cm": height,
        "age_years": age,
        "ffm_kg": body.ffm,
        "fm_kg": body.fat,
    }
    inputs = {name: known[name] for name in form.inputs if name in known}
    fixed: Mapping[str, str] = {"sex": intake.sex} if "sex" in form.inputs else {}
    return derive(
        "resting_energy_predicted_kcal",
        f"Resting energy, {chosen.equation}",
        "kcal/day",
        lambda **values: form(**values, **fixed),
        inputs,
        method=f"{chosen.equation}: {reason}",
        source=chosen.source,
        provenance=chosen.provenance,
        model_sd=chosen.sd_kcal,
        model_error="spread between people of the resting equation",
        note=chosen.note,
    )


def _judged(
    test: RestingTest, intake: Intake, body: BodyQuantities
) -> tuple[RestingMeasurement, list[str]]:
    """Judge a test by its conditions, gas values and fat-free mass, however it was given."""
    judged = judge_resting(
        test.vo2_ml_min,
        test.vco2_ml_min,
        reported_kcal=test.kcal,
        nitrogen_g_per_day=test.urinary_nitrogen_g_day,
        conditions=RestingConditions(
            fasted_hours=test.fasted_hours,
            rested_minutes=test.rested_minutes,
            hours_since_exercise=test.hours_since_exercise,
            exercise_was_hard=test.exercise_was_hard,
            hours_since_caffeine=test.hours_since_caffeine,
            hours_since_nicotine=test.hours_since_nicotine,
        ),
        cv_fraction=None if test.cv_percent is None else test.cv_percent / 100,
        mass_kg=test.weight_kg or intake.weight_kg,
        ffm_kg=body.ffm.value,
    )
    reasons = "; ".join(judged.reasons) or "every condition met"
    remarks = [f"Resting test: {judged.verdict} ({reasons})"]
    if judged.rer is not None and test.kcal is not None:
        gap = compare_reported(test.kcal, judged.energy_kcal)
        if gap:
            remarks.append(f"Resting test: {gap}; the gas volumes are used")
    return judged, remarks


def _measured(
    test: RestingTest, judged: RestingMeasurement, intake: Intake, remarks: list[str]
) -> Quantity:
    months = (intake.start - test.date).days / DAYS_PER_MONTH
    aged = discount(
        judged.sd_fraction, months, test.weight_kg or intake.weight_kg, intake.weight_kg
    )
    remarks += [f"Resting test: {reason}" for reason in aged.reasons]
    return given(
        "resting_energy_measured_kcal",
        "Resting energy, laboratory test",
        judged.energy_kcal,
        "kcal/day",
        sd=aged.sd_fraction * judged.energy_kcal,
        error_name="day-to-day spread of the resting test",
        method=judged.equation,
        source=f"resting test of {test.date}" + (f", {test.device}" if test.device else ""),
        provenance="measured",
    )


def _combined(measured: Quantity, predicted: Quantity, pooled: Pooled) -> Quantity:
    """Write the pooled value with its errors; what neither source explains is the test's doubt."""
    weight = pooled.test_weight
    components: dict[str, float] = {}
    for share, estimate in ((weight, measured), (1 - weight, predicted)):
        for origin, part in estimate.components.items():
            components[origin] = components.get(origin, 0.0) + share * part
    explained = sum(part * part for part in components.values())
    rest = pooled.sd_kcal**2 - explained
    if rest > 0:
        components["whether the resting test was sound"] = rest**0.5
    return Quantity(
        key="resting_energy_kcal",
        label="Resting energy, test and equation together",
        value=pooled.energy_kcal,
        unit="kcal/day",
        method=(
            f"{weight:.2f} × {measured.value:,.0f} (test) + {1 - weight:.2f} × "
            f"{predicted.value:,.0f} (equation); chance that the test was sound {pooled.sound:.2f}"
        ),
        source=(
            "contaminated normal model, Box and Tiao 1968, Biometrika 55:119,"
            " doi:10.1093/biomet/55.1.119"
        ),
        provenance="common practice",
        inputs=(measured, predicted),
        components=components,
        note="a test far from what the body predicts widens the range and counts for less",
    )
