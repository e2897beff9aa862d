"""
What an intake's training week means for food: its kind, each day's load, and what is sweated.

The kind of a session is a field of the table of exercise costs, or said in the intake; it is never
read out of an activity's words.
"""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.client.intake import ComponentActivity, Intake, Session, Sweat
from mealplan.nutrition.fluid import sweat_rate_l_per_h
from mealplan.nutrition.fuel import Load, training_load
from mealplan.nutrition.protein_told import Training
from mealplan.physiology.expenditure.exercise import find_activities
from mealplan.physiology.tables import Activity, TrainingKind, activities
from mealplan.references.tables import sport_range

LOADS: tuple[Load, ...] = ("light", "moderate", "hard", "very hard")
SHORT_MIN = 45
"""Below so much training on a day no effort makes it more than :data:`SHORT_LOAD`. [min]"""
SHORT_LOAD: Load = "moderate"
"""The position stand's moderate band is about an hour a day, its hard one is one to three."""
MIXED_FROM = 0.25
"""Share of the week's minutes from which a second kind of training counts. [fraction]"""
EASY_MET = 5.0
"""Cost up to which a session is easy when nothing is said. [MET] (common practice)"""
WALK_MET = 4.0
"""Cost up to which a session is no training unless it is said to be. [MET] (common practice)"""
LIFTING_LOAD: Load = "moderate"
"""Heaviest load for carbohydrate on a day of lifting alone: 4 to 7 g/kg (common practice)."""
UNKNOWN_MET = 6.0
"""Assumed where a session says neither a known activity nor its cost. [MET]"""


def sessions_of(intake: Intake) -> tuple[Session, ...]:
    """
    Give the listed sessions, none when activity is one factor.

    Parameters
    ----------
    intake : Intake
        The client.
    """
    return intake.activity.sessions if isinstance(intake.activity, ComponentActivity) else ()


def activity_of(session: Session) -> Activity | None:
    """
    Look a session's activity up by code or by words that fit one row.

    Parameters
    ----------
    session : Session
        One of the usual week.

    Returns
    -------
    Activity or None
        None when the table has no such row, or several.
    """
    known = activities().get(session.activity)
    if known is not None:
        return known
    found = find_activities(session.activity)
    return found[0] if len(found) == 1 else None


def activity_words(session: Session) -> str:
    """
    Name a session in words, also when it was given as a code.

    Parameters
    ----------
    session : Session
        One of the usual week.
    """
    known = activity_of(session)
    return known.activity if known is not None else session.activity


def kind_of(session: Session) -> TrainingKind:
    """
    Say what a session trains: as said, else by the table, else mixed.

    Parameters
    ----------
    session : Session
        One of the usual week.
    """
    if session.kind is not None:
        return session.kind
    known = activity_of(session)
    return known.kind if known is not None else "mixed"


def is_easy(session: Session) -> bool:
    """
    Say whether a session is skill work or walking: as said, else by its kind and cost.

    Parameters
    ----------
    session : Session
        One of the usual week.
    """
    if session.load is not None:
        return session.load == "light"
    kind = kind_of(session)
    return kind == "none" or (kind != "strength" and met_of(session) <= EASY_MET)


def training_sessions(intake: Intake) -> float:
    """
    Count the sessions of a usual week that train, walks and the like left out.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    float
        All that were told when none are listed. [1/week]
    """
    listed = sessions_of(intake)
    if not listed:
        return intake.usual_sessions
    return float(
        sum(
            session.kind is not None or kind_of(session) == "strength" or met_of(session) > WALK_MET
            for session in listed
        )
    )


def met_of(session: Session) -> float:
    """
    Give a session's gross metabolic equivalents, as said, else by the table [MET].

    Parameters
    ----------
    session : Session
        One of the usual week.
    """
    if session.met is not None:
        return session.met
    known = activity_of(session)
    return known.met if known is not None else UNKNOWN_MET


def kind_of_training(intake: Intake) -> Training:
    """
    Name the kind of training of the usual week, by minutes.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    Training
        ``mixed`` when a second kind has a quarter of the minutes; ``endurance`` in an endurance
        phase.
    """
    if intake.goal.phase == "endurance":
        return "endurance"
    sessions = sessions_of(intake)
    if not sessions:
        return "none" if intake.usual_sessions == 0 else "mixed"
    minutes: dict[TrainingKind, float] = {"strength": 0.0, "endurance": 0.0, "mixed": 0.0}
    for session in sessions:
        kind = kind_of(session)
        if kind != "none":
            minutes[kind] += session.minutes
    total = sum(minutes.values())
    if total == 0:
        return "none"
    if minutes["mixed"] / total >= MIXED_FROM:
        return "mixed"
    if min(minutes["strength"], minutes["endurance"]) / total >= MIXED_FROM:
        return "mixed"
    return "strength" if minutes["strength"] >= minutes["endurance"] else "endurance"


@dataclass(frozen=True)
class DayTraining:
    """One day's training: load, hours, and sweat with where its rate comes from."""

    load: Load
    hours: float
    sweat_l_per_h: float
    sweat_words: str


def day_training(intake: Intake, weekday: str) -> DayTraining:
    """
    Read one weekday's training.

    Parameters
    ----------
    intake : Intake
        The client.
    weekday : str
        Three-letter English name.

    Returns
    -------
    DayTraining
        A factor in place of sessions does not say what is done on which day: an ordinary day of
        training is then assumed.
    """
    sessions = sessions_of(intake)
    if not sessions:
        load, hours = _from_factor(intake)
        rate, words = sweat(intake.sweat, intake.weight_kg, UNKNOWN_MET)
        return DayTraining(load, hours, rate, words)
    today = [session for session in sessions if session.day == weekday]
    minutes = sum(session.minutes for session in today)
    said = [session.load for session in today if session.load is not None]
    if said:
        load = max(said, key=LOADS.index)
        if minutes < SHORT_MIN:
            load = min(load, SHORT_LOAD, key=LOADS.index)
    else:
        skill = bool(today) and all(is_easy(session) for session in today)
        load = training_load(minutes, "easy" if skill else "moderate")
        lifting = bool(today) and all(kind_of(one) in ("strength", "none") for one in today)
        if lifting and load in ("hard", "very hard"):
            load = LIFTING_LOAD
    met = (
        sum(met_of(session) * session.minutes for session in today) / minutes
        if minutes
        else UNKNOWN_MET
    )
    rate, words = sweat(intake.sweat, intake.weight_kg, met)
    return DayTraining(load, minutes / 60, rate, words if today else "no training on this day")


def _from_factor(intake: Intake) -> tuple[Load, float]:
    if intake.usual_sessions == 0:
        return "light", 0.0
    pal = getattr(intake.activity, "pal", 1.7)
    return ("light", 0.5) if pal < 1.6 else ("moderate", 1.0) if pal < 2.0 else ("hard", 1.5)


def sweat(said: Sweat, mass_kg: float, met: float) -> tuple[float, str]:
    """
    Give the sweat rate of a session and where it comes from.

    Parameters
    ----------
    said : Sweat
        Measured, tried by weighing, or a word.
    mass_kg : float
        Body mass. [kg]
    met : float
        Cost of the session. [MET]

    Returns
    -------
    rate : float
        [L/h]
    words : str
    """
    if said.rate_l_per_h is not None:
        return said.rate_l_per_h, f"sweat rate as measured, {said.rate_l_per_h:.2g} L/h"
    if said.before_kg is not None and said.after_kg is not None and said.hours is not None:
        rate = sweat_rate_l_per_h(
            said.before_kg, said.after_kg, said.drunk_l, said.urine_l, said.hours
        )
        return rate, f"sweat rate by weighing before and after, {rate:.2g} L/h"
    share = dict(zip(("light", "usual", "heavy"), sport_range("sweat_heat_share"), strict=True))
    low, high = (part * met * mass_kg / sport_range("sweat_latent")[1] for part in
                 (share["light"], share["heavy"]))  # fmt: skip
    rate = share[said.amount] * met * mass_kg / sport_range("sweat_latent")[1]
    return rate, (
        f"sweat rate not measured: about {rate:.2g} L/h from what the session costs, between "
        f"{low:.2g} and {high:.2g}; weigh before and after one session"
    )
