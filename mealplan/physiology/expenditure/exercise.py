"""
What a session costs: metabolic equivalents, metabolic equations, cycling work, distance run.

Net cost is the one to add to a day that already holds 24 hours of resting energy; gross cost counts
that hour's rest twice. Tables are within about a quarter for one person.
"""

from __future__ import annotations

from mealplan.errors import IntakeError
from mealplan.physiology.checks import (
    require_between,
    require_not_negative,
    require_positive,
)
from mealplan.physiology.tables import Activity, activities, constants
from mealplan.science.equations import equation
from mealplan.science.units import kcal_from_kj

_C = {key: constant.value for key, constant in constants("exercise_constants").items()}
_MET = "Look the activity up in the compendium."


def activity_by_code(code: str) -> Activity:
    """
    Look up an activity by its compendium code.

    Parameters
    ----------
    code : str
        Five digits, such as ``"02054"``.

    Returns
    -------
    Activity

    Raises
    ------
    IntakeError
        When the extract has no such code.
    """
    try:
        return activities()[code]
    except KeyError:
        raise IntakeError(
            f"activity code {code!r} is not in the compendium extract: "
            "search it by words, or give the metabolic equivalents yourself."
        ) from None


def find_activities(words: str) -> tuple[Activity, ...]:
    """
    Find activities whose description holds every word.

    Parameters
    ----------
    words : str
        One word or more, in any order and case.

    Returns
    -------
    tuple of Activity
        In table order; empty when nothing matches.
    """
    wanted = words.lower().split()
    if not wanted:
        return ()
    return tuple(
        a
        for a in activities().values()
        if all(word in f"{a.activity} {a.category}".lower() for word in wanted)
    )


@equation("cost of exercise")
def met_energy_gross(met: float, weight_kg: float, minutes: float) -> float:
    """
    Cost a session with the rest it replaces still in it, at 1 kcal a kg an hour for each MET.

    Parameters
    ----------
    met : float
        Metabolic equivalents. [MET]
    weight_kg : float
        Body mass. [kg]
    minutes : float
        Length. [min]

    Returns
    -------
    float
        Energy. [kcal]

    References
    ----------
    .. [1] Ainsworth et al., Med Sci Sports Exerc 43(8), 2011, pages 1575-1581.
    """
    require_positive("met", met, "MET", mend=_MET)
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    require_not_negative("minutes", minutes, "min", mend="Give the session's length.")
    return met * _C["met_kcal_per_kg_h"] * weight_kg * minutes / 60.0


@equation("cost of exercise")
def met_energy_gross_by_oxygen(met: float, weight_kg: float, minutes: float) -> float:
    """
    Cost a session by the other convention, 3.5 mL of oxygen and 5 kcal a litre; 5 % higher.

    Kept to compare with figures made that way; the program's own convention is
    :func:`met_energy_gross`.

    Parameters
    ----------
    met, weight_kg, minutes
        As in :func:`met_energy_gross`.

    Returns
    -------
    float
        Energy. [kcal]
    """
    gross = met_energy_gross(met, weight_kg, minutes) / _C["met_kcal_per_kg_h"]
    return gross * 60.0 * _C["met_oxygen"] / 1000.0 * _C["oxygen_energy"]


@equation("cost of exercise")
def met_energy_net(
    met: float, weight_kg: float, minutes: float, rmr_kcal: float | None = None
) -> float:
    """
    Cost a session beyond the rest it replaces.

    Parameters
    ----------
    met, weight_kg, minutes
        As in :func:`met_energy_gross`; below 1 MET the net cost is nil.
    rmr_kcal : float, optional
        The client's own resting energy; without it rest counts as 1 MET. [kcal/day]

    Returns
    -------
    float
        Energy, never negative. [kcal]
    """
    gross = met_energy_gross(met, weight_kg, minutes)
    if rmr_kcal is None:
        rest = met_energy_gross(1.0, weight_kg, minutes)
    else:
        require_positive("rmr_kcal", rmr_kcal, "kcal/day", mend="Leave it out if unknown.")
        rest = rmr_kcal / 24.0 * minutes / 60.0
    return max(0.0, gross - rest)


@equation("cost of exercise")
def resting_kcal_per_kg_h(rmr_kcal: float, weight_kg: float) -> float:
    """
    Express resting energy per kilogram and hour, to compare with the conventional 1.

    Parameters
    ----------
    rmr_kcal : float
        Resting energy. [kcal/day]
    weight_kg : float
        Body mass. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/kg/h]
    """
    require_positive("rmr_kcal", rmr_kcal, "kcal/day", mend="Measure or predict it first.")
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    return rmr_kcal / weight_kg / 24.0


@equation("cost of exercise")
def standard_resting_vo2(weight_kg: float) -> float:
    """
    Give the oxygen uptake that 1 MET stands for.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]

    Returns
    -------
    float
        Oxygen uptake. [mL/min]
    """
    return _C["met_oxygen"] * require_positive(
        "weight_kg", weight_kg, "kg", mend="Weigh the client."
    )


@equation("cost of exercise")
def corrected_met(met: float, resting_vo2_ml_kg_min: float) -> float:
    """
    Correct a table value for a client whose measured resting oxygen uptake is not 3.5.

    Parameters
    ----------
    met : float
        Table value. [MET]
    resting_vo2_ml_kg_min : float
        Measured resting oxygen uptake. [mL/kg/min]

    Returns
    -------
    float
        Corrected value. [MET]
    """
    require_positive("met", met, "MET", mend=_MET)
    require_between(
        "resting_vo2_ml_kg_min",
        resting_vo2_ml_kg_min,
        1.5,
        7.0,
        "mL/kg/min",
        reason="adults at rest use 2 to 6",
        mend="Divide mL/min by body mass in kg.",
    )
    return met * _C["met_oxygen"] / resting_vo2_ml_kg_min


@equation("cost of exercise")
def acsm_walking_vo2(speed_m_min: float, grade_fraction: float = 0.0) -> float:
    """
    Predict oxygen uptake of walking.

    Parameters
    ----------
    speed_m_min : float
        Speed; holds for 50 to 100. [m/min]
    grade_fraction : float
        Rise over run. [fraction]

    Returns
    -------
    float
        Oxygen uptake, rest included. [mL/kg/min]

    References
    ----------
    .. [1] American College of Sports Medicine, Guidelines for Exercise Testing and Prescription.
    """
    require_positive("speed_m_min", speed_m_min, "m/min", mend="Give the speed.")
    _grade(grade_fraction)
    climb = _C["acsm_walk_grade"] * speed_m_min * grade_fraction
    return _C["acsm_rest"] + _C["acsm_walk_speed"] * speed_m_min + climb


@equation("cost of exercise")
def acsm_running_vo2(speed_m_min: float, grade_fraction: float = 0.0) -> float:
    """
    Predict oxygen uptake of running.

    Parameters
    ----------
    speed_m_min : float
        Speed; holds above 134, or above 80 when truly running. [m/min]
    grade_fraction : float
        Rise over run. [fraction]

    Returns
    -------
    float
        Oxygen uptake, rest included. [mL/kg/min]

    References
    ----------
    .. [1] American College of Sports Medicine, Guidelines for Exercise Testing and Prescription.
    """
    require_positive("speed_m_min", speed_m_min, "m/min", mend="Give the speed.")
    _grade(grade_fraction)
    climb = _C["acsm_run_grade"] * speed_m_min * grade_fraction
    return _C["acsm_rest"] + _C["acsm_run_speed"] * speed_m_min + climb


def _grade(grade_fraction: float) -> None:
    require_between(
        "grade_fraction",
        grade_fraction,
        0.0,
        0.5,
        "(rise over run)",
        reason="the equations hold on the level and uphill",
        mend="Five per cent is 0.05.",
    )


@equation("cost of exercise")
def acsm_cycling_vo2(power_w: float, weight_kg: float) -> float:
    """
    Predict oxygen uptake of leg cycling on an ergometer.

    Parameters
    ----------
    power_w : float
        Power; holds for 50 to 200. [W]
    weight_kg : float
        Body mass. [kg]

    Returns
    -------
    float
        Oxygen uptake, rest included. [mL/kg/min]

    References
    ----------
    .. [1] American College of Sports Medicine, Guidelines for Exercise Testing and Prescription.
    """
    require_not_negative("power_w", power_w, "W", mend="Give the mean power.")
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    return _C["acsm_cycle_base"] + _C["acsm_cycle_power"] * power_w / weight_kg


@equation("cost of exercise")
def oxygen_energy(vo2_ml_kg_min: float, weight_kg: float, minutes: float) -> float:
    """
    Turn an oxygen uptake into energy at 5 kcal a litre.

    Parameters
    ----------
    vo2_ml_kg_min : float
        Oxygen uptake; take 3.5 off first for net cost. [mL/kg/min]
    weight_kg : float
        Body mass. [kg]
    minutes : float
        Length. [min]

    Returns
    -------
    float
        Energy. [kcal]
    """
    require_not_negative("vo2_ml_kg_min", vo2_ml_kg_min, "mL/kg/min", mend="Predict it first.")
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    require_not_negative("minutes", minutes, "min", mend="Give the session's length.")
    return vo2_ml_kg_min * weight_kg * minutes / 1000.0 * _C["oxygen_energy"]


@equation("cost of exercise")
def cycling_energy_from_work(
    work_kj: float, gross_efficiency: float = _C["gross_efficiency"]
) -> float:
    """
    Turn measured cycling work into energy spent, rest included.

    Parameters
    ----------
    work_kj : float
        Work from a power meter. [kJ]
    gross_efficiency : float
        Work over energy; 0.20 to 0.25 in trained cyclists. [fraction]

    Returns
    -------
    float
        Energy. [kcal]
    """
    require_not_negative("work_kj", work_kj, "kJ", mend="Copy it from the power meter.")
    require_between(
        "gross_efficiency",
        gross_efficiency,
        0.15,
        0.28,
        "(fraction)",
        reason="cyclists lie between 0.20 and 0.25",
        mend="Leave it out to use 0.22.",
    )
    return kcal_from_kj(work_kj) / gross_efficiency


@equation("cost of exercise")
def running_energy_net(distance_km: float, weight_kg: float) -> float:
    """
    Cost a level run by its distance, beyond the rest it replaces.

    Parameters
    ----------
    distance_km : float
        Distance. [km]
    weight_kg : float
        Body mass. [kg]

    Returns
    -------
    float
        Energy at about 0.9 kcal a kg and km. [kcal]
    """
    require_not_negative("distance_km", distance_km, "km", mend="Give the distance.")
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    return _C["running_net"] * distance_km * weight_kg


@equation("cost of exercise")
def thermic_effect(protein_g: float, carbohydrate_g: float, fat_g: float) -> float:
    """
    Estimate the energy a day's food costs to digest, by macronutrient.

    Parameters
    ----------
    protein_g, carbohydrate_g, fat_g : float
        What is eaten. [g/day]

    Returns
    -------
    float
        Thermic effect at 25, 8 and 2 % of energy. [kcal/day]
    """
    for name, grams in (
        ("protein_g", protein_g),
        ("carbohydrate_g", carbohydrate_g),
        ("fat_g", fat_g),
    ):
        require_not_negative(name, grams, "g/day", mend="Give grams a day.")
    return (
        _C["tef_protein"] * _C["atwater_protein"] * protein_g
        + _C["tef_carbohydrate"] * _C["atwater_carbohydrate"] * carbohydrate_g
        + _C["tef_fat"] * _C["atwater_fat"] * fat_g
    )
