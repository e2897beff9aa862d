"""
Body fat when nothing was measured: from body mass index, age and sex, by published equations.

All were fitted on ordinary adults: muscle reads as fat in them. A scan or tape replaces them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from mealplan.physiology.body.anthropometry import body_mass_index
from mealplan.physiology.checks import require_positive
from mealplan.physiology.tables import constants
from mealplan.references.tables import Provenance, Sex, provenance, read_rows

_C = {key: constant.value for key, constant in constants("body_composition").items()}

ADULT_FROM, ADULT_FULLY = 18.0, 22.0
"""Between these ages the equation for all ages hands over to that for adults. [years]"""
HEAVY_FROM, HEAVY_FULLY = 25.0, 30.0
"""Between these body mass indices the equation for lean hands over to that for heavy adults."""
TRAINED_SESSIONS = 4.0
"""Sessions a week from which muscle makes these equations unsure. [1/week]"""
THIN_FULLY, THIN_FROM = 17.0, 20.0
"""Between these body mass indices all equations together take over: none was fitted on the thin."""
LEAST = {"male": 3.0, "female": 8.0}
"""Least plausible fat. [%]"""


@dataclass(frozen=True)
class FatEquation:
    """One equation with whom it was fitted on; coefficients multiply what they are named after."""

    key: str
    equation: str
    coefficients: dict[str, float]
    see_points: float
    age_min: float
    age_max: float
    bmi_min: float
    bmi_max: float
    population: str
    source: str
    provenance: Provenance
    note: str

    def fat_percent(self, bmi: float, age_years: float, sex: Sex) -> float:
        """
        Evaluate the equation.

        Parameters
        ----------
        bmi : float
            Body mass index. [kg/m²]
        age_years : float
            Age. [years]
        sex : str
            ``"male"`` or ``"female"``.

        Returns
        -------
        float
            Fat of body mass. [%]
        """
        male = 1.0 if sex == "male" else 0.0
        terms = {
            "intercept": 1.0,
            "bmi": bmi,
            "bmi2": bmi**2,
            "inverse_bmi": 1 / bmi,
            "age": age_years,
            "male": male,
            "male_age": male * age_years,
            "male_inverse_bmi": male / bmi,
            "male_bmi": male * bmi,
            "male_bmi2": male * bmi**2,
            "bmi_age": bmi * age_years,
            "bmi2_age": bmi**2 * age_years,
        }
        return sum(self.coefficients[name] * term for name, term in terms.items())


_TERMS = (
    "intercept",
    "bmi",
    "bmi2",
    "inverse_bmi",
    "age",
    "male",
    "male_age",
    "male_inverse_bmi",
    "male_bmi",
    "male_bmi2",
    "bmi_age",
    "bmi2_age",
)


@cache
def fat_equations() -> dict[str, FatEquation]:
    """
    Load the equations.

    Returns
    -------
    dict of str to FatEquation
        By key, in file order.
    """
    return {
        row["key"]: FatEquation(
            key=row["key"],
            equation=row["equation"],
            coefficients={name: float(row[name]) for name in _TERMS},
            see_points=float(row["see_percent"]),
            age_min=float(row["age_min"]),
            age_max=float(row["age_max"]),
            bmi_min=float(row["bmi_min"]),
            bmi_max=float(row["bmi_max"]),
            population=row["population"],
            source=row["source"],
            provenance=provenance(row["provenance"]),
            note=row["note"],
        )
        for row in read_rows("fat_equations.csv")
    }


@dataclass(frozen=True)
class FatFromSize:
    """
    Fat from size, with its error and what the other equations say.

    Attributes
    ----------
    fat_percent, sd_points : float
        Estimate and standard deviation. [%]
    words : str
        Which equations, blended how, and the others' answers.
    source : str
        Publications used.
    provenance : str
        The weakest among those used.
    """

    fat_percent: float
    sd_points: float
    words: str
    source: str
    provenance: Provenance


def _share(value: float, start: float, full: float) -> float:
    return min(1.0, max(0.0, (value - start) / (full - start)))


def fat_from_size(
    weight_kg: float,
    height_cm: float,
    age_years: float,
    sex: Sex,
    *,
    sessions_per_week: float = 0.0,
) -> FatFromSize:
    """
    Estimate body fat from mass, height, age and sex.

    Lean adults get Gallagher 2000 (against four compartments), the young Deurenberg 1991, heavy
    ones CUN-BAE 2012 (most of its subjects were); in between the answers are blended, so that a
    birthday or a kilogram changes nothing suddenly. Few of the thin were measured: below a mass
    index of 20 all equations are averaged more and more, and how they differ widens the spread.

    Parameters
    ----------
    weight_kg, height_cm : float
        Size. [kg] [cm]
    age_years : float
        Age. [years]
    sex : str
        ``"male"`` or ``"female"``.
    sessions_per_week : float
        From four on muscle makes the answer unsure and the spread is widened. [1/week]

    Returns
    -------
    FatFromSize
    """
    require_positive("age_years", age_years, "years", mend="Check the birth date.")
    bmi = body_mass_index(weight_kg, height_cm)
    table = fat_equations()
    adult = _share(age_years, ADULT_FROM, ADULT_FULLY)
    heavy = _share(bmi, HEAVY_FROM, HEAVY_FULLY)
    weights = {
        "deurenberg1991": (1 - adult),
        "gallagher2000": adult * (1 - heavy),
        "cunbae2012": adult * heavy,
    }
    thin = 1 - _share(bmi, THIN_FULLY, THIN_FROM)
    weights = {key: (1 - thin) * weights.get(key, 0.0) + thin / len(table) for key in table}
    used = {key: share for key, share in weights.items() if share > 0}
    answers = {key: one.fat_percent(bmi, age_years, sex) for key, one in table.items()}
    value = sum(share * answers[key] for key, share in used.items())
    sd = sum(share * table[key].see_points for key, share in used.items())
    apart = sum(share * (answers[key] - value) ** 2 for key, share in used.items())
    sd = (sd * sd + thin * apart) ** 0.5
    if sessions_per_week >= TRAINED_SESSIONS:
        sd = max(sd, _C["size_trained_sd"])
    beside = "; ".join(
        f"{one.equation} {answers[key]:.0f} %" for key, one in table.items() if key not in used
    )
    named = " and ".join(f"{table[key].equation} ({share:.0%})" for key, share in used.items())
    words = f"from body mass index {bmi:.1f}, age and sex by {named}"
    words += f"; beside it: {beside}" if beside else ""
    provenances = {table[key].provenance for key in used}
    return FatFromSize(
        fat_percent=min(65.0, max(LEAST[sex], value)),
        sd_points=sd,
        words=words,
        source="; ".join(table[key].source for key in used),
        provenance=(
            "published"
            if provenances == {"published"}
            else "confirmed by independent transcription"
        ),
    )
