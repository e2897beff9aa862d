"""
What a stage of life, a race week or an unanswered question adds to a worksheet in words and mass.

Nothing here refuses; refusals are in :mod:`mealplan.targets.safety`.
"""

from __future__ import annotations

import datetime as dt

from mealplan.client.intake import WEEKDAYS, ComponentActivity, Intake, Race
from mealplan.physiology.body.anthropometry import body_mass_index
from mealplan.physiology.tables import constants
from mealplan.targets.ranges import Notice
from mealplan.targets.training import activity_words, sessions_of

GAIN_BANDS = ((18.5, "thin"), (25.0, "usual"), (30.0, "heavy"), (1000.0, "obese"))
"""Upper ends of body mass index before pregnancy, each with its rows in ``life_stage.csv``."""
LONG_BEFORE_RACE_MIN = 75
"""A session this long within two days of a race that is loaded for is said. [min]"""
LOADED_FROM_MIN = 90
"""Races longer than this are loaded for. [min]"""


def mass_before_pregnancy(intake: Intake) -> Intake:
    """
    Give the intake whose mass energy and protein go by.

    The increments of pregnancy were set on mass before it, so that mass counts where it is known.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    Intake
        The same one unless pregnant with the mass before it.
    """
    before = intake.weight_before_pregnancy_kg
    if before is None or "pregnant" not in intake.health:
        return intake
    return intake.model_copy(update={"weight_kg": before})


PREGNANCY_CARE = (
    Notice(
        code="pregnancy_food",
        severity="warn",
        message=(
            "Pregnant: no alcohol at all, and caffeine under 200 mg a day. No raw sprouts, no "
            "unpasteurised juice, milk or soft cheese, no ready-made salads, cut melon or spreads "
            "that have stood; vegetables, fruit and herbs washed under running water, leftovers "
            "eaten within a day and heated through: listeria and toxoplasma harm the child. Fever "
            "or flu-like illness: call the clinic the same day."
        ),
        see="the midwife or obstetrician",
        source="public advice on listeria and toxoplasma in pregnancy; ACOG on alcohol, caffeine",
        provenance="from memory",
    ),
    Notice(
        code="pregnancy_exercise",
        severity="warn",
        message=(
            "Stop training and call the clinic for bleeding, regular painful contractions, fluid "
            "leaking, breathlessness before effort, dizziness, headache, chest pain, weakness that "
            "upsets balance, pain or swelling of a calf, or the child moving less. No diving, no "
            "falls or blows to the belly, no heat."
        ),
        see="the midwife or obstetrician",
        source="ACOG Committee Opinion 804, 2020",
        provenance="from memory",
    ),
)
"""What a pregnancy asks for at table and in training, whatever the numbers."""


def pregnancy_notices(intake: Intake) -> tuple[Notice, ...]:
    """
    Say which gain is recommended, and what is missing to say it.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    tuple of Notice
        Empty when not pregnant.
    """
    if "pregnant" not in intake.health:
        return ()
    before = intake.weight_before_pregnancy_kg
    if before is None:
        return (
            *PREGNANCY_CARE,
            Notice(
                code="pregnancy_mass",
                severity="note",
                message=(
                    "Mass before the pregnancy is not known (weight_before_pregnancy_kg): energy "
                    "and protein go by today's and lean high from the second trimester on."
                ),
                source="IOM 2005, energy for pregnancy",
                provenance="published",
            ),
        )
    table = constants("life_stage")
    bmi = body_mass_index(before, intake.height_cm)
    band = next(name for top, name in GAIN_BANDS if bmi < top)
    low, high = (table[f"gain_{band}_{end}"] for end in ("low", "high"))
    return (
        *PREGNANCY_CARE,
        Notice(
            code="pregnancy_gain",
            severity="note",
            message=(
                f"Recommended gain over the whole pregnancy from a body mass index of {bmi:.1f}: "
                f"{low.value:g} to {high.value:g} kg, more with twins; so far "
                f"{intake.weight_kg - before:+.1f} kg. The clinic follows it."
            ),
            source=low.source,
            provenance=low.provenance,
        ),
    )


def unsaid_notices(intake: Intake) -> tuple[Notice, ...]:
    """
    Say what was taken for granted because it was left out.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    tuple of Notice
    """
    gluten = _gluten_notices(intake)
    activity = intake.activity
    if isinstance(activity, ComponentActivity):
        return (*gluten, *_unsaid_of_sessions(activity))
    if intake.sessions_per_week is not None:
        return gluten
    count = intake.usual_sessions
    taken = f"{count:g} sessions a week" if count else "no training"
    return (
        *gluten,
        Notice(
            code="sessions_unknown",
            severity="note",
            message=(
                f"Sessions a week were not told: {taken} taken from the activity factor "
                f"({activity.pal:g}). List the sessions, or give their number: protein, "
                "carbohydrate and resting energy depend on it."
            ),
            source="FAO/WHO/UNU 2004: an active or moderately active life from 1.70",
            provenance="common practice",
        ),
    )


def _gluten_notices(intake: Intake) -> tuple[Notice, ...]:
    """Say that coeliac disease is tested for while gluten is still eaten."""
    left_out = {*intake.tastes.never, *intake.tastes.allergies}
    if "gluten" not in left_out or "coeliac disease" in intake.health:
        return ()
    return (
        Notice(
            code="coeliac_untested",
            severity="warn" if "gut complaints" in intake.health else "note",
            message=(
                "Gluten is left out and coeliac disease is not named: have it tested for, with "
                "gluten in at least one meal a day for six weeks before, for without gluten the "
                "test reads well whatever is there."
            ),
            see="a physician",
            source="NICE guideline NG20: six weeks of gluten before the test",
            provenance="from memory",
        ),
    )


def _unsaid_of_sessions(activity: ComponentActivity) -> tuple[Notice, ...]:
    taken = [session for session in activity.sessions if session.assumed]
    if not taken:
        return ()
    said = "; ".join(
        f"{activity_words(session)} on {session.day}, {session.minutes:g} min "
        f"({' and '.join('length' if what == 'minutes' else what for what in session.assumed)} "
        "not said)"
        for session in taken[:MOST_NAMED]
    )
    more = f"; and {len(taken) - MOST_NAMED} more" if len(taken) > MOST_NAMED else ""
    return (
        Notice(
            code="session_unsaid",
            severity="note",
            message=f"Taken as usual because it was not said: {said}{more}. Say it if it differs.",
            provenance="common practice",
        ),
    )


MOST_NAMED = 6
"""Sessions named in one sentence; the rest are counted."""


OVERDRINKING_FROM_MIN = 240
"""Races from this length on are those in which overdrinking kills. [min]"""


def _overdrinking(race: Race) -> Notice:
    return Notice(
        code="race_overdrinking",
        severity="warn",
        message=(
            f"In the {race.name}, {race.minutes / 60:.3g} h, drink by thirst and stay under what "
            "is sweated; body mass must not rise, and falls by 1 to 2 % in who drinks rightly. Too "
            "much of any drink, a sports drink too, dilutes blood sodium. Headache, vomiting, "
            "confusion or swollen hands: stop, drink nothing more, emergency care. Painkillers "
            "such as ibuprofen add to the danger."
        ),
        see="the race's medical team",
        source="Hew-Butler et al. 2015, consensus on exercise-associated hyponatremia",
        provenance="from memory",
    )


def _water_gain(race: Race) -> Notice:
    return Notice(
        code="loading_water",
        severity="note",
        message=(
            f"Loading before the {race.name} binds water: 1 to 2 kg more on the scale are wanted "
            "and are not fat."
        ),
        source="each gram of glycogen is stored with about 3 g of water",
        provenance="common practice",
    )


def race_notices(intake: Intake) -> tuple[Notice, ...]:
    """
    Say which usual sessions stand in the way of a race.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    tuple of Notice
        For each long race the danger of overdrinking, for each that is loaded for the water it
        binds, and long sessions on the two days before it.
    """
    found = []
    for race in intake.events:
        if race.minutes >= OVERDRINKING_FROM_MIN:
            found.append(_overdrinking(race))
        if race.minutes <= LOADED_FROM_MIN:
            continue
        found.append(_water_gain(race))
        days = {WEEKDAYS[(race.date - dt.timedelta(days=back)).weekday()] for back in (1, 2)}
        long = [
            f"{activity_words(one)} on {one.day} ({one.minutes:g} min)"
            for one in sessions_of(intake)
            if one.day in days and one.minutes >= LONG_BEFORE_RACE_MIN
        ]
        if long:
            found.append(
                Notice(
                    code="race_week_session",
                    severity="warn",
                    message=(
                        f"The usual week still holds {' and '.join(long)} within two days of the "
                        f"{race.name}: stores do not fill while they are emptied. Shorten or "
                        "leave it out in the week of the race; its fuel is counted until then."
                    ),
                    source="loading is for rest or light training",
                    provenance="common practice",
                )
            )
    return tuple(found)
