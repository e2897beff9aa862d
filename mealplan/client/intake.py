"""
The intake: who the client is, what was measured, what they want and what they will eat.

Everything a plan depends on is in here, so the same intake always gives the same plan. Nothing is
computed in this module; it only refuses what cannot be true and says how to mend it.
"""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
    field_validator,
    model_validator,
)

from foods.custom.food import OwnFood, catalogue_with
from foods.dishes.load import check_lines
from foods.dishes.minutes import Hob
from foods.dishes.model import Dish, Equipment
from foods.registry.errors import FoodError
from foods.registry.typed import LONGEST_WORD
from mealplan.client.faults import plain_faults, shown
from mealplan.client.household import Living, ShopOptions
from mealplan.client.zone import check_zone
from mealplan.errors import IntakeError
from mealplan.units import CM_PER_INCH, KG_PER_LB

MOST_TASTES = 100
"""Words on one step of liking, far more than anyone keeps in mind."""
MOST_DIGITS = 15
"""More digits than any measurement has, and than a floating-point number keeps."""
MAX_INTAKE_BYTES = 1_000_000
"""An intake is a page of text; anything larger is the wrong file."""

ACTIVE_PAL = 1.7
"""Least of an active or moderately active life (FAO 2004). [ratio]"""
SESSIONS_OF_ACTIVE = 3.0
"""Sessions a week taken for an active life whose training was not told. [1/week]"""

FIRST_YEAR, LAST_YEAR = 2000, 2100
"""Dates outside these years are slips of the pen."""

Sex = Literal["male", "female"]
Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Phase = Literal["gain", "hold", "cut", "endurance"]
TrainingStatus = Literal["novice", "intermediate", "advanced"]
ScanMethod = Literal[
    "dxa", "four compartment", "air displacement", "skinfold", "circumference", "bioimpedance"
]
HealthFlag = Literal[
    "pregnant",
    "breastfeeding",
    "postpartum 6 months",
    "eating disorder history",
    "fear of food groups",
    "kidney disease",
    "kidney stones",
    "one kidney",
    "diabetes medicines",
    "insulin or sulfonylurea",
    "sglt2 inhibitor",
    "glp-1 medicine",
    "metformin",
    "potassium-raising medicines",
    "lithium",
    "mao inhibitor",
    "anticoagulant",
    "thyroid disease",
    "heart symptoms",
    "fainting",
    "missed periods 3 months",
    "stress fracture",
    "unintended weight loss",
    "bariatric surgery",
    "bowel disease",
    "coeliac disease",
    "phenylketonuria",
    "haemochromatosis",
    "g6pd deficiency",
    "high blood pressure",
    "wheelchair user",
    "limb loss",
    "irritable bowel",
    "frequent illness",
    "low libido",
    "low mood",
    "gut complaints",
    "tired and slower",
    "other medicines",
    "anaphylaxis",
]


def _digits(value: object) -> object:
    """Refuse text and true/false where a number belongs; both could be read as numbers."""
    if isinstance(value, bool | str):
        raise ValueError(
            f"should be a number, not {shown(value)}; write digits without quotes or a unit"
        )
    return value


def _one_line(text: str) -> str:
    """Put words on one line, refusing signs that no page can print."""
    text = " ".join(text.split())
    odd = next((letter for letter in text if not letter.isprintable()), None)
    if odd is not None:
        raise ValueError(f"holds the control sign {odd!r}; keep to plain words")
    return text


def _written_date(value: object) -> object:
    """Refuse numbers for dates: they would be read as seconds since 1970."""
    if isinstance(value, str | dt.date):
        return value
    raise ValueError(f'should be a date such as "2026-11-30", not {shown(value)}')


def _recent(date: dt.date) -> dt.date:
    """Refuse dates that can only be slips of the pen."""
    if not FIRST_YEAR <= date.year <= LAST_YEAR:
        raise ValueError(f"is {date}; the year should lie between {FIRST_YEAR} and {LAST_YEAR}")
    return date


def minute_of_day(text: str) -> int:
    """
    Read a clock time.

    Parameters
    ----------
    text : str
        HH:MM.

    Returns
    -------
    int
        Minutes after midnight.

    Raises
    ------
    ValueError
        When it does not read so.
    """
    hours, colon, minutes = text.partition(":")
    if not (
        colon and hours.isdigit() and minutes.isdigit() and int(hours) < 24 and int(minutes) < 60
    ):
        raise ValueError(f"should read HH:MM, such as 07:30, not {text!r:.20}")
    return int(hours) * 60 + int(minutes)


def clock_text(minute: int) -> str:
    """
    Write a clock time.

    Parameters
    ----------
    minute : int
        Minutes after midnight.

    Returns
    -------
    str
        HH:MM.
    """
    return f"{minute // 60:02d}:{minute % 60:02d}"


YesNo = Literal["yes", "no"]
Number = Annotated[float, BeforeValidator(_digits)]
Count = Annotated[int, BeforeValidator(_digits)]
Words = Annotated[str, AfterValidator(_one_line)]
Date = Annotated[dt.date, BeforeValidator(_written_date), AfterValidator(_recent)]


class _Part(BaseModel):
    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        str_strip_whitespace=True,
        use_attribute_docstrings=True,
    )


class BodyScan(_Part):
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


class Girths(_Part):
    """Tape measures, all in centimetres."""

    date: Date | None = None
    waist_cm: Number | None = Field(default=None, ge=40, le=200)
    abdomen_cm: Number | None = Field(default=None, ge=40, le=220)
    neck_cm: Number | None = Field(default=None, ge=20, le=70)
    hip_cm: Number | None = Field(default=None, ge=50, le=220)


class RestingTest(_Part):
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


class Sweat(_Part):
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


class Session(_Part):
    """One training session of the usual week."""

    day: Weekday
    activity: Words = Field(min_length=2, max_length=120)
    """A compendium code such as 02054, or words from its description."""
    time: Words | None = None
    """Clock time it begins, HH:MM; meals near it are then chosen to fit."""
    minutes: Number = Field(ge=5, le=600)
    met: Number | None = Field(default=None, ge=1, le=23)
    """Gross metabolic equivalents when known better than the table. [MET]"""
    load: Literal["light", "moderate", "hard", "very hard"] | None = None
    kind: Literal["strength", "endurance", "mixed", "none"] | None = None
    """What it trains, where the table of exercise costs does not know or does not fit."""
    assumed: tuple[Literal["day", "minutes"], ...] = ()
    """What was not said and is taken as usual; the worksheet says so."""

    @field_validator("time")
    @classmethod
    def _clock(cls, time: str | None) -> str | None:
        return None if time is None else clock_text(minute_of_day(time))


class BloodTest(_Part):
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


class MultiplierActivity(_Part):
    """Total energy as resting energy times one factor that already holds the training."""

    method: Literal["multiplier"]
    system: Literal["fao2004", "nasem2023", "iom2005", "legacy"] = "fao2004"
    pal: Number = Field(ge=1.0, le=5.0)


class ComponentActivity(_Part):
    """Total energy as resting and everyday energy plus each session's net cost."""

    method: Literal["component"]
    everyday_factor: Number = Field(ge=1.0, le=2.0)
    """Everyday movement without training or digestion: 1.15 desk, 1.25-1.35 mixed, 1.45 on feet."""
    sessions: tuple[Session, ...] = Field(default=(), max_length=42)
    vary_by_day: bool = False
    """True eats more on harder days; the seven days still sum to seven times the mean."""


class Goal(_Part):
    """What should happen to body mass, said in one way, or nothing for the phase's default."""

    phase: Phase
    surplus_kcal: Number | None = Field(default=None, ge=-2000, le=2000)
    surplus_percent: Number | None = Field(default=None, ge=-50, le=50)
    rate_percent_per_week: Number | None = Field(default=None, ge=-3, le=3)
    change_kg: Number | None = Field(default=None, ge=-60, le=60)
    weeks: Number | None = Field(default=None, gt=0, le=104)
    energy_kcal: Number | None = Field(default=None, gt=0, le=10000)
    """
    Daily energy fixed by the coach. [kcal/day]

    With ``rate_percent_per_week`` beside it that is the pace wanted of it, as after a check-in that
    found expenditure to be other than predicted; else the pace is worked back from the energy.
    """

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        ways = {
            "surplus_kcal": self.surplus_kcal,
            "surplus_percent": self.surplus_percent,
            "rate_percent_per_week": self.rate_percent_per_week,
            "change_kg": self.change_kg,
            "energy_kcal": self.energy_kcal,
        }
        said = [name for name, value in ways.items() if value is not None]
        if len(said) > 1 and said != ["rate_percent_per_week", "energy_kcal"]:
            raise ValueError(f"{' and '.join(said)} say the same thing twice; keep one")
        if (self.change_kg is None) != (self.weeks is None):
            raise ValueError("change_kg and weeks belong together, such as 3 kg in 10 weeks")
        wanted = next(
            (value for name, value in ways.items() if value is not None and name != "energy_kcal"),
            None,
        )
        if wanted is not None and self.phase == "gain" and wanted < 0:
            raise ValueError(
                f"the phase is gain but {said[0]}={wanted:g} is a loss; change one of them"
            )
        if wanted is not None and self.phase == "cut" and wanted > 0:
            raise ValueError(
                f"the phase is cut but {said[0]}={wanted:g} is a gain; put a minus before it"
            )
        return self


TasteWords = Annotated[
    tuple[Annotated[Words, Field(max_length=LONGEST_WORD)], ...], Field(max_length=MOST_TASTES)
]


class Tastes(_Part):
    """What must not, should not and should be on the plate, in the client's own words."""

    allergies: TasteWords = ()
    """Allergens that must be absent: soy, gluten, tree_nut, peanut, sesame ..."""
    never: TasteWords = ()
    """
    Never to serve. Here and below: foods, food groups, dishes by key or name, kinds of dish,
    cooking traditions, textures (soupy, crisp) or heat (mild, hot).
    """
    dislikes: TasteWords = ()
    """Served only when little else is possible."""
    seldom: TasteWords = ()
    """Fine now and then."""
    likes: TasteWords = ()
    favourites: TasteWords = ()
    """Liked most of all."""
    oats_ok_when_gluten_free: bool = False
    heat_max: Count = Field(default=3, ge=0, le=3)


class Kitchen(_Part):
    """Time, tools and meal times."""

    meals: Count = Field(default=4, ge=3, le=6)
    hands_on_min: dict[Weekday, Count] = {}
    """Most minutes of hands-on cooking on that day; days left out have no limit. [min]"""
    equipment: tuple[Equipment, ...] | None = None
    """Tools there are; none given means the usual kitchen."""
    rings: Count = Field(default=3, ge=1, le=8)
    """Pots and pans that stand on the hob at once."""
    meal_times: tuple[Words, ...] = Field(default=(), max_length=12)
    """Clock times HH:MM, one a meal; usual times when left out."""
    leftovers: bool = True
    units: Literal["metric", "us"] = "metric"
    people: Count = Field(default=1, ge=1, le=12)
    cupboard: tuple[CupboardItem, ...] = Field(default=(), max_length=300)
    living: Living = Living()
    """How varied, what is cooked when, and how much there may be to buy."""
    shop: ShopOptions = ShopOptions()
    """Forms, packs, walking order, shopping days and who eats what share."""

    @property
    def hob(self) -> Hob:
        """What this household boils its water on; a kettle counts once it is named."""
        return Hob(self.rings, "kettle" in (self.equipment or ()))

    @property
    def pressure_cooker(self) -> bool:
        """True once a pressure cooker is named among the tools."""
        return "pressure cooker" in (self.equipment or ())

    @field_validator("meal_times")
    @classmethod
    def _clock(cls, times: tuple[str, ...]) -> tuple[str, ...]:
        clock = [minute_of_day(text) for text in times]
        if clock != sorted(set(clock)):
            raise ValueError(
                f"should rise through the day, not {', '.join(times)}; put the first meal first"
            )
        return tuple(clock_text(minute) for minute in clock)

    @field_validator("hands_on_min")
    @classmethod
    def _minutes(cls, minutes: dict[Weekday, int]) -> dict[Weekday, int]:
        for day, value in minutes.items():
            if not 5 <= value <= 600:
                raise ValueError(f"should be 5 to 600 minutes, not {value} on {day}")
        return minutes


class CupboardItem(_Part):
    """A food already at home, as bought."""

    food: Words = Field(max_length=80)
    grams: Number = Field(gt=0, le=50_000)


class ProteinWish(_Part):
    """A coach's own protein range instead of the default."""

    low_g_per_kg: Number = Field(ge=0.6, le=3.5)
    high_g_per_kg: Number = Field(ge=0.6, le=3.8)
    per: Literal["body mass", "fat-free mass"] = "body mass"

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.low_g_per_kg > self.high_g_per_kg:
            raise ValueError("protein low_g_per_kg is above high_g_per_kg; swap them")
        return self


class Bound(_Part):
    """A coach's own floor or ceiling on one nutrient, in the nutrient's own unit a day."""

    low: Number | None = Field(default=None, ge=0)
    high: Number | None = Field(default=None, ge=0)
    reason: Words = Field(default="", max_length=200)

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.low is None and self.high is None:
            raise ValueError("a bound needs low or high")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"low {self.low:g} is above high {self.high:g}; swap them")
        return self


class Override(_Part):
    """A named professional's decision to go past a guard rail, until a date."""

    finding: Words = Field(max_length=80)
    """Code of the finding, as the refusal prints it."""
    by: Words = Field(min_length=3, max_length=80)
    """Role of the professional, such as sports dietitian."""
    reason: Words = Field(min_length=10, max_length=400)
    until: Date


class PrescribedIron(_Part):
    """Iron that a clinician prescribed after a blood test; this program never starts it."""

    mg_per_day: Number = Field(gt=0, le=200)
    """Elemental iron, averaged over days when taken every other day. [mg/day]"""
    by: Words = Field(min_length=3, max_length=80)
    """Role of the clinician."""


class Nutrition(_Part):
    """Choices about targets that a coach may set."""

    protein: ProteinWish | None = None
    amino_acid_pattern: Literal["WHO2007", "IOM2005", "FAO2013"] = "WHO2007"
    bounds: dict[str, Bound] = {}
    floor_certainty_percent: Literal[50, 75, 80, 90, 95] = 50
    """Plan so that each floor is really met with this chance, composition being uncertain. [%]"""
    daily_floors: bool = False
    """True holds floors of vitamins and minerals on every day instead of over the week."""
    supplements: dict[str, bool] = {}
    """Switches by key; vitamin B12, vitamin D and iodine are on unless the coach says no."""
    prescribed_iron: PrescribedIron | None = None
    performance: tuple[Words, ...] = ()
    """Lines for training and races to switch on, such as caffeine; all are off by default."""


HIDING_FLAGS = frozenset({"eating disorder history", "fear of food groups"})
"""Health flags of clients who are not shown weights or calories in any case."""

SITTING_FLAGS = frozenset({"wheelchair user", "limb loss"})
"""Health flags of bodies that equations on height, mass or tape do not fit."""

FEMALE_FLAGS = frozenset(
    {"pregnant", "breastfeeding", "postpartum 6 months", "missed periods 3 months"}
)


def _either_unit(schema: dict[str, Any]) -> None:
    """Tell the published schema that mass and height may be given in pounds and inches."""
    schema["properties"]["weight_lb"] = {
        "type": "number",
        "title": "Weight Lb",
        "description": "Body mass in pounds, in place of weight_kg.",
    }
    schema["properties"]["height_in"] = {
        "type": "number",
        "title": "Height In",
        "description": "Height in inches, in place of height_cm.",
    }
    schema["required"] = [
        name for name in schema["required"] if name not in ("weight_kg", "height_cm")
    ]
    schema["allOf"] = [
        {"oneOf": [{"required": ["weight_kg"]}, {"required": ["weight_lb"]}]},
        {"oneOf": [{"required": ["height_cm"]}, {"required": ["height_in"]}]},
    ]


class SeasonPart(_Part):
    """One phase of a season: what for, how long, how fast, and what ends it early."""

    phase: Phase
    weeks: Count = Field(ge=1, le=52)
    rate_percent_per_week: Number | None = Field(default=None, ge=-1.5, le=1.5)
    """Positive for gain; the phase's usual rate when left out. [%/week]"""
    stop_fat_mass_index: Number | None = Field(default=None, gt=0, le=30)
    stop_fat_percent: Number | None = Field(default=None, gt=0, le=60)
    stop_waist_cm: Number | None = Field(default=None, gt=40, le=200)

    @model_validator(mode="after")
    def _direction(self) -> Self:
        rate = self.rate_percent_per_week
        wrong = rate is not None and (
            (self.phase == "gain" and rate <= 0)
            or (self.phase == "cut" and rate >= 0)
            or (self.phase in ("hold", "endurance") and rate != 0)
        )
        if wrong:
            raise ValueError(
                f"a {self.phase} phase cannot run at {rate:+g} % a week: gain is above 0, cut "
                "below, hold and endurance 0"
            )
        return self


class DeficiencyAnswers(_Part):
    """Answers to the questions on relative energy deficiency; left out means not asked."""

    no_period_a_year: YesNo | None = None
    """No period for a year or more."""
    never_a_period: YesNo | None = None
    """No first period by the age of 15."""
    periods_rare: YesNo | None = None
    """Periods more than 35 days apart, or fewer than nine a year."""
    bone_stress_grave: YesNo | None = None
    """In two years a bone stress injury of femoral neck, sacrum or pelvis, or two elsewhere."""
    bone_stress_once: YesNo | None = None
    """In two years one bone stress injury elsewhere."""
    bone_density_low: YesNo | None = None
    """Z-score below -1, or falling."""
    growth_fell_back: YesNo | None = None
    """Under 18: height or mass behind its own course."""
    hormones_low: YesNo | None = None
    """Testosterone (men) or T3 low or in the lowest quarter of its range."""
    mood_diagnosed: YesNo | None = None
    """Depression or anxiety diagnosed by a clinician."""


class Race(_Part):
    """A race or match that the days before are eaten for."""

    date: Date
    time: Words | None = None
    """Clock time it begins, HH:MM."""
    minutes: Number = Field(ge=10, le=2880)
    name: Words = Field(default="race", min_length=2, max_length=60)

    @field_validator("time")
    @classmethod
    def _clock(cls, time: str | None) -> str | None:
        return None if time is None else clock_text(minute_of_day(time))


class HeldDay(_Part):
    """A day on which the plan is held at maintenance instead of pushing on."""

    date: Date
    why: Literal["sick", "travelling"]


class Intake(_Part):
    """
    One client at one moment.

    Masses and lengths may be given in kilograms and centimetres or in pounds and inches; the metric
    value is what the program keeps.
    """

    model_config = ConfigDict(json_schema_extra=_either_unit)

    schema_version: Literal[1] = 1
    role: Words = Field(min_length=3, max_length=60)
    """What the client does, such as club rower; never a person's name."""
    sex: Sex
    age_years: Count = Field(ge=0, le=130)
    height_cm: Number
    weight_kg: Number
    start: Date
    """First day of the plan."""
    training_status: TrainingStatus = "intermediate"
    sessions_per_week: Count | None = Field(default=None, ge=0, le=21)
    """Training sessions of the usual week; left out, they are those listed or not known."""
    goal: Goal
    activity: Annotated[MultiplierActivity | ComponentActivity, Field(discriminator="method")]
    scan: BodyScan | None = None
    girths: Girths | None = None
    sweat: Sweat = Sweat()
    bloods: tuple[BloodTest, ...] = Field(default=(), max_length=200)
    """Blood tests, any number of dates; the latest of each counts."""
    resting_test: RestingTest | None = None
    health: tuple[HealthFlag, ...] = Field(default=(), max_length=60)
    deficiency: DeficiencyAnswers = DeficiencyAnswers()
    """Signs of too little energy, asked of everyone who trains or loses weight."""
    pregnancy_trimester: Count | None = Field(default=None, ge=1, le=3)
    """Needed with ``pregnant``: the energy to add depends on it."""
    weight_before_pregnancy_kg: Number | None = Field(default=None, ge=35, le=250)
    """Body mass before the pregnancy, which energy, protein and the gain to expect go by. [kg]"""
    guardian_agrees: bool = False
    """A guardian of a client under 18 agrees; needed beside a professional's decision."""
    professional_overrides: tuple[Override, ...] = Field(default=(), max_length=40)
    tastes: Tastes = Tastes()
    kitchen: Kitchen = Kitchen()
    nutrition: Nutrition = Nutrition()
    season: tuple[SeasonPart, ...] = Field(default=(), max_length=12)
    """Phases one after the other from ``start``; the goal is that of the running one."""
    held_days: tuple[HeldDay, ...] = Field(default=(), max_length=200)
    """Sick and travelling days: eaten at maintenance."""
    events: tuple[Race, ...] = Field(default=(), max_length=20)
    """Races: carbohydrate is loaded before the long ones, and the morning is fuelled."""
    time_zone: Words = Field(default="", max_length=64)
    """Where the client lives, such as ``Europe/Berlin``; the service's own where left out."""
    hide_numbers: bool = False
    """True keeps weights and calories off what the client sees: pages, printouts, exports."""
    own_foods: tuple[OwnFood, ...] = Field(default=(), max_length=120)
    """Foods from package labels that dishes and tastes may name."""
    own_dishes: tuple[Dish, ...] = Field(default=(), max_length=240)
    """Dishes on offer beside those that ship; one with the same key takes its place."""
    seed: Count = Field(default=1, ge=0, le=2**31 - 1)

    @property
    def usual_sessions(self) -> float:
        """
        Sessions of the usual week: those listed, else the number given [1/week].

        Where neither is known the activity factor speaks: from the least of an active life on three
        are taken, below it none.
        """
        activity = self.activity
        if isinstance(activity, ComponentActivity):
            said = len(activity.sessions) or self.sessions_per_week or 0
            return float(said)
        if self.sessions_per_week is not None:
            return float(self.sessions_per_week)
        return SESSIONS_OF_ACTIVE if activity.pal >= ACTIVE_PAL else 0.0

    @property
    def numbers_hidden(self) -> bool:
        """Whether weights and calories are kept from the client, by the switch or by health."""
        return self.hide_numbers or bool(HIDING_FLAGS & set(self.health))

    @model_validator(mode="before")
    @classmethod
    def _metric(cls, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        data = dict(data)
        for us, metric, factor in (
            ("weight_lb", "weight_kg", KG_PER_LB),
            ("height_in", "height_cm", CM_PER_INCH),
        ):
            if us not in data:
                continue
            if metric in data:
                raise ValueError(f"{us} and {metric} are both given; keep one")
            value = data.pop(us)
            if isinstance(value, bool) or not isinstance(value, int | float):
                raise ValueError(
                    f"{us}={shown(value)} is not a number; write it without a unit, such as 165"
                )
            data[metric] = value * factor
        return data

    @field_validator("weight_kg")
    @classmethod
    def _weight(cls, value: float) -> float:
        if not 35 <= value <= 250:
            hint = " Check the number and its unit."
            if 5 <= value <= 30:
                hint = f" Was it stones? {value:g} st is {value * 14 * KG_PER_LB:.0f} kg."
            elif 250 < value <= 550:
                hint = (
                    f" Was it pounds? {value:g} lb is {value * KG_PER_LB:.0f} kg: write weight_lb."
                )
            raise ValueError(
                f"weight_kg={value:g} is outside 35 to 250: the equations were fitted on"
                f" adults.{hint}"
            )
        return value

    @field_validator("height_cm")
    @classmethod
    def _height(cls, value: float) -> float:
        if not 130 <= value <= 230:
            hint = " Check the number and its unit."
            if 1.3 <= value <= 2.3:
                hint = f" Was it metres? {value:g} m is {value * 100:.0f} cm."
            elif 50 <= value <= 90:
                hint = (
                    f" Was it inches? {value:g} in is {value * CM_PER_INCH:.0f} cm: write"
                    " height_in."
                )
            elif 4 <= value <= 7.5:
                hint = " Was it feet? Multiply feet by 12, add the inches, and write height_in."
            raise ValueError(
                f"height_cm={value:g} is outside 130 to 230: the equations were fitted on"
                f" adults.{hint}"
            )
        return value

    @field_validator("time_zone")
    @classmethod
    def _known_zone(cls, name: str) -> str:
        check_zone(name)
        return name

    @field_validator("own_dishes")
    @classmethod
    def _dishes_differ(cls, dishes: tuple[Dish, ...]) -> tuple[Dish, ...]:
        keys = [dish.key for dish in dishes]
        doubled = sorted({key for key in keys if keys.count(key) > 1})
        if doubled:
            raise ValueError(f"two dishes have the key {doubled[0]!r}; give one another")
        return dishes

    @model_validator(mode="after")
    def _own_fits(self) -> Self:
        if self.own_foods or self.own_dishes:
            try:
                check_lines(self.own_dishes, catalogue_with(self.own_foods), "own_dishes")
            except FoodError as error:
                raise ValueError(str(error)) from None
        return self

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        scan = self.scan
        if scan is not None and scan.fat_kg is not None and scan.fat_kg > 0.7 * self.weight_kg:
            raise ValueError(
                f"scan fat_kg={scan.fat_kg:g} is more than 70 % of weight_kg={self.weight_kg:g}; "
                "check which mass was copied"
            )
        for name, measured in (("scan", scan), ("resting_test", self.resting_test)):
            if measured is not None and measured.date > self.start:
                raise ValueError(
                    f"{name} date {measured.date} is after start {self.start}; check the year"
                )
        if self.sex == "male" and FEMALE_FLAGS & set(self.health):
            flags = " and ".join(flag for flag in self.health if flag in FEMALE_FLAGS)
            raise ValueError(f"health holds {flags} but sex is male; correct one of them")
        times = self.kitchen.meal_times
        if times and len(times) != self.kitchen.meals:
            raise ValueError(
                f"kitchen.meal_times holds {len(times)} for {self.kitchen.meals} meals; give one"
                " each"
            )
        return self


Kitchen.model_rebuild()
Intake.model_rebuild()


_JSON_NAMES = {
    list: "a list",
    str: "a piece of text",
    int: "a number",
    float: "a number",
    bool: "true or false",
    type(None): "null",
}


def parse_intake(data: object) -> Intake:
    """
    Turn decoded JSON into an intake.

    Parameters
    ----------
    data : object
        A mapping as ``json.loads`` returns it.

    Returns
    -------
    Intake

    Raises
    ------
    IntakeError
        One line: which field, which value, why not, how to mend it.
    """
    if not isinstance(data, dict):
        raise IntakeError(
            f"an intake is one JSON object in braces, not {_JSON_NAMES.get(type(data), 'this')}; "
            "`mealplan example` prints one to start from"
        )
    try:
        return Intake.model_validate(data)
    except ValidationError as error:
        raise IntakeError(plain_faults(Intake, error)) from None


def read_intake(text: str | bytes) -> Intake:
    """
    Read an intake from JSON text.

    Parameters
    ----------
    text : str or bytes
        UTF-8 JSON, at most 1 MB.

    Returns
    -------
    Intake

    Raises
    ------
    IntakeError
        When it is empty, too large, not UTF-8, not JSON, or not a usable intake.
    """
    if len(text) > MAX_INTAKE_BYTES:
        raise IntakeError(
            f"the file holds more than {MAX_INTAKE_BYTES:,} bytes, the most an intake may; is it"
            " the right file?"
        )
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise IntakeError(
                f"byte {error.start} is not UTF-8 text; save the file again with UTF-8 encoding"
            ) from None
    if not text.strip():
        raise IntakeError("the file is empty; `mealplan example` prints an intake to start from")
    try:
        data = json.loads(
            text,
            parse_constant=_no_constants,
            parse_int=_whole_number,
            object_pairs_hook=_no_repeats,
        )
    except json.JSONDecodeError as error:
        raise IntakeError(
            f"line {error.lineno}, column {error.colno} is not JSON ({error.msg}); look for a"
            " missing comma or quote just before it"
        ) from None
    except RecursionError:
        raise IntakeError(
            "the file nests too deeply to be an intake; is it the right file?"
        ) from None
    return parse_intake(data)


def _whole_number(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise IntakeError(
            f"{digits[:12]}... has {len(digits)} digits; no quantity of an intake has more than"
            f" {MOST_DIGITS}"
        )
    return int(digits)


def _no_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """Refuse a field written twice: which of two weights was meant cannot be known."""
    fields: dict[str, object] = {}
    for name, value in pairs:
        if name in fields:
            raise IntakeError(
                f"{name if name.isidentifier() else shown(name)} is written twice,"
                f" {shown(fields[name])} and {shown(value)}; keep the right one"
            )
        fields[name] = value
    return fields


def _no_constants(name: str) -> float:
    raise IntakeError(
        f"{name} is not a number an intake can hold; give digits or leave the field out"
    )


def load_intake(path: Path) -> Intake:
    """
    Read an intake from a file.

    Parameters
    ----------
    path : Path
        JSON file.

    Returns
    -------
    Intake

    Raises
    ------
    IntakeError
        When the file cannot be read or :func:`read_intake` refuses it.
    """
    try:
        with path.open("rb") as file:
            content = file.read(MAX_INTAKE_BYTES + 1)
    except FileNotFoundError:
        raise IntakeError(f"there is no file {path}; check the name and the folder") from None
    except IsADirectoryError:
        raise IntakeError(f"{path} is a folder; give the JSON file inside it") from None
    except PermissionError:
        raise IntakeError(f"{path} may not be read by this user; change its permissions") from None
    except (OSError, ValueError) as error:
        reason = type(error).__name__
        raise IntakeError(
            f"{shown(str(path))} cannot be read as a file ({reason}); check the name"
        ) from None
    return read_intake(content)
