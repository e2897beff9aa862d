"""What the guards know of a client, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from mealplan.references.tables import Sex


@dataclass(frozen=True)
class Screen:
    """
    What is known of a client's health; None means not asked, which is not the same as no.

    Attributes
    ----------
    age_years : float
        Age. [years]
    sex : str
        ``"male"`` or ``"female"``.
    weight_kg, height_cm : float
        Size. [kg] [cm]
    fat_percent : float or None
        Fat of body mass as measured. [%]
    guardian : bool
        A guardian of a client under 18 agrees.
    pregnant, lactating : bool
        Now.
    trimester : int or None
        Of the pregnancy, 1 to 3; None when it was not said.
    months_postpartum : float or None
        Since birth; None when that does not apply. [month]
    eating_disorder : bool
        Now or ever.
    fears_foods : bool
        Leaves out food groups from fear.
    missed_periods_months : float
        Months without a period. [month]
    fainting, heart_symptoms, stress_fracture : bool
        Now or lately.
    signs : mapping of str to bool or None
        Answers to the questions on relative energy deficiency, by indicator.
    kidney_protein_most : float or None
        Most protein that a kidney condition leaves without a decision; None without one. [g/kg]
    trains : bool
        Has sessions in the usual week.
    sits : bool
        Uses a wheelchair, so that equations on height and mass do not hold.
    limb_unknown : bool
        Has lost a limb, and which part is not known.
    chronic_disease : bool
        Disease tied to body mass, such as diabetes or high blood pressure.
    unintended_loss_month_percent, unintended_loss_half_year_percent : float
        Unwanted loss. [%]
    """

    age_years: float
    sex: Sex
    weight_kg: float
    height_cm: float
    fat_percent: float | None = None
    guardian: bool = False
    pregnant: bool = False
    lactating: bool = False
    trimester: int | None = None
    months_postpartum: float | None = None
    eating_disorder: bool = False
    fears_foods: bool = False
    missed_periods_months: float = 0.0
    fainting: bool = False
    heart_symptoms: bool = False
    stress_fracture: bool = False
    signs: Mapping[str, bool | None] = field(default_factory=dict)
    kidney_protein_most: float | None = None
    trains: bool = False
    sits: bool = False
    limb_unknown: bool = False
    chronic_disease: bool = False
    unintended_loss_month_percent: float = 0.0
    unintended_loss_half_year_percent: float = 0.0
