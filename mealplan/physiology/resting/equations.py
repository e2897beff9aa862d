"""
Predicted resting energy: every equation as a plain function by its paper's name.

Each equation is a plain function; its coefficients are the row of the same name in
``rmr_equations.csv``. Age bands include their lower end and exclude their upper end, so that a
30th birthday moves a person into the next band; the step this makes is an artefact of banding and
is never to be shown as a change of metabolism.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_positive
from mealplan.physiology.tables import Sex, resting_equations
from mealplan.science import equation
from mealplan.units import kcal_from_mj


def _evaluate(
    key: str,
    *,
    weight_kg: float = 0.0,
    height_cm: float = 0.0,
    age_years: float = 0.0,
    ffm_kg: float = 0.0,
    fm_kg: float = 0.0,
) -> float:
    row = resting_equations()[key]
    value = (
        row.intercept
        + row.weight_kg * weight_kg
        + row.height_cm * height_cm
        + row.age_years * age_years
        + row.ffm_kg * ffm_kg
        + row.fm_kg * fm_kg
    )
    return kcal_from_mj(value) if row.unit == "MJ/day" else value


def sex_letter(sex: Sex) -> str:
    """
    Give the letter a sex has in the table's keys.

    Parameters
    ----------
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    str
        ``"m"`` or ``"f"``.

    Raises
    ------
    IntakeError
        When it is anything else.
    """
    if sex not in ("male", "female"):
        raise IntakeError(
            f"sex={sex!r} is not known: the equations were fitted on men and women separately. "
            'Give "male" or "female".'
        )
    return "m" if sex == "male" else "f"


BANDS = (0, 3, 10, 18, 30, 60, 120)
"""Edges of the age bands. [years]"""
FINE_BANDS = (0, 3, 10, 18, 30, 60, 70, 120)
"""The same with those over 60 split. [years]"""


def age_band(age_years: float, edges: Sequence[int] = BANDS) -> str:
    """
    Name the age band a person is in.

    Parameters
    ----------
    age_years : float
        Age. [years]
    edges : sequence of int
        Ends of the bands; the lower is inside, the upper outside. [years]

    Returns
    -------
    str
        Such as ``"18_30"``.

    Raises
    ------
    IntakeError
        When no band covers the age.
    """
    require_positive("age_years", age_years, "years", mend="Give the age in years.")
    for low, high in pairwise(edges):
        if low <= age_years < high:
            return f"{low}_{high}"
    raise IntakeError(
        f"age_years={age_years:g} is outside {edges[0]} to {edges[-1]}: no age band covers it. "
        "Check the date of birth."
    )


@equation("resting energy", rows=("mifflin_m", "mifflin_f"))
def mifflin_st_jeor(weight_kg: float, height_cm: float, age_years: float, sex: Sex) -> float:
    """
    Predict resting energy from size, age and sex, in the rounded form the paper recommends.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    height_cm : float
        Height. [cm]
    age_years : float
        Age; fitted on 19 to 78. [years]
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Mifflin et al., Am J Clin Nutr 51(2), 1990, doi:10.1093/ajcn/51.2.241.
    """
    return _evaluate(
        f"mifflin_{sex_letter(sex)}", weight_kg=weight_kg, height_cm=height_cm, age_years=age_years
    )


@equation("resting energy", rows=("mifflin_long_",))
def mifflin_st_jeor_unrounded(
    weight_kg: float, height_cm: float, age_years: float, sex: Sex
) -> float:
    """
    Predict resting energy by the unrounded regression behind :func:`mifflin_st_jeor`.

    Parameters
    ----------
    weight_kg, height_cm, age_years, sex
        As in :func:`mifflin_st_jeor`.

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Mifflin et al., Am J Clin Nutr 51(2), 1990, doi:10.1093/ajcn/51.2.241.
    """
    key = f"mifflin_long_{sex_letter(sex)}"
    return _evaluate(key, weight_kg=weight_kg, height_cm=height_cm, age_years=age_years)


@equation("resting energy", rows=("mifflin_ffm",))
def mifflin_ffm(ffm_kg: float) -> float:
    """
    Predict resting energy from fat-free mass, Mifflin's sample.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass, bone included. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Mifflin et al., Am J Clin Nutr 51(2), 1990, doi:10.1093/ajcn/51.2.241.
    """
    return _evaluate("mifflin_ffm", ffm_kg=ffm_kg)


@equation("resting energy", rows=("hb1919_",))
def harris_benedict_1919(weight_kg: float, height_cm: float, age_years: float, sex: Sex) -> float:
    """
    Predict resting energy by the original equations of 1919.

    Parameters
    ----------
    weight_kg, height_cm, age_years, sex
        As in :func:`mifflin_st_jeor`.

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Harris and Benedict, Carnegie Institution of Washington publication 279, 1919.
    """
    key = f"hb1919_{sex_letter(sex)}"
    return _evaluate(key, weight_kg=weight_kg, height_cm=height_cm, age_years=age_years)


@equation("resting energy", rows=("roza1984_",))
def roza_shizgal_1984(weight_kg: float, height_cm: float, age_years: float, sex: Sex) -> float:
    """
    Predict resting energy by the 1984 revision, often mistaken for the original of 1919.

    Parameters
    ----------
    weight_kg, height_cm, age_years, sex
        As in :func:`mifflin_st_jeor`.

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Roza and Shizgal, Am J Clin Nutr 40(1), 1984, pages 168-182.
    """
    key = f"roza1984_{sex_letter(sex)}"
    return _evaluate(key, weight_kg=weight_kg, height_cm=height_cm, age_years=age_years)


@equation("resting energy", rows=("cunningham1980",))
def cunningham_1980(ffm_kg: float) -> float:
    """
    Predict resting energy from lean mass, the 1980 form that suits athletes.

    The paper's lean mass was itself estimated (:func:`moore_lean_mass`); with measured fat-free
    mass the equation works in athletes by experience rather than by derivation.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass, bone included. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Cunningham, Am J Clin Nutr 33(11), 1980, pages 2372-2374.
    """
    return _evaluate("cunningham1980", ffm_kg=ffm_kg)


@equation("resting energy", rows=("cunningham1980_age",))
def cunningham_1980_age(ffm_kg: float, age_years: float) -> float:
    """
    Predict resting energy from lean mass and age, the paper's second form.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass, bone included. [kg]
    age_years : float
        Age. [years]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Cunningham, Am J Clin Nutr 33(11), 1980, pages 2372-2374.
    """
    return _evaluate("cunningham1980_age", ffm_kg=ffm_kg, age_years=age_years)


@equation("lean mass")
def moore_lean_mass(weight_kg: float, age_years: float, sex: Sex) -> float:
    """
    Estimate lean mass from weight and age as the 1980 paper did.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    age_years : float
        Age. [years]
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    float
        Lean mass by body water. [kg]

    References
    ----------
    .. [1] Cunningham, Am J Clin Nutr 33(11), 1980, from Moore's body-water regressions.
    """
    if sex_letter(sex) == "m":
        water_percent = 79.5 - 0.24 * weight_kg - 0.15 * age_years
    else:
        water_percent = 69.8 - 0.26 * weight_kg - 0.12 * age_years
    return water_percent * weight_kg / 73.2


@equation("resting energy", rows=("cunningham1991",))
def cunningham_1991(ffm_kg: float) -> float:
    """
    Predict resting energy from fat-free mass, the 1991 synthesis.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass, bone included. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Cunningham, Am J Clin Nutr 54(6), 1991, pages 963-969.
    """
    return _evaluate("cunningham1991", ffm_kg=ffm_kg)


@equation("resting energy", rows=("schofield_w_kcal_",))
def schofield_weight(weight_kg: float, age_years: float, sex: Sex) -> float:
    """
    Predict basal energy from weight within an age band, kilocalorie coefficients.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    age_years : float
        Age; bands start at 0, 3, 10, 18, 30 and 60, lower end included. [years]
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    float
        Basal energy. [kcal/day]

    References
    ----------
    .. [1] Schofield, Hum Nutr Clin Nutr 39C(Suppl 1), 1985, pages 5-41.
    """
    key = f"schofield_w_kcal_{sex_letter(sex)}_{age_band(age_years)}"
    return _evaluate(key, weight_kg=weight_kg)


@equation("resting energy", rows=("schofield_w_mj_",))
def schofield_weight_mj(weight_kg: float, age_years: float, sex: Sex) -> float:
    """
    Predict basal energy from weight by the megajoule coefficients, given in kilocalories.

    Parameters
    ----------
    weight_kg, age_years, sex
        As in :func:`schofield_weight`.

    Returns
    -------
    float
        Basal energy. [kcal/day]

    References
    ----------
    .. [1] Schofield, Hum Nutr Clin Nutr 39C(Suppl 1), 1985, pages 5-41.
    """
    key = f"schofield_w_mj_{sex_letter(sex)}_{age_band(age_years)}"
    return _evaluate(key, weight_kg=weight_kg)


@equation("resting energy", rows=("schofield_wh_mj_",))
def schofield_weight_height(
    weight_kg: float, height_cm: float, age_years: float, sex: Sex
) -> float:
    """
    Predict basal energy from weight and height within an age band.

    Parameters
    ----------
    weight_kg, age_years, sex
        As in :func:`schofield_weight`.
    height_cm : float
        Height. [cm]

    Returns
    -------
    float
        Basal energy. [kcal/day]

    References
    ----------
    .. [1] Schofield, Hum Nutr Clin Nutr 39C(Suppl 1), 1985, pages 5-41.
    """
    key = f"schofield_wh_mj_{sex_letter(sex)}_{age_band(age_years)}"
    return _evaluate(key, weight_kg=weight_kg, height_cm=height_cm)


@equation("resting energy", rows=("henry_w_",))
def henry_weight(
    weight_kg: float, age_years: float, sex: Sex, *, split_over_60: bool = False
) -> float:
    """
    Predict basal energy from weight within an age band, Oxford database.

    Parameters
    ----------
    weight_kg, age_years, sex
        As in :func:`schofield_weight`.
    split_over_60 : bool
        Use the separate bands of 60 to 70 and from 70 years.

    Returns
    -------
    float
        Basal energy. [kcal/day]

    References
    ----------
    .. [1] Henry, Public Health Nutr 8(7A), 2005, doi:10.1079/PHN2005801.
    """
    band = age_band(age_years, FINE_BANDS if split_over_60 else BANDS)
    return _evaluate(f"henry_w_{sex_letter(sex)}_{band}", weight_kg=weight_kg)


@equation("resting energy", rows=("henry_wh_",))
def henry_weight_height(weight_kg: float, height_cm: float, age_years: float, sex: Sex) -> float:
    """
    Predict basal energy from weight and height within an age band, Oxford database.

    Parameters
    ----------
    weight_kg, age_years, sex
        As in :func:`schofield_weight`.
    height_cm : float
        Height. [cm]

    Returns
    -------
    float
        Basal energy. [kcal/day]

    References
    ----------
    .. [1] Henry, Public Health Nutr 8(7A), 2005, doi:10.1079/PHN2005801.
    """
    key = f"henry_wh_{sex_letter(sex)}_{age_band(age_years)}"
    return _evaluate(key, weight_kg=weight_kg, height_cm=height_cm)


@equation("resting energy", rows=("owen_m", "owen_f"))
def owen(weight_kg: float, sex: Sex) -> float:
    """
    Predict resting energy from weight: Owen's men of 1987, untrained women of 1986.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Owen et al., Am J Clin Nutr 46(6), 1987, pages 875-885.
    .. [2] Owen et al., Am J Clin Nutr 44(1), 1986, pages 1-19.
    """
    return _evaluate(f"owen_{sex_letter(sex)}", weight_kg=weight_kg)


@equation("resting energy", rows=("owen_f_athlete",))
def owen_trained_women(weight_kg: float) -> float:
    """
    Predict resting energy of trained women from weight; fitted on eight of them.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Owen et al., Am J Clin Nutr 44(1), 1986, pages 1-19.
    """
    return _evaluate("owen_f_athlete", weight_kg=weight_kg)


@equation("resting energy", rows=("delorenzo1999_m",))
def de_lorenzo_1999_men(weight_kg: float, height_cm: float) -> float:
    """
    Predict resting energy of male athletes training three hours a day and more.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    height_cm : float
        Height. [cm]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] De Lorenzo et al., J Sports Med Phys Fitness 39(3), 1999, pages 213-219.
    """
    return _evaluate("delorenzo1999_m", weight_kg=weight_kg, height_cm=height_cm)


@equation("resting energy", rows=("tenhaaf_ffm",))
def ten_haaf_ffm(ffm_kg: float) -> float:
    """
    Predict resting energy of recreational athletes of 18 to 35 from fat-free mass.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass, bone included. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] ten Haaf and Weijs, PLoS ONE 9(10), 2014, doi:10.1371/journal.pone.0108460.
    """
    return _evaluate("tenhaaf_ffm", ffm_kg=ffm_kg)


@equation("resting energy", rows=("tenhaaf_w_",))
def ten_haaf_weight(weight_kg: float, height_cm: float, age_years: float, sex: Sex) -> float:
    """
    Predict resting energy of recreational athletes of 18 to 35 from size, age and sex.

    Parameters
    ----------
    weight_kg, height_cm, age_years, sex
        As in :func:`mifflin_st_jeor`.

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] ten Haaf and Weijs, PLoS ONE 9(10), 2014, doi:10.1371/journal.pone.0108460.
    """
    key = f"tenhaaf_w_{sex_letter(sex)}"
    return _evaluate(key, weight_kg=weight_kg, height_cm=height_cm, age_years=age_years)


@equation("resting energy", rows=("tinsley_ffm",))
def tinsley_ffm(ffm_kg: float) -> float:
    """
    Predict resting energy of muscular physique athletes from fat-free mass.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass, bone included. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Tinsley et al., Appl Physiol Nutr Metab 44(4), 2019, pages 397-406.
    """
    return _evaluate("tinsley_ffm", ffm_kg=ffm_kg)


@equation("resting energy", rows=("tinsley_w",))
def tinsley_weight(weight_kg: float) -> float:
    """
    Predict resting energy of muscular physique athletes from weight alone.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Tinsley et al., Appl Physiol Nutr Metab 44(4), 2019, pages 397-406.
    """
    return _evaluate("tinsley_w", weight_kg=weight_kg)


@equation("resting energy", rows=("nelson1992",))
def nelson_1992(ffm_kg: float, fm_kg: float) -> float:
    """
    Predict resting energy from fat-free and fat mass, without an intercept.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass, bone included. [kg]
    fm_kg : float
        Fat mass. [kg]

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Nelson et al., Am J Clin Nutr 56(5), 1992, pages 848-856.
    """
    return _evaluate("nelson1992", ffm_kg=ffm_kg, fm_kg=fm_kg)


@equation("resting energy", rows=("muller2004_",))
def mueller_2004(ffm_kg: float, fm_kg: float, age_years: float, sex: Sex) -> float:
    """
    Predict resting energy from composition, age and sex, German database.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass, bone included. [kg]
    fm_kg : float
        Fat mass. [kg]
    age_years : float
        Age. [years]
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    float
        Resting energy. [kcal/day]

    References
    ----------
    .. [1] Mueller et al., Am J Clin Nutr 80(5), 2004, pages 1379-1390.
    """
    key = f"muller2004_ffm_{sex_letter(sex)}"
    return _evaluate(key, ffm_kg=ffm_kg, fm_kg=fm_kg, age_years=age_years)
