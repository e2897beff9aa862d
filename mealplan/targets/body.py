"""What the intake says about the body, as quantities with errors: mass, fat, fat-free mass."""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.client.intake import SITTING_FLAGS, BodyScan, Intake
from mealplan.physiology.body.anthropometry import fat_from_girths
from mealplan.physiology.body.fat_from_size import fat_from_size
from mealplan.quantity import Quantity, derive, given

MASS_SD_FRACTION = 0.006
"""Day-to-day spread of one weigh-in as a share of body mass (a women's diary study)."""

FAT_SD_POINTS: dict[str, float] = {
    "four compartment": 1.0,
    "dxa": 2.0,
    "air displacement": 2.5,
    "skinfold": 3.5,
    "circumference": 3.7,
    "bioimpedance": 4.5,
}
"""
Standard deviation of %fat against a reference method. [points of %fat]

Circumference: published standard error 3.52 (men) and 3.72 (women). The others are common practice.
"""


@dataclass(frozen=True)
class BodyQuantities:
    """Mass and its parts."""

    mass: Quantity
    fat_percent: Quantity
    fat: Quantity
    ffm: Quantity
    method: str | None
    """Method of the fat-free mass; None when it was estimated from size, not measured."""


def _scan_fat_percent(scan: BodyScan, mass_kg: float) -> tuple[float, str]:
    """Whole-body fat as a share of mass, and how the scan gave it [%]."""
    if scan.fat_kg is not None and scan.lean_soft_kg is not None:
        total = scan.fat_kg + scan.lean_soft_kg + (scan.bone_kg or 0.0)
        return 100 * scan.fat_kg / total, "fat / (fat + lean soft tissue + bone mineral)"
    if scan.fat_percent is not None:
        if scan.fat_percent_of == "tissue":
            bone = scan.bone_kg if scan.bone_kg is not None else 0.04 * mass_kg
            percent = scan.fat_percent * (mass_kg - bone) / mass_kg
            return percent, f"tissue %fat × (mass − bone mineral {bone:.1f} kg) / mass"
        return scan.fat_percent, "as the report prints it, of the whole body"
    assert scan.fat_kg is not None
    return 100 * scan.fat_kg / mass_kg, "fat mass / body mass"


def body_quantities(intake: Intake) -> BodyQuantities:
    """
    Collect body mass, fat and fat-free mass with their errors.

    Parameters
    ----------
    intake : Intake
        A scan is used first, then tape measures, then equations on body mass index, age and sex.

    Returns
    -------
    BodyQuantities
    """
    mass = given(
        "weight_kg",
        "Body mass",
        intake.weight_kg,
        "kg",
        sd=MASS_SD_FRACTION * intake.weight_kg,
        error_name="one weigh-in",
        method="scale reading",
        provenance="measured",
    )
    percent, method = _fat_percent(intake)
    fat = derive(
        "fat_kg",
        "Fat mass",
        "kg",
        lambda mass, percent: mass * percent / 100,
        {"mass": mass, "percent": percent},
        method="body mass × %fat / 100",
        source="definition",
        provenance="worked by hand",
    )
    ffm = derive(
        "ffm_kg",
        "Fat-free mass",
        "kg",
        lambda mass, percent: mass * (1 - percent / 100),
        {"mass": mass, "percent": percent},
        method="body mass × (1 − %fat / 100)",
        source="definition",
        provenance="worked by hand",
    )
    return BodyQuantities(mass, percent, fat, ffm, method)


def _fat_percent(intake: Intake) -> tuple[Quantity, str | None]:
    scan = intake.scan
    if scan is not None:
        value, words = _scan_fat_percent(scan, intake.weight_kg)
        quantity = given(
            "fat_percent",
            "Body fat",
            value,
            "%",
            sd=FAT_SD_POINTS[scan.method],
            error_name=f"accuracy of the {scan.method} result",
            method=words,
            source=f"{scan.method} of {scan.date}",
            provenance="measured",
        )
        return quantity, scan.method
    tape = intake.girths
    fits = not SITTING_FLAGS & set(intake.health)
    if tape is not None and tape.neck_cm is not None and fits:
        around = tape.abdomen_cm or tape.waist_cm
        enough = around if intake.sex == "male" else (tape.waist_cm and tape.hip_cm)
        if enough:
            found = fat_from_girths(
                intake.sex,
                intake.height_cm,
                tape.neck_cm,
                abdomen_cm=around if intake.sex == "male" else None,
                waist_cm=tape.waist_cm,
                hip_cm=tape.hip_cm,
            )
            quantity = given(
                "fat_percent",
                "Body fat",
                found.fat_percent,
                "%",
                sd=found.sd,
                error_name="accuracy of the tape-measure equation",
                method="circumferences, Hodgdon and Beckett 1984, with Siri",
                source="tape measures",
                provenance="published",
            )
            return quantity, "circumference"
    guess = fat_from_size(
        intake.weight_kg,
        intake.height_cm,
        intake.age_years,
        intake.sex,
        sessions_per_week=intake.usual_sessions,
    )
    quantity = given(
        "fat_percent",
        "Body fat",
        guess.fat_percent,
        "%",
        sd=guess.sd_points,
        error_name="body fat was not measured",
        method=guess.words,
        source=guess.source,
        provenance=guess.provenance,
        note="not measured; in muscular people this reads too high. A scan or tape replaces it",
    )
    return quantity, None
