"""
The intake: who the client is, what was measured, what they want and what they will eat.

Everything a plan depends on is in here, so the same intake always gives the same plan. Nothing is
computed in this module; it only refuses what cannot be true and says how to mend it.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal, Self

from pydantic import (
    BeforeValidator,
    ConfigDict,
    Field,
    field_validator,
    model_validator,
)

from foods.custom.as_catalogue import catalogue_with
from foods.custom.food import OwnFood
from foods.dishes.load import check_lines
from foods.dishes.model import Dish
from foods.registry.errors import FoodError
from mealplan.client.activity import ComponentActivity, MultiplierActivity, Session
from mealplan.client.faults import shown
from mealplan.client.fields import (
    FIRST_YEAR,
    LAST_YEAR,
    MOST_TASTES,
    WEEKDAYS,
    Count,
    Date,
    IntakePart,
    Number,
    Phase,
    Sex,
    TrainingStatus,
    Weekday,
    Words,
    YesNo,
    clock_text,
    minute_of_day,
)
from mealplan.client.flags import (
    FEMALE_FLAGS,
    HIDING_FLAGS,
    SITTING_FLAGS,
    DeficiencyAnswers,
    HealthFlag,
    LimbLost,
    Override,
    limb_said,
)
from mealplan.client.goal import Goal, HeldDay, Race, SeasonPart
from mealplan.client.measured import BloodTest, BodyScan, Girths, RestingTest, ScanMethod, Sweat
from mealplan.client.typed_dates import age_on, read_typed_date
from mealplan.client.wishes import (
    Bound,
    CupboardItem,
    Kitchen,
    Nutrition,
    PrescribedIron,
    ProteinWish,
    Tastes,
    TasteWords,
)
from mealplan.client.zone import check_zone
from mealplan.errors import IntakeError
from mealplan.science.units import CM_PER_INCH, KG_PER_LB

__all__ = [
    "ACTIVE_PAL",
    "FEMALE_FLAGS",
    "FIRST_YEAR",
    "HIDING_FLAGS",
    "LAST_YEAR",
    "MOST_TASTES",
    "SESSIONS_OF_ACTIVE",
    "SITTING_FLAGS",
    "WEEKDAYS",
    "BloodTest",
    "BodyScan",
    "Bound",
    "ComponentActivity",
    "Count",
    "CupboardItem",
    "Date",
    "DeficiencyAnswers",
    "Girths",
    "Goal",
    "HealthFlag",
    "HeldDay",
    "Intake",
    "Kitchen",
    "LimbLost",
    "MultiplierActivity",
    "Number",
    "Nutrition",
    "Override",
    "Phase",
    "PrescribedIron",
    "ProteinWish",
    "Race",
    "RestingTest",
    "ScanMethod",
    "SeasonPart",
    "Session",
    "Sex",
    "Sweat",
    "TasteWords",
    "Tastes",
    "TrainingStatus",
    "Weekday",
    "Words",
    "YesNo",
    "clock_text",
    "minute_of_day",
]
"""What callers may import: the parts as well, so that an intake has one door."""

ACTIVE_PAL = 1.7
"""Least of an active or moderately active life (FAO 2004). [ratio]"""


SESSIONS_OF_ACTIVE = 3.0
"""Sessions a week taken for an active life whose training was not told. [1/week]"""


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
    schema["properties"]["age_years"] = {
        "anyOf": [
            schema["properties"]["age_years"],
            {
                "type": "string",
                "description": "Birth date; the age on the first day is kept in its place.",
            },
        ],
        "title": "Age Years",
    }
    schema["required"] = [
        name for name in schema["required"] if name not in ("weight_kg", "height_cm")
    ]
    schema["allOf"] = [
        {"oneOf": [{"required": ["weight_kg"]}, {"required": ["weight_lb"]}]},
        {"oneOf": [{"required": ["height_cm"]}, {"required": ["height_in"]}]},
    ]


def _born(data: dict[str, Any]) -> None:
    """Put the age on the first day in place of a birth date, which is not kept."""
    born, start = data.get("age_years"), data.get("start")
    if not isinstance(born, str) or not isinstance(start, str | dt.date):
        return
    try:
        first = read_typed_date(str(start))
        age = age_on(born, first)
    except IntakeError as error:
        raise ValueError(f"age_years: {error}") from None
    if age is not None:
        data["age_years"] = age


class Intake(IntakePart):
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
    limb_lost: Annotated[LimbLost | None, BeforeValidator(limb_said)] = None
    """With ``limb loss``: which part, for mass and height to be read together again."""
    limb_lost_second: Annotated[LimbLost | None, BeforeValidator(limb_said)] = None
    """Part of a second limb that is missing too."""
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
        _born(data)
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
        if self.limb_lost_second is not None and self.limb_lost is None:
            raise ValueError("limb_lost_second without limb_lost; write the first one there")
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
