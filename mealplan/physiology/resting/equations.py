"""
Predicted resting energy: every equation as data, by its paper's name, in the list of the method.

An entry says what it takes and which rows of ``rmr_equations.csv`` hold its coefficients, whom it
was fitted on, error and source; the method page prints it and the choice of equation reads it. Age
bands include their lower end and exclude their upper end, so that a 30th birthday moves a person
into the next band; the step this makes is an artefact of banding and is never to be shown as a
change of metabolism.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_positive
from mealplan.physiology.tables import RestingEquation, resting_equations
from mealplan.references.tables import Sex
from mealplan.science.equations import EquationMark, equation, register
from mealplan.science.units import kcal_from_mj

TOPIC = "resting energy"
INPUTS = {
    "weight_kg": "Body mass. [kg]",
    "height_cm": "Height. [cm]",
    "age_years": "Age, best within the ages of those it was fitted on. [years]",
    "ffm_kg": "Fat-free mass, bone included. [kg]",
    "fm_kg": "Fat mass. [kg]",
    "sex": "Men and women were fitted apart.",
}
"""What an equation may ask for, each with its unit."""
SIZE_AGE_SEX = ("weight_kg", "height_cm", "age_years", "sex")
MASS_AGE_SEX = ("weight_kg", "age_years", "sex")
MASS = ("weight_kg",)
FAT_FREE = ("ffm_kg",)
PARTS = ("ffm_kg", "fm_kg")


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


BANDS: tuple[int, ...] = (0, 3, 10, 18, 30, 60, 120)
"""Edges of the age bands. [years]"""
FINE_BANDS: tuple[int, ...] = (0, 3, 10, 18, 30, 60, 70, 120)
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


@dataclass(frozen=True)
class RestingForm:
    """
    One equation for resting energy, called like a function of its inputs.

    Attributes
    ----------
    key : str
        Its name, after the paper.
    rows : str
        Row of its coefficients; ``{sex}`` and ``{band}`` stand for a letter and an age band.
    inputs : tuple of str
        What it takes, in order; names of :data:`INPUTS`.
    does : str
        What it gives, in a sentence.
    for_athletes : bool
        Fitted on athletes, or found to hold in them.
    offered : bool
        Whether the choice of equation may take it; others are kept to compare.
    only : str or None
        The one sex it holds for.
    bands : tuple of int
        Edges of its age bands. [years]
    """

    key: str
    rows: str
    inputs: tuple[str, ...]
    does: str
    for_athletes: bool = False
    offered: bool = True
    only: Sex | None = None
    bands: tuple[int, ...] = BANDS

    @property
    def __name__(self) -> str:
        """Its name, as a function has one."""
        return self.key

    def row(self, given: Mapping[str, object]) -> RestingEquation:
        """
        Find the coefficients for a person.

        Parameters
        ----------
        given : mapping of str to object
            Inputs by name; sex and age where rows differ by them. [as named]

        Returns
        -------
        RestingEquation

        Raises
        ------
        IntakeError
            When sex or age is not known to the table.
        """
        letter = sex_letter(given["sex"]) if "{sex}" in self.rows else ""  # type: ignore[arg-type]
        band = ""
        if "{band}" in self.rows:
            band = age_band(float(given["age_years"]), self.bands)  # type: ignore[arg-type]
        return resting_equations()[self.rows.format(sex=letter, band=band)]

    def takes(self, known: Mapping[str, object]) -> bool:
        """
        Say whether a body's measurements are enough and the equation is meant for it.

        Parameters
        ----------
        known : mapping of str to object
            Measurements by name. [as named]

        Returns
        -------
        bool
        """
        return all(name in known for name in self.inputs) and self.only in (None, known.get("sex"))

    def __call__(self, *values: float | str, **named: float | str) -> float:
        """
        Evaluate the equation.

        Parameters
        ----------
        *values, **named : float or str
            Its inputs in order, or by name. [as named]

        Returns
        -------
        float
            Resting energy. [kcal/day]

        Raises
        ------
        IntakeError
            When an input is missing, unknown, or not above zero.
        """
        given = dict(zip(self.inputs, values, strict=False)) | named
        wrong = set(given) ^ set(self.inputs)
        if wrong or len(values) > len(self.inputs):
            raise IntakeError(
                f"{self.key} takes {', '.join(self.inputs)}; look at {', '.join(sorted(wrong))}"
            )
        for name in self.inputs:
            if name != "sex":
                unit = "years" if name == "age_years" else name[-2:]
                require_positive(name, float(given[name]), unit, mend="Measure or weigh again.")
        row = self.row(given)
        value = row.intercept + sum(
            getattr(row, name) * float(given[name]) for name in self.inputs if name != "sex"
        )
        return kcal_from_mj(value) if row.unit == "MJ/day" else value


def _form(
    key: str,
    rows: str,
    inputs: tuple[str, ...],
    does: str,
    *,
    for_athletes: bool = False,
    offered: bool = True,
    only: Sex | None = None,
    bands: tuple[int, ...] = BANDS,
) -> RestingForm:
    """Make an entry and put it on the list of equations."""
    form = RestingForm(key, rows, inputs, does, for_athletes, offered, only, bands)
    pattern = rows.replace("{sex}", "[mf]").replace("{band}", "[0-9]+_[0-9]+")
    ends = {f"{low}_{high}" for low, high in pairwise(bands)}
    keys = tuple(
        row
        for row in resting_equations()
        if re.fullmatch(pattern, row)
        and ("{band}" not in rows or any(row.endswith(f"_{end}") for end in ends))
    )
    about = {name: INPUTS[name] for name in inputs}
    register(EquationMark(TOPIC, form, rows=keys, does=does, inputs=about, gives=GIVES))
    return form


GIVES = "Resting energy. [kcal/day]"

mifflin_st_jeor = _form(
    "mifflin_st_jeor",
    "mifflin_{sex}",
    SIZE_AGE_SEX,
    "Predict resting energy from size, age and sex, in the rounded form the paper recommends.",
)
mifflin_st_jeor_unrounded = _form(
    "mifflin_st_jeor_unrounded",
    "mifflin_long_{sex}",
    SIZE_AGE_SEX,
    "Predict resting energy by the unrounded regression behind the rounded form.",
    offered=False,
)
mifflin_ffm = _form(
    "mifflin_ffm",
    "mifflin_ffm",
    FAT_FREE,
    "Predict resting energy from fat-free mass, Mifflin's sample.",
)
harris_benedict_1919 = _form(
    "harris_benedict_1919",
    "hb1919_{sex}",
    SIZE_AGE_SEX,
    "Predict resting energy by the original equations of 1919.",
)
roza_shizgal_1984 = _form(
    "roza_shizgal_1984",
    "roza1984_{sex}",
    SIZE_AGE_SEX,
    "Predict resting energy by the 1984 revision, often mistaken for the original of 1919.",
)
cunningham_1980 = _form(
    "cunningham_1980",
    "cunningham1980",
    FAT_FREE,
    "Predict resting energy from lean mass, the 1980 form that suits athletes. "
    "Its lean mass was itself estimated (moore_lean_mass); with measured "
    "fat-free mass the equation works in athletes by experience, not by derivation.",
    for_athletes=True,
)
cunningham_1980_age = _form(
    "cunningham_1980_age",
    "cunningham1980_age",
    ("ffm_kg", "age_years"),
    "Predict resting energy from lean mass and age, the paper's second form.",
    offered=False,
)
cunningham_1991 = _form(
    "cunningham_1991",
    "cunningham1991",
    FAT_FREE,
    "Predict resting energy from fat-free mass, the 1991 synthesis.",
)
schofield_weight = _form(
    "schofield_weight",
    "schofield_w_kcal_{sex}_{band}",
    MASS_AGE_SEX,
    "Predict basal energy from weight within an age band, kilocalorie coefficients.",
)
schofield_weight_mj = _form(
    "schofield_weight_mj",
    "schofield_w_mj_{sex}_{band}",
    MASS_AGE_SEX,
    "Predict basal energy from weight by the megajoule coefficients, given in kilocalories.",
    offered=False,
)
schofield_weight_height = _form(
    "schofield_weight_height",
    "schofield_wh_mj_{sex}_{band}",
    SIZE_AGE_SEX,
    "Predict basal energy from weight and height within an age band.",
    offered=False,
)
henry_weight = _form(
    "henry_weight",
    "henry_w_{sex}_{band}",
    MASS_AGE_SEX,
    "Predict basal energy from weight within an age band, Oxford database.",
)
henry_weight_split = _form(
    "henry_weight_split",
    "henry_w_{sex}_{band}",
    MASS_AGE_SEX,
    "Predict basal energy from weight within an age band, Oxford database, bands split at 70.",
    bands=FINE_BANDS,
    offered=False,
)
henry_weight_height = _form(
    "henry_weight_height",
    "henry_wh_{sex}_{band}",
    SIZE_AGE_SEX,
    "Predict basal energy from weight and height within an age band, Oxford database.",
)
owen = _form(
    "owen",
    "owen_{sex}",
    ("weight_kg", "sex"),
    "Predict resting energy from weight: Owen's men of 1987, untrained women of 1986.",
)
owen_trained_women = _form(
    "owen_trained_women",
    "owen_f_athlete",
    MASS,
    "Predict resting energy of trained women from weight; fitted on eight of them.",
    offered=False,
)
de_lorenzo_1999_men = _form(
    "de_lorenzo_1999_men",
    "delorenzo1999_m",
    ("weight_kg", "height_cm"),
    "Predict resting energy of male athletes training three hours a day and more.",
    for_athletes=True,
    only="male",
)
ten_haaf_ffm = _form(
    "ten_haaf_ffm",
    "tenhaaf_ffm",
    FAT_FREE,
    "Predict resting energy of recreational athletes of 18 to 35 from fat-free mass.",
    for_athletes=True,
)
ten_haaf_weight = _form(
    "ten_haaf_weight",
    "tenhaaf_w_{sex}",
    SIZE_AGE_SEX,
    "Predict resting energy of recreational athletes of 18 to 35 from size, age and sex.",
    for_athletes=True,
)
tinsley_ffm = _form(
    "tinsley_ffm",
    "tinsley_ffm",
    FAT_FREE,
    "Predict resting energy of muscular physique athletes from fat-free mass.",
    for_athletes=True,
)
tinsley_weight = _form(
    "tinsley_weight",
    "tinsley_w",
    MASS,
    "Predict resting energy of muscular physique athletes from weight alone.",
    for_athletes=True,
)
nelson_1992 = _form(
    "nelson_1992",
    "nelson1992",
    PARTS,
    "Predict resting energy from fat-free and fat mass, without an intercept.",
)
mueller_2004 = _form(
    "mueller_2004",
    "muller2004_ffm_{sex}",
    ("ffm_kg", "fm_kg", "age_years", "sex"),
    "Predict resting energy from composition, age and sex, German database.",
)


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
