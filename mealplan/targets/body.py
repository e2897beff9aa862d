"""What the intake says about the body, as quantities with errors: mass, fat, fat-free mass."""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.client.intake import SITTING_FLAGS, BodyScan, Intake
from mealplan.physiology.body.anthropometry import fat_from_girths
from mealplan.physiology.body.fat_from_size import FatFromSize, fat_from_size
from mealplan.physiology.tables import constants
from mealplan.references.tables import sport_range
from mealplan.science.quantity import Quantity, derive, given

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


BONE_FRACTION = 0.055
"""Bone mineral to lean soft tissue where a scan leaves it out. [ratio] (common practice)"""
PARTS_DOUBTED, PARTS_REFUSED = 0.05, 0.10
"""
A scan whose parts differ so from body mass is doubted, then not used. [fraction] (common practice)
"""
FAR_APART_SD = 2.0
"""Scan and size further apart than this are said. [standard deviation of their difference]"""


@dataclass(frozen=True)
class BodyQuantities:
    """Mass and its parts."""

    mass: Quantity
    fat_percent: Quantity
    fat: Quantity
    ffm: Quantity
    method: str | None
    """Method of the fat-free mass; None when it was estimated from size, not measured."""
    doubts: tuple[str, ...] = ()
    """What about a scan does not add up."""


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
    percent, method, doubts = _fat_percent(intake)
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
    return BodyQuantities(mass, percent, fat, ffm, method, doubts)


def much_fat(intake: Intake, body: BodyQuantities) -> bool:
    """Whether fat lies above the usual range, where rules for the lean do not hold."""
    group = "men" if intake.sex == "male" else "women"
    return body.fat_percent.value >= sport_range(f"fat_high_{group}")[1]


def _fat_percent(intake: Intake) -> tuple[Quantity, str | None, tuple[str, ...]]:
    """Body fat, its method, and what does not add up; a scan that cannot be true is set aside."""
    scan = intake.scan
    if scan is None:
        return (*_unscanned(intake), ())
    value, words = _scan_fat_percent(scan, intake.weight_kg)
    measured = given(
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
    parts = _parts_kg(scan)
    gap = 0.0 if parts is None else parts / intake.weight_kg - 1
    if parts is not None and abs(gap) > PARTS_REFUSED:
        doubt = (
            f"Scan of {scan.date}: its parts add up to {parts:.1f} kg, {abs(gap):.0%} "
            f"{'above' if gap > 0 else 'below'} body mass ({intake.weight_kg:g} kg): a mass was "
            "copied wrong, or much has changed since. It is not used; copy it again or repeat it"
        )
        return (*_unscanned(intake), (doubt,))
    doubts = []
    if abs(gap) > PARTS_DOUBTED:
        doubts.append(
            f"Scan of {scan.date}: its parts add up to {parts:.1f} kg, body mass is "
            f"{intake.weight_kg:g} kg: the share of fat may have changed since"
        )
    if SITTING_FLAGS & set(intake.health):
        return measured, scan.method, tuple(doubts)
    guess = _from_size(intake)
    apart = abs(measured.value - guess.value) / (measured.sd**2 + guess.sd**2) ** 0.5
    if apart > FAR_APART_SD:
        doubts.append(
            f"Scan of {scan.date}: {measured.value:.0f} % fat, where size, age and sex lead one to "
            f"expect about {guess.value:.0f} %: right in someone very muscular or very lean, else "
            "repeat it"
        )
    if scan.method == "bioimpedance":
        measured = _with_size(measured, guess)
    return measured, scan.method, tuple(doubts)


def _parts_kg(scan: BodyScan) -> float | None:
    """Mass of all parts of a scan that gives them; bone as usual where it is left out. [kg]."""
    if scan.fat_kg is None or scan.lean_soft_kg is None:
        return None
    bone = scan.bone_kg if scan.bone_kg is not None else BONE_FRACTION * scan.lean_soft_kg
    return scan.fat_kg + scan.lean_soft_kg + bone


def _with_size(measured: Quantity, guess: Quantity) -> Quantity:
    """Weigh a home scale's answer with that of size by their precision: neither is sure."""
    weight = guess.sd**2 / (measured.sd**2 + guess.sd**2)
    sd = (1 / (1 / measured.sd**2 + 1 / guess.sd**2)) ** 0.5
    return given(
        "fat_percent",
        "Body fat",
        weight * measured.value + (1 - weight) * guess.value,
        "%",
        sd=sd,
        error_name="accuracy of bioimpedance and of size",
        method=(
            f"{weight:.2f} × {measured.value:.1f} % (bioimpedance) + {1 - weight:.2f} × "
            f"{guess.value:.1f} % ({guess.method})"
        ),
        source=measured.source,
        provenance="common practice",
        note="a home scale is about as sure as size alone; a scan, calipers or tape tells more",
    )


def _unscanned(intake: Intake) -> tuple[Quantity, str | None]:
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
    return _from_size(intake), None


def _missing_share(intake: Intake) -> tuple[float, float]:
    """
    Share of body mass that a lost limb would hold, and its standard deviation [fraction].

    Where it was not said which part, anything between the smallest and the largest is as likely.
    """
    if "limb loss" not in intake.health:
        return 0.0, 0.0
    shares = {key: row.value / 100 for key, row in constants("limb_segments").items()}
    if intake.limb_lost is not None:
        second = intake.limb_lost_second
        return shares[intake.limb_lost] + (0.0 if second is None else shares[second]), 0.0
    least, most = min(shares.values()), max(shares.values())
    return (least + most) / 2, (most - least) / 12**0.5


def whole_mass_kg(intake: Intake) -> float:
    """
    Give the mass that belongs to a height: that of the scale with a missing limb put back.

    Parameters
    ----------
    intake : Intake
        Mass, and the parts of one limb or two that are missing.

    Returns
    -------
    float
        Body mass over one less the segments' shares; the scale's where the part is not known. [kg]
    """
    if intake.limb_lost is None:
        return intake.weight_kg
    return intake.weight_kg / (1 - _missing_share(intake)[0])


def _from_size(intake: Intake) -> Quantity:
    share, share_sd = _missing_share(intake)

    def guessed(missing: float) -> FatFromSize:
        return fat_from_size(
            intake.weight_kg / (1 - missing),
            intake.height_cm,
            intake.age_years,
            intake.sex,
            sessions_per_week=intake.usual_sessions,
        )

    guess = guessed(share)
    sd = guess.sd_points
    if share_sd:
        around = guessed(share + share_sd).fat_percent - guessed(share - share_sd).fat_percent
        sd = (sd**2 + (around / 2) ** 2) ** 0.5
    words = guess.words
    if share:
        words += f", with {100 * share:.3g} % of body mass put back for the missing limb"
    return given(
        "fat_percent",
        "Body fat",
        guess.fat_percent,
        "%",
        sd=sd,
        error_name="body fat was not measured",
        method=words,
        source=guess.source,
        provenance=guess.provenance,
        note="not measured; in muscular people this reads too high. A scan or tape replaces it",
    )
