"""A client's protein: by training and body, then as conditions hold it or a dietitian sets it."""

from __future__ import annotations

from dataclasses import replace

from mealplan.client.intake import Intake
from mealplan.nutrition.protein import protein_mass, protein_target
from mealplan.nutrition.protein_told import ProteinTarget, ReferenceMass
from mealplan.nutrition.reference_intakes import reference_intake
from mealplan.targets.body import BodyQuantities
from mealplan.targets.conditions import PROTEIN_HELD, condition_of, kidney_protein
from mealplan.targets.training import kind_of_training

BARIATRIC_PROTEIN_G = (60.0, 95.0)
"""Usual protein after bariatric surgery. [g/day] (common practice)"""


def protein_of_day(intake: Intake, body: BodyQuantities) -> ProteinTarget:
    """
    Set a day's protein.

    Parameters
    ----------
    intake : Intake
        Training, phase, conditions, and a range that a coach or dietitian has set.
    body : BodyQuantities
        Fat with its error sets the mass that counts.

    Returns
    -------
    ProteinTarget
    """
    known = body.method is not None and body.method != "bioimpedance"
    fat = body.fat_percent
    reference = protein_mass(
        intake.weight_kg, intake.height_cm, fat.value, intake.sex, fat_sd=fat.sd
    )
    base = protein_target(
        intake.weight_kg,
        intake.goal.phase,
        kind_of_training(intake),
        ffm_kg=body.ffm.value if known else None,
        age_years=intake.age_years,
        reference=reference,
    )
    wish = intake.nutrition.protein
    if wish is None:
        return _for_condition(base, intake, reference)
    mass = intake.weight_kg if wish.per == "body mass" else body.ffm.value
    who = "dietitian" if PROTEIN_HELD & set(intake.health) else "coach"
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
        source=who,
        provenance="common practice",
        working=(
            (
                f"set by the {who}: {wish.low_g_per_kg:g} to {wish.high_g_per_kg:g} g per kg of"
                f" {wish.per}; the published range would be {base.low_g:.0f} to {base.high_g:.0f} g"
            ),
        ),
    )


def _for_condition(
    target: ProteinTarget, intake: Intake, reference: ReferenceMass
) -> ProteinTarget:
    """Hold protein to what kidneys may have, or raise it to what a child in the womb needs."""
    condition = condition_of(intake)
    if "bariatric surgery" in intake.health:
        return _after_bariatric(target)
    mass = reference.mass_kg
    kidney = kidney_protein(intake)
    if kidney is not None:
        low, high, words = kidney.low, kidney.high, kidney.words
        aim = (low + high) / 2
        target = replace(target, source=KIDNEY_SOURCE)
    elif condition != "none":
        least = reference_intake("protein_g_per_kg", intake.sex, intake.age_years, condition).goal
        low, aim, high = (
            max(least, grams / mass) for grams in (target.low_g, target.aim_g, target.high_g)
        )
        words = f"at least {least:g} g/kg in {condition}"
    else:
        return target
    more = (reference.words,) if reference.adjusted and kidney is not None else ()
    return replace(
        target,
        low_g=low * mass,
        aim_g=aim * mass,
        high_g=high * mass,
        low_g_per_kg=low,
        aim_g_per_kg=aim,
        high_g_per_kg=high,
        per="adjusted mass" if reference.adjusted else "body mass",
        reference_mass_kg=mass,
        working=((words, *more) if kidney is not None else (*target.working, words)),
    )


KIDNEY_SOURCE = "kidney condition: KDOQI 2020, RDA (IOM 2005); the dietitian's own goes before it"
"""Where a range of protein held for the kidneys comes from."""


def _after_bariatric(target: ProteinTarget) -> ProteinTarget:
    """Hold protein to what surgical teams usually ask for, whatever is trained."""
    mass = target.reference_mass_kg
    low, high = BARIATRIC_PROTEIN_G
    aim = (low + high) / 2
    return replace(
        target,
        low_g=low,
        aim_g=aim,
        high_g=high,
        low_g_per_kg=low / mass,
        aim_g_per_kg=aim / mass,
        high_g_per_kg=high / mass,
        source="usual after bariatric surgery (AACE/TOS/ASMBS 2019: 60 g and more)",
        provenance="common practice",
        working=(
            f"after bariatric surgery: {low:g} to {high:g} g a day is usual; the surgical team's "
            "own goes into nutrition.protein",
        ),
    )
