"""The questions of the intake form, in their order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from foods.composition.catalogue import ALLERGENS
from mealplan.client.intake import (
    DeficiencyAnswers,
    HealthFlag,
    LimbLost,
    Phase,
    ScanMethod,
    TrainingStatus,
)
from mealplan.nutrition.performance import performance_rows
from mealplan.physiology.guard.energy_deficiency import indicators

Kind = Literal[
    "text", "number", "date", "choice", "ticks", "flag", "words", "sessions", "minutes", "rows"
]

Typed = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Field:
    """One question of the form."""

    name: str
    label: str
    kind: Kind
    unit: str = ""
    hint: str = ""
    options: tuple[tuple[str, str], ...] = ()
    required: bool = False
    usual: str = ""
    """What a new form starts with."""


@dataclass(frozen=True)
class FieldGroup:
    """Questions that belong together."""

    title: str
    fields: tuple[Field, ...]
    note: str = ""
    open: bool = True
    """False folds the group away until it is wanted."""

    def answered(self, typed: Typed) -> bool:
        """
        Say whether anything but the usual stands in it.

        Parameters
        ----------
        typed : Typed
            Field name to what was typed.
        """
        return any(
            any(typed.get(field.name, ())) and typed[field.name] != (field.usual,)
            for field in self.fields
        )


def _options(values: tuple[str, ...], blank: str = "") -> tuple[tuple[str, str], ...]:
    first = (("", blank),) if blank else ()
    return first + tuple((value, value.replace("_", " ")) for value in values)


_YES_NO = (("yes", "yes"), ("no", "no"))

_CARRIED = ("milk", "egg", "fish", "crustaceans")
"""Allergens of animal foods, which no dish holds."""

_WORDS_HINT = (
    "commas between: foods, groups, dishes, kinds of dish, traditions, textures (soupy, crisp) or "
    "heat (mild, hot)"
)

GROUPS: tuple[FieldGroup, ...] = (
    FieldGroup(
        "Who",
        (
            Field(
                "role",
                "What the client does",
                "text",
                hint="such as club rower; no name",
                required=True,
            ),
            Field(
                "sex",
                "Sex",
                "choice",
                hint="as the equations were fitted",
                options=(("female", "female"), ("male", "male")),
                required=True,
            ),
            Field("age_years", "Age", "number", unit="years", required=True),
            Field(
                "height_cm", "Height", "number", unit="cm", hint="or 1.70 m, 5 ft 7", required=True
            ),
            Field(
                "weight_kg",
                "Body mass",
                "number",
                unit="kg",
                hint="or 156 lb, 11 st 4",
                required=True,
            ),
            Field("start", "First day of the plan", "date", required=True),
            Field(
                "time_zone",
                "Time zone",
                "text",
                hint="such as Europe/Berlin; blank for this service's own",
            ),
            Field(
                "training_status",
                "Training experience",
                "choice",
                options=_options(get_args(TrainingStatus)),
                usual="intermediate",
            ),
            Field(
                "sessions_per_week",
                "Sessions a week",
                "number",
                hint="left out: those listed, else judged from the activity factor",
            ),
        ),
    ),
    FieldGroup(
        "Goal",
        (
            Field(
                "goal.phase", "Phase", "choice", options=_options(get_args(Phase)), required=True
            ),
            Field(
                "goal.change_kg",
                "Change of body mass",
                "number",
                unit="kg",
                hint="a minus for a loss",
            ),
            Field("goal.weeks", "over", "number", unit="weeks"),
            Field("goal.rate_percent_per_week", "or a rate", "number", unit="% a week"),
            Field(
                "goal.surplus_kcal",
                "or a surplus",
                "number",
                unit="kcal a day",
                hint="a minus for a deficit",
            ),
            Field("goal.surplus_percent", "or a surplus", "number", unit="% of total energy"),
            Field("goal.energy_kcal", "or energy you set yourself", "number", unit="kcal a day"),
        ),
        note="Say the goal in one way, or leave all blank for the phase's usual rate.",
    ),
    FieldGroup(
        "Activity",
        (
            Field(
                "activity.method",
                "How energy is counted",
                "choice",
                options=(("component", "movement and sessions"), ("multiplier", "one factor")),
                usual="component",
            ),
            Field(
                "activity.everyday_factor",
                "Everyday movement",
                "number",
                hint="1.15 at a desk, 1.25 to 1.35 mixed, 1.45 on the feet all day",
                usual="1.3",
            ),
            Field(
                "activity.sessions",
                "or one a line",
                "sessions",
                hint="day, clock time if known, sport, how long, how hard; such as "
                "mon, 17:30, easy run, 45 min or tue, strength, 1 h, hard",
            ),
            Field("activity.vary_by_day", "Eat more on harder days", "flag"),
            Field(
                "activity.pal",
                "One factor",
                "number",
                hint="only with one factor: 1.4 sitting, 1.75 training",
            ),
        ),
    ),
    FieldGroup(
        "Body scan",
        (
            Field("scan.date", "Date", "date"),
            Field(
                "scan.method", "Method", "choice", options=_options(get_args(ScanMethod), "none")
            ),
            Field("scan.fat_kg", "Fat", "number", unit="kg"),
            Field("scan.lean_soft_kg", "Lean soft tissue", "number", unit="kg"),
            Field("scan.bone_kg", "Bone mineral", "number", unit="kg"),
            Field("scan.fat_percent", "or body fat", "number", unit="%"),
        ),
    ),
    FieldGroup(
        "Sweat and races",
        (
            Field(
                "sweat.amount",
                "Sweat in training",
                "choice",
                options=_options(("light", "usual", "heavy")),
                usual="usual",
            ),
            Field("sweat.rate_l_per_h", "or as measured", "number", unit="L/h"),
            Field("sweat.before_kg", "or weighed: before", "number", unit="kg"),
            Field("sweat.after_kg", "after", "number", unit="kg"),
            Field("sweat.drunk_l", "drunk meanwhile", "number", unit="L"),
            Field("sweat.hours", "in how long", "number", unit="h"),
            Field("sweat.sodium_mg_per_l", "Sodium in sweat, if known", "number", unit="mg/L"),
            Field(
                "events",
                "Races",
                "rows",
                hint="one a line: name, date, minutes, and the time it starts: triathlon, "
                "2027-06-13, 310, 08:00",
            ),
            Field(
                "nutrition.performance",
                "Lines for training and races, all off",
                "ticks",
                options=_options(tuple(performance_rows())),
            ),
        ),
        open=False,
    ),
    FieldGroup(
        "Laboratory resting test",
        (
            Field("resting_test.date", "Date", "date"),
            Field("resting_test.kcal", "Resting energy", "number", unit="kcal a day"),
            Field("resting_test.vo2_ml_min", "or oxygen taken up", "number", unit="mL/min"),
            Field(
                "resting_test.vco2_ml_min", "and carbon dioxide given off", "number", unit="mL/min"
            ),
            Field("resting_test.fasted_hours", "Hours since eating", "number", unit="h"),
            Field("resting_test.rested_minutes", "Quiet rest before", "number", unit="min"),
            Field("resting_test.hours_since_exercise", "Hours since training", "number", unit="h"),
            Field("resting_test.hours_since_caffeine", "Hours since caffeine", "number", unit="h"),
            Field("resting_test.hours_since_nicotine", "Hours since nicotine", "number", unit="h"),
            Field("resting_test.cv_percent", "Variation between minutes", "number", unit="%"),
            Field("resting_test.device", "Device", "text"),
        ),
    ),
    FieldGroup(
        "Signs of too little energy",
        (
            *(
                Field(f"deficiency.{one.key}", one.question, "choice", options=_YES_NO)
                for one in indicators("female")  # hers are all there are
                if one.key in DeficiencyAnswers.model_fields
            ),
        ),
        note="Left open means not asked. A yes goes to a physician and a sports dietitian.",
        open=False,
    ),
    FieldGroup(
        "Health",
        (
            Field("health", "What applies", "ticks", options=_options(get_args(HealthFlag))),
            Field(
                "bloods",
                "Blood tests",
                "rows",
                hint="one a line: what (ferritin, vitamin_b12, vitamin_d, haemoglobin, tsh, "
                "potassium, egfr, zinc ...), "
                "date, value, unit, the laboratory's low and high: ferritin, 2026-11-02, 14, "
                "ug/L, 15, 150",
            ),
            Field(
                "limb_lost",
                "Limb lost, from where",
                "choice",
                options=_options(get_args(LimbLost), "none, or another"),
            ),
            Field(
                "limb_lost_second",
                "A second limb lost, from where",
                "choice",
                options=_options(get_args(LimbLost), "none"),
            ),
            Field("pregnancy_trimester", "Trimester of a pregnancy", "number", hint="1, 2 or 3"),
            Field(
                "weight_before_pregnancy_kg", "Body mass before the pregnancy", "number", unit="kg"
            ),
            Field("guardian_agrees", "Under 18: a guardian agrees", "flag"),
            Field(
                "professional_overrides",
                "A professional's decisions",
                "rows",
                hint="one a line: the reason, the code in square brackets, who decided (physician, "
                "registered dietitian), until which date: 2027-06-30",
            ),
            Field("hide_numbers", "Keep weights and calories from the client", "flag"),
        ),
        note="Some of these stop a plan until a physician or registered dietitian has had a say.",
        open=False,
    ),
    FieldGroup(
        "Food",
        (
            Field(
                "tastes.allergies",
                "Must be absent",
                "ticks",
                options=_options(tuple(a for a in ALLERGENS if a not in _CARRIED)),
            ),
            Field(
                "tastes.oats_ok_when_gluten_free", "Certified oats are fine without gluten", "flag"
            ),
            Field("tastes.never", "Never", "words", hint=_WORDS_HINT),
            Field("tastes.dislikes", "Rather not", "words", hint="only if little else is possible"),
            Field("tastes.seldom", "Now and then", "words"),
            Field("tastes.likes", "Gladly", "words"),
            Field("tastes.favourites", "Most of all", "words"),
            Field(
                "tastes.heat_max",
                "Chilli heat",
                "choice",
                options=(("0", "none"), ("1", "mild"), ("2", "hot"), ("3", "very hot")),
                usual="3",
            ),
            Field("tastes.pulses_bloat", "Beans and lentils bloat me", "flag"),
        ),
    ),
    FieldGroup(
        "Kitchen",
        (
            Field(
                "kitchen.meals",
                "Meals a day",
                "choice",
                options=(("3", "3"), ("4", "4"), ("5", "5"), ("6", "6")),
                usual="4",
            ),
            Field(
                "kitchen.meal_times",
                "Clock times",
                "words",
                hint="one a meal, such as 07:30, 12:30, 16:00, 19:00",
            ),
            Field(
                "kitchen.hands_on_min",
                "Most minutes hands-on",
                "minutes",
                hint="such as mon 30, tue 30, sat 90",
            ),
            Field("kitchen.leftovers", "Kept portions are fine", "flag", usual="yes"),
            Field(
                "kitchen.living.variety",
                "How varied",
                "choice",
                options=(
                    ("steady", "steady: few dishes, a short list"),
                    ("usual", "usual"),
                    ("adventurous", "adventurous: many dishes, a long list"),
                ),
                usual="usual",
            ),
            Field("kitchen.living.same_breakfast_on_weekdays", "One breakfast on weekdays", "flag"),
            Field(
                "kitchen.living.cooking_days",
                "Days on which dinners are cooked",
                "words",
                hint="in pots for the days after, such as sun, wed; empty for any day",
            ),
            Field(
                "kitchen.living.with_kettle",
                "Eaten away with a kettle",
                "words",
                hint="boiling water and no more; such as weekdays small",
            ),
            Field(
                "kitchen.living.with_microwave",
                "Eaten away with a microwave",
                "words",
                hint="with or without a kettle; such as weekdays midday, tue evening",
            ),
            Field(
                "kitchen.living.with_nothing",
                "Eaten away with nothing to heat it",
                "words",
                hint="such as mon midday, daily small",
            ),
            Field(
                "kitchen.living.on_the_move",
                "Eaten on the move",
                "words",
                hint="from the hand; such as sat midday",
            ),
            Field(
                "kitchen.living.kept_cold",
                "Eaten away from a fridge or cool box",
                "words",
                hint="of the meals above, those that lie cold until then; such as weekdays midday",
            ),
            Field(
                "kitchen.living.eaten_out",
                "Eaten out",
                "rows",
                hint="one a line: day and meal, about how many kcal; such as fri evening, 900",
            ),
            Field("kitchen.living.freezer", "There is a freezer", "flag", usual="yes"),
            Field(
                "kitchen.living.freezer_portions",
                "Cooked portions the freezer holds for later weeks",
                "number",
                usual="0",
            ),
            Field(
                "kitchen.living.things_most",
                "Most things to buy a week",
                "number",
                hint="what suits the variety when left out",
            ),
            Field(
                "nutrition.daily_floors",
                "Vitamins and minerals every day, not over the week",
                "flag",
            ),
            Field("kitchen.rings", "Pots the hob takes at once", "number", usual="3"),
            Field("kitchen.people", "People to cook for", "number", usual="1"),
            Field(
                "kitchen.units",
                "Packs in the shop",
                "choice",
                options=(("metric", "grams and kilograms"), ("us", "ounces and pounds")),
                usual="metric",
            ),
        ),
    ),
    FieldGroup(
        "Cupboard and purse",
        (
            Field(
                "kitchen.cupboard",
                "At home already",
                "rows",
                hint="one a line: food, grams as bought; such as chickpeas_canned, 800",
            ),
            Field("kitchen.shop.well_stocked", "Shops with foods of many traditions near", "flag"),
            Field("kitchen.shop.budget_per_week", "Most a week may cost", "number"),
            Field(
                "kitchen.shop.budget_counts",
                "The budget is held against",
                "choice",
                options=(
                    ("till", "what is paid at the till: whole packs, what is at home taken off"),
                    ("eaten", "what the food eaten is worth"),
                ),
                usual="till",
            ),
            Field("kitchen.shop.currency", "Currency", "text", hint="such as EUR", usual="EUR"),
            Field(
                "kitchen.shop.prices",
                "Prices",
                "rows",
                hint="one a line: food, grams in the pack, price; such as lentils_red_dry, 500, "
                "1.90",
            ),
        ),
        note="What is at home is planned first. A budget needs prices; it is for all who eat.",
        open=False,
    ),
)
"""The form from top to bottom."""

NOTHING = "-"
"""A part of a line that is left out."""

ROWS: Mapping[str, tuple[str, ...]] = {
    "kitchen.cupboard": ("food", "grams"),
    "kitchen.living.eaten_out": ("meal", "kcal"),
    "kitchen.shop.prices": ("food", "size_g", "price"),
    "bloods": ("analyte", "date", "value", "unit", "low", "high"),
    "events": ("name", "date", "minutes", "time"),
    "professional_overrides": ("reason", "finding", "by", "until"),
}
"""What the parts of a line are: words that may hold commas, then parts that do not."""

FIELDS: dict[str, Field] = {field.name: field for group in GROUPS for field in group.fields}
