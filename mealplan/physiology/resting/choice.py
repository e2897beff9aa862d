"""
Choosing between resting-energy equations, and combining a prediction with a measurement.

The equations themselves live in :mod:`mealplan.physiology.resting.equations`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_positive
from mealplan.physiology.resting import equations as resting
from mealplan.physiology.resting.equations import RestingForm
from mealplan.physiology.tables import constants
from mealplan.references.tables import Provenance, Sex
from mealplan.science.equations import MARKS

_C = {key: constant.value for key, constant in constants("calorimetry").items()}

FfmMethod = Literal[
    "dxa", "four compartment", "air displacement", "skinfold", "circumference", "bioimpedance"
]
TRUSTED_FFM_METHODS: tuple[FfmMethod, ...] = (
    "dxa",
    "four compartment",
    "air displacement",
    "skinfold",
)
"""Methods whose fat-free mass may feed an equation without a wider band."""
ATHLETE_SESSIONS = 3.0
"""Sessions a week from which a person counts as athletic here. [1/week]"""
ATHLETE_BAND = (18.0, 35.0)
"""Ages the recreational-athlete equations were fitted on. [years]"""


@dataclass(frozen=True)
class Body:
    """
    What the choice of equation needs to know.

    Attributes
    ----------
    sex : str
        ``"male"`` or ``"female"``.
    age_years : float
        Age. [years]
    weight_kg : float
        Body mass. [kg]
    height_cm : float or None
        Height. [cm]
    ffm_kg, fm_kg : float or None
        Fat-free and fat mass. [kg]
    ffm_method : str or None
        How fat-free mass was got.
    sessions_per_week : float
        Training sessions in a usual week.
    physique_athlete : bool
        Trains for muscular appearance at a high level.
    """

    sex: Sex
    age_years: float
    weight_kg: float
    height_cm: float | None = None
    ffm_kg: float | None = None
    fm_kg: float | None = None
    ffm_method: FfmMethod | None = None
    sessions_per_week: float = 0.0
    physique_athlete: bool = False


@dataclass(frozen=True)
class Prediction:
    """
    One equation's answer for one body.

    Attributes
    ----------
    key : str
        Name of the function that gave it.
    equation : str
        The paper's name for worksheets.
    energy_kcal : float
        Resting energy. [kcal/day]
    sd_kcal : float
        Standard deviation between people for this equation. [kcal/day]
    fits : bool
        True when the body lies within the ages the equation was fitted on.
    note : str
        Whom it was fitted on, and what to mind.
    source, provenance : str
        Where the coefficients come from.
    """

    key: str
    equation: str
    energy_kcal: float
    sd_kcal: float
    fits: bool
    note: str
    source: str
    provenance: Provenance


@dataclass(frozen=True)
class RestingChoice:
    """
    The equation to use, why, and what the others say.

    Attributes
    ----------
    primary : Prediction
        The one to use.
    reason : str
        Why, in a sentence.
    check : Prediction or None
        A second one to look at beside it.
    others : tuple of Prediction
        Everything else that could be computed, in table order.
    """

    primary: Prediction
    reason: str
    check: Prediction | None
    others: tuple[Prediction, ...]


def offered_forms() -> tuple[RestingForm, ...]:
    """
    Give the equations to choose from: those of the method's list that are offered.

    Returns
    -------
    tuple of RestingForm
        In the order of the list.
    """
    marked = (mark.function for mark in MARKS.values() if mark.topic == resting.TOPIC)
    return tuple(form for form in marked if isinstance(form, RestingForm) and form.offered)


def _known(body: Body) -> dict[str, float | str]:
    """Give the measurements there are, by the names equations use."""
    measured = {
        "weight_kg": body.weight_kg,
        "height_cm": body.height_cm,
        "age_years": body.age_years,
        "ffm_kg": body.ffm_kg,
        "fm_kg": body.fm_kg if body.ffm_kg is not None else None,
        "sex": body.sex,
    }
    return {name: value for name, value in measured.items() if value is not None}


def predict_all(body: Body) -> tuple[Prediction, ...]:
    """
    Apply every equation the body's measurements allow.

    Parameters
    ----------
    body : Body
        Measurements; a missing one only leaves out the equations that need it.

    Returns
    -------
    tuple of Prediction
        Standard deviation: the equation's own standard error where the paper gives one, else the
        planning value for its kind.

    Raises
    ------
    IntakeError
        When a measurement is not above zero or the age has no band.
    """
    for name, value in (
        ("weight_kg", body.weight_kg),
        ("height_cm", body.height_cm),
        ("ffm_kg", body.ffm_kg),
        ("fm_kg", body.fm_kg),
    ):
        if value is not None:
            require_positive(name, value, name[-2:], mend="Leave it out if it was not measured.")
    if body.ffm_kg is not None and body.ffm_kg >= body.weight_kg:
        raise IntakeError(
            f"ffm_kg={body.ffm_kg:g} is not below weight_kg={body.weight_kg:g}: fat-free mass is "
            "body mass less fat. Was it a percentage?"
        )
    trusted = body.ffm_method in TRUSTED_FFM_METHODS
    made = []
    known = _known(body)
    for form in offered_forms():
        if not form.takes(known):
            continue
        given = {name: known[name] for name in form.inputs}
        row = form.row(given)
        energy = form(**given)
        fraction = _C["predicted_sd"]
        if form.for_athletes and body.sessions_per_week >= ATHLETE_SESSIONS:
            fraction = _C["athlete_predicted_sd"]
        sd = row.see_kcal if row.see_kcal is not None else fraction * energy
        note = f"fitted on {row.population}"
        fits = row.age_min <= body.age_years <= row.age_max
        if not fits:
            note += f"; outside its ages of {row.age_min:g} to {row.age_max:g}"
        if row.ffm_kg and not trusted:
            note += "; fat-free mass is not from a trusted method"
        made.append(
            Prediction(
                key=form.key,
                equation=row.equation,
                energy_kcal=energy,
                sd_kcal=sd,
                fits=fits,
                note=note,
                source=row.source,
                provenance=row.provenance,
            )
        )
    return tuple(made)


def choose(body: Body) -> RestingChoice:
    """
    Choose the equation for a body that has no valid measured value.

    With trusted fat-free mass and three or more sessions a week: ten Haaf-Weijs on fat-free mass at
    18 to 35 years, else Cunningham 1980; a physique athlete also sees Tinsley. Without trusted
    fat-free mass an athlete of 18 to 35 gets ten Haaf-Weijs on weight. Everyone else gets
    Mifflin-St Jeor, or Henry on weight when height is missing.

    Parameters
    ----------
    body : Body
        Measurements.

    Returns
    -------
    RestingChoice
    """
    made = {p.key: p for p in predict_all(body)}
    if body.age_years < ATHLETE_BAND[0] and "henry_weight_height" in made:
        pair = ("henry_weight_height", "schofield_weight")
        others = tuple(p for p in made.values() if p.key not in pair)
        reason = "under 18: the equation fitted on 10 to 18 years"
        return RestingChoice(made[pair[0]], reason, made[pair[1]], others)
    athletic = body.sessions_per_week >= ATHLETE_SESSIONS
    young = ATHLETE_BAND[0] <= body.age_years <= ATHLETE_BAND[1]
    trusted = body.ffm_kg is not None and body.ffm_method in TRUSTED_FFM_METHODS
    if trusted and athletic:
        key = "ten_haaf_ffm" if young else "cunningham_1980"
        reason = f"athletes' equation on fat-free mass, measured by {body.ffm_method}"
    elif athletic and young and "ten_haaf_weight" in made:
        key = "ten_haaf_weight"
        reason = "young athletes' equation on mass and height, without trusted fat-free mass"
    elif "mifflin_st_jeor" in made:
        key = "mifflin_st_jeor"
        reason = "the best equation for adults in general"
    else:
        key = "henry_weight"
        reason = "height is missing, so the general equation on weight and age is used"
    if key == "ten_haaf_ffm":
        check_key = "tinsley_ffm" if body.physique_athlete else "cunningham_1980"
    elif key == "cunningham_1980":
        check_key = "tinsley_ffm" if body.physique_athlete else "cunningham_1991"
    elif "henry_weight_height" in made:
        check_key = "henry_weight_height"
    else:
        check_key = "schofield_weight"
    others = tuple(p for p in made.values() if p.key not in (key, check_key))
    return RestingChoice(primary=made[key], reason=reason, check=made[check_key], others=others)


SESSIONS_BLEND = (2.0, 4.0)
"""Between these sessions a week the general equation hands over to the athletes'. [1/week]"""
AGE_BLEND = (35.0, 40.0)
"""Between these ages an equation for young athletes hands over to the one for older. [years]"""


@dataclass(frozen=True)
class EquationShares:
    """
    The equations to use, each with its share, and why; shares sum to 1.

    Attributes
    ----------
    parts : tuple of (Prediction, float)
        Largest share first.
    reason : str
        Why, in a sentence.
    others : tuple of Prediction
        Everything else that could be computed, in table order.
    """

    parts: tuple[tuple[Prediction, float], ...]
    reason: str
    others: tuple[Prediction, ...]


def _share(value: float, ends: tuple[float, float]) -> float:
    return min(1.0, max(0.0, (value - ends[0]) / (ends[1] - ends[0])))


def blend(body: Body) -> EquationShares:
    """
    Choose equations so that one more session or birthday changes nothing suddenly.

    :func:`choose` is asked for the corners, as if trained or not, as if young or older, and its
    answers are weighed by how near the body is to each.

    Parameters
    ----------
    body : Body
        Measurements.

    Returns
    -------
    EquationShares
    """
    made = {p.key: p for p in predict_all(body)}
    trained = _share(body.sessions_per_week, SESSIONS_BLEND)
    older = _share(body.age_years, AGE_BLEND)
    young_age = min(body.age_years, ATHLETE_BAND[1])
    old_age = max(body.age_years, AGE_BLEND[1])
    shares: dict[str, float] = {}
    reasons: dict[str, str] = {}
    often = max(SESSIONS_BLEND[1], body.sessions_per_week)
    for sessions, by_training in ((0.0, 1 - trained), (often, trained)):
        for age, by_age in ((young_age, 1 - older), (old_age, older)):
            if by_training * by_age == 0:
                continue
            corner = choose(replace(body, sessions_per_week=sessions, age_years=age))
            key = corner.primary.key
            shares[key] = shares.get(key, 0.0) + by_training * by_age
            reasons.setdefault(key, corner.reason)
    order = sorted(shares, key=lambda key: -shares[key])
    reason = " and ".join(reasons[key] for key in order)
    if len(order) > 1:
        reason += (
            f", blended at {body.sessions_per_week:g} sessions a week and {body.age_years:g} years "
            "so that one session or birthday more makes no jump"
        )
    others = tuple(p for key, p in made.items() if key not in shares)
    return EquationShares(tuple((made[key], shares[key]) for key in order), reason, others)


@dataclass(frozen=True)
class MetabolicRatio:
    """
    Measured over predicted resting energy, with the equation it depends on.

    Attributes
    ----------
    ratio : float
        Measured over predicted. [ratio]
    equation : str
        Name of the equation in the denominator.
    threshold : float
        Below this the ratio is one sign of low energy availability. [ratio]
    reading : str
        ``"low"``, ``"borderline"`` or ``"usual"``.
    """

    ratio: float
    equation: str
    threshold: float
    reading: Literal["low", "borderline", "usual"]


def metabolic_ratio(
    measured_kcal: float, predicted_kcal: float, equation: str, *, on_ffm: bool
) -> MetabolicRatio:
    """
    Relate a measured value to a named equation's prediction.

    Parameters
    ----------
    measured_kcal, predicted_kcal : float
        Resting energy. [kcal/day]
    equation : str
        Name of the equation; the ratio means nothing without it.
    on_ffm : bool
        True when the equation works on fat-free mass; its marker lies a little higher.

    Returns
    -------
    MetabolicRatio
        One sign among several; never a diagnosis.
    """
    require_positive("measured_kcal", measured_kcal, "kcal/day", mend="Copy it from the report.")
    require_positive("predicted_kcal", predicted_kcal, "kcal/day", mend="Predict it first.")
    ratio = measured_kcal / predicted_kcal
    low = _C["rmr_ratio_flag"]
    upper = _C["rmr_ratio_flag_ffm"] if on_ffm else low
    reading: Literal["low", "borderline", "usual"] = (
        "low" if ratio < low else "borderline" if ratio < upper else "usual"
    )
    return MetabolicRatio(ratio, equation, low, reading)
