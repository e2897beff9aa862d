"""
What a health condition changes in a day's ranges, once a professional has let the client through.

Each condition is one small function on the ranges; what it says is a caution, never treatment.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from mealplan.client.intake import Intake
from mealplan.nutrition.reference_intakes import reference_intake
from mealplan.physiology.guard.findings import limit
from mealplan.references.tables import Condition
from mealplan.targets.bloods import sides
from mealplan.targets.ranges import TargetRange

Ranges = dict[str, TargetRange]


@dataclass(frozen=True)
class KidneyProtein:
    """Protein that a kidney condition leaves until the dietitian's own is entered."""

    low: float
    high: float
    """Per kilogram. [g/kg]"""
    words: str


def kidney_protein(intake: Intake) -> KidneyProtein | None:
    """
    Give the protein that a kidney condition leaves.

    Parameters
    ----------
    intake : Intake
        Its conditions and blood tests.

    Returns
    -------
    KidneyProtein or None
        None without a kidney condition.
    """
    health = set(intake.health)
    own = "the dietitian's own range goes here instead"
    if "dialysis" in health:
        return KidneyProtein(
            limit("ckd_protein_dialysis_low"), limit("ckd_protein_dialysis"), f"on dialysis: {own}"
        )
    if "kidney disease" in health and health & DIABETES_FLAGS:
        return KidneyProtein(
            limit("ckd_protein_diabetes_low"),
            limit("ckd_protein_diabetes"),
            f"kidney disease with diabetes: {own}",
        )
    if "kidney disease" in health:
        return KidneyProtein(
            limit("ckd_protein_disease_low"), limit("ckd_protein_disease"), f"kidney disease: {own}"
        )
    outside = sides(intake)
    worked_less = outside.get("creatinine") == "high" or outside.get("egfr") == "low"
    if health & KIDNEY_FLAGS or worked_less:
        allowance = limit("ckd_protein")
        return KidneyProtein(allowance, allowance, "a kidney condition: no more than the allowance")
    return None


KIDNEY_FLAGS = frozenset({"kidney disease", "dialysis", "kidney stones", "one kidney"})
PROTEIN_HELD = KIDNEY_FLAGS | {"bariatric surgery"}
"""Health flags whose protein a dietitian sets; training adds nothing to it."""
DIABETES_FLAGS = frozenset(
    {
        "diabetes medicines",
        "type 1 diabetes",
        "insulin or sulfonylurea",
        "sglt2 inhibitor",
        "metformin",
    }
)
"""Health flags of people with diabetes."""
STEADY_FACTOR = 3.0
"""Most vitamin K a day beside an anticoagulant, over the adequate intake (common practice)."""
QUIET_FIBRE_G = 40.0
"""Most fibre a day with an irritable bowel, as a wish. [g] (common practice)"""


def _without_floor(target: TargetRange, reason: str) -> TargetRange:
    return target.model_copy(
        update={
            "low": None,
            "aim": None,
            "day_low": None,
            "relaxed_low": None,
            "reason": reason,
            "low_source": "",
            "provenance": "common practice",
        }
    )


def _kidney(ranges: Ranges) -> None:
    """Potassium, phosphorus and magnesium are the dietitian's to set."""
    reason = "kidney condition: no range here; the dietitian's own goes into nutrition.bounds"
    for key in ("potassium_mg", "phosphorus_mg", "magnesium_mg"):
        if key in ranges:
            open_ended = ranges[key].model_copy(update={"high": None, "high_source": ""})
            ranges[key] = _without_floor(open_ended, reason)


def _potassium_held(ranges: Ranges) -> None:
    """Nothing may push potassium where medicines hold it back."""
    reason = "medicines hold potassium back: no floor; potassium and creatinine are measured"
    ranges["potassium_mg"] = _without_floor(ranges["potassium_mg"], reason)


def _ill_bowel(ranges: Ranges) -> None:
    """Fibre is the dietitian's to set: what feeds a healthy bowel can block a narrowed one."""
    reason = "bowel disease: no floor; less in a flare or with a narrowing, as the dietitian says"
    held = ranges["fibre_g"].model_copy(update={"high": QUIET_FIBRE_G})
    ranges["fibre_g"] = _without_floor(held, reason)


def _iron_overload(ranges: Ranges) -> None:
    """Nothing may push iron up, nor what raises its uptake."""
    reason = "haemochromatosis: no floor and no supplement of iron; blood tests decide"
    ranges["iron_mg"] = _without_floor(ranges["iron_mg"], reason)


def _anticoagulant(ranges: Ranges) -> None:
    """Vitamin K steady from day to day: the tablet's dose was found on it."""
    target = ranges["vitamin_k_ug"]
    if target.low is None:
        return
    ranges["vitamin_k_ug"] = target.model_copy(
        update={
            "high": STEADY_FACTOR * target.low,
            "high_tier": "comfort",
            "high_source": "common practice beside an anticoagulant",
            "over": "day",
            "day_low": None,
            "reason": "anticoagulant: keep vitamin K much the same every day, and tell the clinic "
            "before a change to far more or fewer greens",
        }
    )


def _quiet_bowel(ranges: Ranges) -> None:
    """Less fibre at once; fermentable carbohydrate is for a dietitian to find out."""
    fibre = ranges["fibre_g"]
    low = min(fibre.low or 0.0, QUIET_FIBRE_G)
    ranges["fibre_g"] = fibre.model_copy(
        update={
            "low": low,
            "aim": low,
            "high": QUIET_FIBRE_G,
            "reason": "irritable bowel: less fibre, raised slowly; onion, garlic, wheat, pulses "
            "and some fruit hold fermentable carbohydrate (FODMAP), tried out with a dietitian",
        }
    )


def _pressure(ranges: Ranges) -> None:
    """High blood pressure: the level for less risk is the ceiling, sweat or not."""
    _sodium_held(ranges, "high blood pressure")


def _kidney_disease(ranges: Ranges) -> None:
    """Kidney disease: what any kidney condition changes, and the ceiling on sodium."""
    _kidney(ranges)
    _sodium_held(ranges, "kidney disease")
    if "calcium_mg" in ranges:
        reason = (
            "kidney disease: no floor and no tablets by oneself; 800 to 1,000 mg from all sources "
            "is usual in stages 3 and 4 (KDOQI 2020), on dialysis the team says"
        )
        ranges["calcium_mg"] = _without_floor(ranges["calcium_mg"], reason)


def _sitting(ranges: Ranges) -> None:
    """Raise fibre slowly, from what is eaten now, in a bowel without its nerves."""
    reason = (
        "wheelchair use: no floor; a bowel that lacks its nerves takes more fibre only slowly, "
        "beside its routine, and may do worse with it"
    )
    ranges["fibre_g"] = _without_floor(ranges["fibre_g"], reason)


def _sodium_held(ranges: Ranges, words: str) -> None:
    sodium = ranges["sodium_mg"]
    high = reference_intake("sodium_mg", "male", 40).cdrr
    if high is None or sodium.high is None:
        return
    ceiling = min(high, sodium.high)
    ranges["sodium_mg"] = sodium.model_copy(
        update={
            "aim": min(sodium.aim or ceiling, ceiling),
            "high": ceiling,
            "high_tier": "floor",
            "reason": f"{words}: the ceiling is kept whatever is sweated; with long "
            "training in heat the physician says what to replace",
        }
    )


CHANGES: Mapping[str, Callable[[Ranges], None]] = {
    "kidney disease": _kidney_disease,
    "dialysis": _kidney_disease,
    "wheelchair user": _sitting,
    "kidney stones": _kidney,
    "one kidney": _kidney,
    "potassium-raising medicines": _potassium_held,
    "bowel disease": _ill_bowel,
    "haemochromatosis": _iron_overload,
    "anticoagulant": _anticoagulant,
    "irritable bowel": _quiet_bowel,
    "high blood pressure": _pressure,
}
"""Health flag of the intake to what it changes."""


def condition_of(intake: Intake) -> Condition:
    """Name the stage of life that reference intakes know: pregnancy, lactation or none."""
    if "pregnant" in intake.health:
        return "pregnancy"
    if "breastfeeding" in intake.health:
        return "lactation"
    return "none"


def adjusted_for_health(ranges: Ranges, intake: Intake) -> Ranges:
    """
    Change a day's ranges for the conditions of an intake.

    Parameters
    ----------
    ranges : dict of str to TargetRange
        By nutrient key.
    intake : Intake
        The client.

    Returns
    -------
    dict of str to TargetRange
        A new mapping; the one given is left as it was.
    """
    changed = dict(ranges)
    for flag in intake.health:
        if flag in CHANGES:
            CHANGES[flag](changed)
    iron, prescribed = changed.get("iron_mg"), intake.nutrition.prescribed_iron
    if prescribed is not None and iron is not None and iron.high is not None:
        changed["iron_mg"] = iron.model_copy(
            update={
                "high": iron.high + prescribed.mg_per_day,
                "high_source": f"{iron.high_source}, beside what is prescribed",
            }
        )
    return changed
