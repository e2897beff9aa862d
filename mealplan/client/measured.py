"""What was measured on a client: scans, girths, gas, sweat and blood."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from mealplan.client.fields import Date, IntakePart, Number, Words

ScanMethod = Literal[
    "dxa", "four compartment", "air displacement", "skinfold", "circumference", "bioimpedance"
]


class BodyScan(IntakePart):
    """A body-composition result: masses, or a fat fraction with the method that gave it."""

    date: Date
    method: ScanMethod
    fat_kg: Number | None = Field(default=None, gt=0, le=150)
    lean_soft_kg: Number | None = Field(default=None, gt=10, le=150)
    """Lean soft tissue without bone mineral, as a DXA report prints it. [kg]"""
    bone_kg: Number | None = Field(default=None, gt=0.5, le=6)
    fat_percent: Number | None = Field(default=None, ge=3, le=65)
    fat_percent_of: Literal["whole body", "tissue"] = "whole body"
    """Tissue %fat leaves bone mineral out of the total; the report says which it is."""
    rms_sd_fat_kg: Number | None = Field(default=None, gt=0, le=5)
    """Precision from the laboratory's own repeats. [kg]"""

    @model_validator(mode="after")
    def _enough(self) -> Self:
        if self.fat_kg is None and self.fat_percent is None:
            raise ValueError("a scan needs fat_kg or fat_percent; copy one from the report")
        return self


class Girths(IntakePart):
    """Tape measures, all in centimetres."""

    date: Date | None = None
    waist_cm: Number | None = Field(default=None, ge=40, le=200)
    abdomen_cm: Number | None = Field(default=None, ge=40, le=220)
    neck_cm: Number | None = Field(default=None, ge=20, le=70)
    hip_cm: Number | None = Field(default=None, ge=50, le=220)


class RestingTest(IntakePart):
    """A laboratory resting-metabolism test: its kilocalories, or the gas volumes behind them."""

    date: Date
    kcal: Number | None = Field(default=None, gt=0)
    vo2_ml_min: Number | None = Field(default=None, gt=0)
    vco2_ml_min: Number | None = Field(default=None, gt=0)
    urinary_nitrogen_g_day: Number | None = Field(default=None, ge=0, le=60)
    fasted_hours: Number | None = Field(default=None, ge=0, le=48)
    rested_minutes: Number | None = Field(default=None, ge=0, le=240)
    """Quiet lying before the test. [min]"""
    hours_since_exercise: Number | None = Field(default=None, ge=0, le=240)
    exercise_was_hard: bool = False
    """The last training before the test was hard or eccentric; it then needs longer rest."""
    hours_since_caffeine: Number | None = Field(default=None, ge=0, le=240)
    hours_since_nicotine: Number | None = Field(default=None, ge=0, le=240)
    cv_percent: Number | None = Field(default=None, ge=0, le=100)
    device: Words = Field(default="", max_length=80)
    weight_kg: Number | None = Field(default=None, ge=35, le=250)
    """Body mass on the day of the test; a change of more than 5 % since discounts it. [kg]"""

    @model_validator(mode="after")
    def _plausible(self) -> Self:
        if self.kcal is None and (self.vo2_ml_min is None or self.vco2_ml_min is None):
            raise ValueError("a resting test needs kcal, or both vo2_ml_min and vco2_ml_min")
        if self.kcal is not None and not 800 <= self.kcal <= 4000:
            hint = (
                f" If the report gives kilojoules, {self.kcal:g} kJ is {self.kcal / 4.184:.0f}"
                " kcal."
                if 3300 <= self.kcal <= 17000
                else ""
            )
            raise ValueError(
                f"kcal={self.kcal:g} is outside 800 to 4000 for an adult at rest.{hint}"
            )
        if self.vo2_ml_min is not None and not 130 <= self.vo2_ml_min <= 450:
            hint = " Litres a minute must be multiplied by 1000." if self.vo2_ml_min < 1 else ""
            raise ValueError(
                f"vo2_ml_min={self.vo2_ml_min:g} is outside 130 to 450 mL/min for an adult at"
                f" rest.{hint}"
            )
        if self.vo2_ml_min is not None and self.vco2_ml_min is not None:
            ratio = self.vco2_ml_min / self.vo2_ml_min
            if not 0.67 <= ratio <= 1.0:
                raise ValueError(
                    f"the respiratory exchange ratio {ratio:.2f} is outside 0.67 to 1.00 for fasted"
                    " rest; check the two volumes or repeat the test"
                )
        return self


class Sweat(IntakePart):
    """What training takes in sweat: measured, or in a word."""

    rate_l_per_h: Number | None = Field(default=None, ge=0, le=4)
    """Measured by weighing before and after; the trial below works it out. [L/h]"""
    before_kg: Number | None = Field(default=None, ge=30, le=250)
    after_kg: Number | None = Field(default=None, ge=30, le=250)
    """Body mass before and after one session, towelled dry, in the same clothes. [kg]"""
    drunk_l: Number = Field(default=0.0, ge=0, le=15)
    urine_l: Number = Field(default=0.0, ge=0, le=5)
    hours: Number | None = Field(default=None, gt=0, le=24)
    amount: Literal["light", "usual", "heavy"] = "usual"
    """Said when nothing was weighed."""
    sodium_mg_per_l: Number | None = Field(default=None, ge=100, le=3000)
    """Measured in sweat; about 1,000 when left out. [mg/L]"""

    @model_validator(mode="after")
    def _whole_trial(self) -> Self:
        trial = (self.before_kg, self.after_kg, self.hours)
        if any(part is not None for part in trial) and None in trial:
            raise ValueError("a sweat trial needs before_kg, after_kg and hours; write all three")
        if self.rate_l_per_h is not None and self.hours is not None:
            raise ValueError("rate_l_per_h and a sweat trial say the same thing; keep one")
        return self


class BloodTest(IntakePart):
    """One value of a blood test with the laboratory's own range."""

    date: Date
    analyte: Words = Field(min_length=2, max_length=40)
    """Such as ferritin, vitamin_b12, vitamin_d, haemoglobin, tsh."""
    value: Number = Field(ge=0)
    unit: Words = Field(min_length=1, max_length=20)
    """As the laboratory prints it, such as ug/L."""
    low: Number | None = Field(default=None, ge=0)
    high: Number | None = Field(default=None, ge=0)
    """Ends of the laboratory's range, in the same unit."""

    @model_validator(mode="after")
    def _has_a_range(self) -> Self:
        if self.low is None and self.high is None:
            raise ValueError(
                f"{self.analyte}: a value says nothing without the laboratory's range; copy low, "
                "high or both from the report"
            )
        return self
