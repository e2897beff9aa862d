"""
Fuel around sessions and races: timed items before, during and after, and the days before a race.

Amounts come from :mod:`mealplan.nutrition.fuel`; this module places them in the client's week.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from mealplan.client.day_times import Engaged, sessions_on, times_on
from mealplan.client.intake import WEEKDAYS, Intake, Race, Session, clock_text, minute_of_day
from mealplan.nutrition.fluid import fluid_after_l, fluid_plan
from mealplan.nutrition.fuel import (
    KCAL_PER_G_CARBOHYDRATE,
    ULTRA_MINUTES,
    Effort,
    Range,
    carbohydrate_after,
    carbohydrate_before,
    carbohydrate_loading,
    energy_of,
    session_carbohydrate,
)
from mealplan.nutrition.meal_comfort import meal_comfort
from mealplan.references.tables import sport_range, sport_ranges
from mealplan.targets.conditions import PROTEIN_HELD
from mealplan.targets.fuel_totals import ONE_SUGAR_G_PER_H, timed_carbohydrate_g
from mealplan.targets.ranges import FuelItem
from mealplan.targets.training import activity_words, is_easy, kind_of, met_of, sessions_of, sweat

HARD_MET = 9.0
"""Cost from which a session counts as hard when nothing is said. [MET] (common practice)"""
WORTH_FUELLING_MIN = 60
"""Sessions shorter than this need no meal of their own before. [min]"""
EARLY = 7 * 60 + 30
"""Before this clock time the meal before is an hour ahead, not two and a half. [min]"""
RACE_BREAKFAST_H = 3.0
"""Breakfast before a race, of the 3 to 4 h that is usual. [h] (common practice)"""
RACE_BREAKFAST_FROM = 3 * 60 + 30
"""No breakfast is asked for before this clock time. [min]"""
LOADING_FROM_MIN = 90
"""Events longer than this are loaded for. [min]"""
LOADING_DAYS = 2
LOADING_FAT_SHARE, FAT_SHARE = 0.15, 0.2
"""Energy left for fat on a loading day and on the day of a race. [fraction] (common practice)"""
BETWEEN_MEALS_G_PER_KG = (2.0, 3.0, 4.0)
"""
Carbohydrate between the meals of a loading day, low in fibre: meals alone grow too large.
[g/kg] (common practice)
"""
OTHER_MEALS_G_PER_KG = 1.0
"""Least carbohydrate at meals that no session asks for. [g/kg] (common practice)"""
LIGHT_CARBOHYDRATE = 0.7
"""
Part of a light meal's energy that carbohydrate brings: its gram a kg for each hour ahead then says
how large the meal is (common practice).
"""
BELONGS_BEFORE_MIN, BELONGS_AFTER_MIN = 240, 180
"""A meal this long before a session, or after it, is the one that fuels it (common practice)."""
SNACK_H = 1.0
"""A snack where no meal is near. [h before] (common practice)"""
SNACK_EASY_G_PER_KG = 0.5
"""Carbohydrate of that snack before skill work or lifting. [g/kg] (common practice)"""
AFTER_G_PER_KG = 1.0
"""Carbohydrate in the meal after a session: the first hour's of fast refuelling. [g/kg]"""
AFTER_FROM_MIN = 45
"""Shorter sessions ask nothing of the meal after them. [min] (common practice)"""
DAY_MIN = 24 * 60


@dataclass(frozen=True)
class Bout:
    """One stretch of exercise: a session of the week or an event."""

    words: str
    start: int | None
    """Minutes after midnight; None when no time is given."""
    minutes: float
    effort: Effort
    sweat_l_per_h: float
    fuelled: bool
    """Whether carbohydrate matters: endurance and games, or anything of an hour and more."""
    lifting: bool = False
    """After a meal, lifting gains nothing from more on the way (Henselmans et al. 2022)."""
    race: bool = False


def _bout(session: Session, intake: Intake) -> Bout:
    met = met_of(session)
    hard = session.load in ("hard", "very hard") or (session.load is None and met >= HARD_MET)
    kind = kind_of(session)
    return Bout(
        words=activity_words(session),
        start=None if session.time is None else minute_of_day(session.time),
        minutes=session.minutes,
        effort="easy" if is_easy(session) else "hard" if hard else "moderate",
        sweat_l_per_h=sweat(intake.sweat, intake.weight_kg, met)[0],
        fuelled=kind != "none" and (kind != "strength" or session.minutes >= WORTH_FUELLING_MIN),
        lifting=kind == "strength",
    )


def _clock(minute: float) -> str:
    return clock_text(int(minute) % DAY_MIN)


def _hours_before(bout: Bout) -> float:
    """Hours from the meal before to the start: for a race an early riser's breakfast."""
    if bout.race:
        room = RACE_BREAKFAST_H
        if bout.start is not None:
            room = (bout.start - RACE_BREAKFAST_FROM) / 60
        return max(1.0, min(RACE_BREAKFAST_H, room))
    early = bout.start is not None and bout.start < EARLY
    return 1.0 if early else sport_range("meal_before_session")[1]


def _meal_before(bout: Bout, times: Sequence[int]) -> int | None:
    """Find the last meal that a session is trained on."""
    if bout.start is None:
        return None
    near = [place for place, at in enumerate(times) if 0 < bout.start - at <= BELONGS_BEFORE_MIN]
    if bout.race:  # its breakfast was moved for it
        return 0 if 0 in near else None
    return max(near, default=None)


def _meal_after(bout: Bout, times: Sequence[int]) -> int | None:
    """Find the first meal after a session."""
    if bout.start is None:
        return None
    ends = bout.start + bout.minutes
    near = [place for place, at in enumerate(times) if 0 <= at - ends <= BELONGS_AFTER_MIN]
    return min(near, default=None)


def _before(bout: Bout, mass_kg: float, times: Sequence[int]) -> FuelItem | None:
    meal = _meal_before(bout, times)
    snack = meal is None and bout.start is not None and not bout.race
    usual = SNACK_H if snack else _hours_before(bout)
    hours = usual if meal is None or bout.start is None else (bout.start - times[meal]) / 60
    comfort = meal_comfort(hours, bout.effort)
    if bout.minutes <= WORTH_FUELLING_MIN and (meal is None or comfort.fibre_g is None):
        return None
    carbohydrate = carbohydrate_before(mass_kg, min(hours, usual))
    aim, high = carbohydrate.aim, carbohydrate.high
    if bout.lifting:  # the range was set for long endurance work; lifting asks for its low end
        aim, high = carbohydrate.low, carbohydrate.aim
    if snack and (bout.lifting or bout.effort == "easy"):
        aim = SNACK_EASY_G_PER_KG * mass_kg
    fluid = fluid_plan(mass_kg, bout.minutes, bout.sweat_l_per_h).before_ml
    light = meal is not None and comfort.fibre_g is not None
    return FuelItem(
        when="before",
        session=bout.words,
        time=None if bout.start is None else _clock(bout.start - 60 * hours),
        carbohydrate_low_g=min(carbohydrate.low, aim),
        carbohydrate_aim_g=aim,
        carbohydrate_high_g=max(aim, carbohydrate.low) if snack else high,
        fluid_low_ml=fluid.low,
        fluid_high_ml=fluid.high,
        fibre_high_g=comfort.fibre_g,
        fat_high_g=comfort.fat_g,
        energy_high_kcal=(
            KCAL_PER_G_CARBOHYDRATE * mass_kg * hours / LIGHT_CARBOHYDRATE if light else None
        ),
        meal=meal,
        snack=snack,
        note=f"{hours:.3g} h before; {comfort.why}",
        source=carbohydrate.source,
        provenance=carbohydrate.provenance,
    )


def _during(bout: Bout, mass_kg: float) -> FuelItem | None:
    rate = session_carbohydrate(bout.minutes, bout.effort)
    drink = fluid_plan(mass_kg, bout.minutes, bout.sweat_l_per_h)
    hours = bout.minutes / 60
    if bout.minutes < 45 or bout.lifting:
        return None
    rinse = rate.high == 0
    if bout.effort == "easy":  # the ranges were set at racing effort; skill asks for the low end
        rate = replace(rate, aim=rate.low, high=rate.aim)
    sodium = drink.sodium_in_drink_mg_per_l
    protein = sport_range("protein_session_ultra")[1] * hours
    notes = [*rate.working, *drink.during_l_per_h.working]
    if rinse and bout.effort == "hard":
        notes.append("a mouth rinse or a small sip of something sweet is enough")
    return FuelItem(
        when="during",
        session=bout.words,
        time=None if bout.start is None else _clock(bout.start),
        minutes=bout.minutes,
        carbohydrate_low_g=rate.low * hours,
        carbohydrate_aim_g=rate.aim * hours,
        carbohydrate_high_g=rate.high * hours,
        carbohydrate_per_h_g=None if rinse else rate.aim,
        several_sugars=rate.aim > ONE_SUGAR_G_PER_H,
        protein_g=protein if bout.minutes > ULTRA_MINUTES else None,
        fluid_low_ml=1000 * drink.during_l_per_h.low * hours,
        fluid_high_ml=1000 * drink.during_l_per_h.high * hours,
        sodium_mg_per_l=None if sodium is None else sodium.aim,
        note="; ".join((*notes, drink.caution)),
        source=rate.source,
        provenance=rate.provenance,
    )


def _after(
    bout: Bout, mass_kg: float, hours_to_next: float | None, times: Sequence[int]
) -> FuelItem:
    row = sport_ranges()["protein_after_session"]
    protein = sport_range("protein_after_session")[1] * mass_kg
    fast = None if hours_to_next is None else carbohydrate_after(mass_kg, hours_to_next)
    hours = 0.0 if fast is None or hours_to_next is None else min(4.0, hours_to_next)
    drunk = fluid_plan(mass_kg, bout.minutes, bout.sweat_l_per_h).during_l_per_h
    lost = max(0.0, bout.sweat_l_per_h - drunk.aim) * bout.minutes / 60
    back = fluid_after_l(lost)
    note = (
        f"the next session is {hours_to_next:.1f} h away: refuel at once"
        if fast is not None
        else "ordinary meals refuel in time"
    )
    return FuelItem(
        when="after",
        session=bout.words,
        time=None if bout.start is None else _clock(bout.start + bout.minutes),
        next_day=bout.start is not None and bout.start + bout.minutes >= DAY_MIN,
        minutes=60 * hours if fast is not None else None,
        carbohydrate_low_g=fast.low * hours if fast is not None else 0.0,
        carbohydrate_aim_g=fast.aim * hours if fast is not None else 0.0,
        carbohydrate_high_g=fast.high * hours if fast is not None else 0.0,
        carbohydrate_per_h_g=fast.aim if fast is not None else None,
        protein_g=protein,
        fluid_low_ml=1000 * back.low,
        fluid_high_ml=1000 * back.high,
        note=f"{note}; protein within two hours; fluid for what was lost and not yet drunk",
        source=fast.source if fast is not None else row.source,
        provenance=fast.provenance if fast is not None else row.provenance,
    )


def _items(
    bout: Bout, mass_kg: float, hours_to_next: float | None, meal_times: Sequence[str]
) -> list[FuelItem]:
    if not bout.fuelled:
        return []
    times = [minute_of_day(time) for time in meal_times]
    items = [
        _before(bout, mass_kg, times),
        _during(bout, mass_kg),
        _after(bout, mass_kg, hours_to_next, times),
    ]
    return [item for item in items if item is not None]


def _as_allowed(items: list[FuelItem], intake: Intake) -> list[FuelItem]:
    """Ask for no protein about training where a dietitian sets the day's, nor fluid on dialysis."""
    if "dialysis" in intake.health:
        held = {"fluid_low_ml": None, "fluid_high_ml": None, "sodium_mg_per_l": None}
        items = [item.model_copy(update=held) for item in items]
    if not PROTEIN_HELD & set(intake.health):
        return items
    own = "no protein of its own: the day's is set for the condition"
    return [
        item
        if item.protein_g is None
        else item.model_copy(
            update={
                "protein_g": None,
                "note": item.note.replace("protein within two hours", own),
                "source": "the day's protein is the dietitian's",
            }
        )
        for item in items
    ]


def _hours_to_next(place: int, starts: Sequence[tuple[float, Bout]]) -> float | None:
    """Hours from the end of one bout of the week to the start of the next; None when not known."""
    start, bout = starts[place]
    after = [(other - start) % (7 * DAY_MIN) for other, one in starts if one is not bout]
    gaps = [gap - bout.minutes for gap in after if gap > 0]
    return max(0.0, min(gaps)) / 60 if gaps else None


def session_fuel(intake: Intake) -> dict[str, tuple[FuelItem, ...]]:
    """
    Place fuel around the usual week's sessions.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    dict of str to tuple of FuelItem
        By weekday, in order of time; a session without a clock time has items without one.
    """
    week = [(session.day, _bout(session, intake)) for session in sessions_of(intake)]
    timed = [
        (WEEKDAYS.index(day) * DAY_MIN + bout.start, bout)
        for day, bout in week
        if bout.start is not None
    ]
    found: dict[str, list[FuelItem]] = {day: [] for day in WEEKDAYS}
    for day, bout in week:
        place = next((i for i, (_, one) in enumerate(timed) if one is bout), None)
        gap = None if place is None else _hours_to_next(place, timed)
        times = times_on(intake, sessions_on(intake, day))
        found[day] += _as_allowed(_items(bout, intake.weight_kg, gap, times), intake)
    return {
        day: _counted_once(sorted(items, key=lambda item: item.time or "99"))
        for day, items in found.items()
    }


def _counted_once(items: Sequence[FuelItem]) -> tuple[FuelItem, ...]:
    """Say of a meal before a session that it is part of the refuelling after the one before."""
    found: list[FuelItem] = []
    refuelling = ""
    for item in items:
        if item.when == "after" and item.carbohydrate_aim_g > 0:
            refuelling = item.session
        if item.when == "before" and refuelling and not item.snack:
            item = item.model_copy(update={"counted_in": f"the refuelling after {refuelling}"})
        found.append(item)
    return tuple(found)


@dataclass(frozen=True)
class RaceDay:
    """What a race makes of one date."""

    date: dt.date
    words: str
    carbohydrate: Range | None
    """Loading; None on the day of the race. [g/day]"""
    least_kcal: float
    """Energy that holds the loading and the fuel of the race. [kcal/day]"""
    fuel: tuple[FuelItem, ...]
    hours: float = 0.0
    """Of the race; none on a day of loading. [h]"""
    sweat_l_per_h: float | None = None
    """In the race; None on a day of loading. [L/h]"""
    sweat_words: str = ""
    meal_times: tuple[str, ...] = ()
    """Of the day's meals, HH:MM, about the race."""


def race_days(intake: Intake, protein_low_g: float, protein_aim_g: float) -> tuple[RaceDay, ...]:
    """
    Lay out the days that a race changes: two of loading before a long one, and its own day.

    Parameters
    ----------
    intake : Intake
        With its events.
    protein_low_g : float
        Floor of the day's protein, which loading leaves room for. [g/day]
    protein_aim_g : float
        Its aim, which the day of the race has room for. [g/day]

    Returns
    -------
    tuple of RaceDay
        In order of date; where two races touch, the earlier date's race day wins.
    """
    days: dict[dt.date, RaceDay] = {}
    mass = intake.weight_kg
    for event in sorted(intake.events, key=lambda event: event.date):
        loading = carbohydrate_loading(mass)
        if event.minutes > LOADING_FROM_MIN:
            least = energy_of(protein_low_g, loading.low, 0.0) / (1 - LOADING_FAT_SHARE)
            for before in range(LOADING_DAYS, 0, -1):
                date = event.date - dt.timedelta(days=before)
                words = f"{before} day{'s' if before > 1 else ''} before the {event.name}: loading"
                between = (_between_meals(words, mass),)
                times = times_on(intake, sessions_on(intake, WEEKDAYS[date.weekday()]))
                days.setdefault(
                    date,
                    RaceDay(date, words, loading, least, between, meal_times=times),
                )
        rate, sweated = sweat(intake.sweat, mass, HARD_MET)
        bout = _race(event, rate)
        times = times_on(intake, _held_by(bout))
        fuel = tuple(_as_allowed(_items(bout, mass, None, times), intake))
        eaten = timed_carbohydrate_g(fuel) + OTHER_MEALS_G_PER_KG * mass
        least = energy_of(protein_aim_g, eaten, 0.0) / (1 - FAT_SHARE)
        days[event.date] = RaceDay(
            event.date,
            f"the {event.name}",
            None,
            least,
            fuel,
            hours=event.minutes / 60,
            sweat_l_per_h=rate,
            sweat_words=sweated,
            meal_times=times,
        )
    return tuple(days[date] for date in sorted(days))


def _held_by(race: Bout) -> tuple[Engaged, ...]:
    """Say when a race is, and when its breakfast is eaten."""
    if race.start is None:
        return ()
    breakfast = int(race.start - 60 * _hours_before(race))
    ends = race.start + race.minutes
    return (Engaged(race.start, ends, breakfast if breakfast >= 0 else None),)


def _between_meals(words: str, mass_kg: float) -> FuelItem:
    """Give what of a loading day's carbohydrate is drunk and nibbled between its meals."""
    low, aim, high = (amount * mass_kg for amount in BETWEEN_MEALS_G_PER_KG)
    return FuelItem(
        when="between",
        session=words,
        carbohydrate_low_g=low,
        carbohydrate_aim_g=aim,
        carbohydrate_high_g=high,
        note="little fibre and fat, so that it fits; it is part of the day's carbohydrate",
        source="common practice of sports dietitians",
        provenance="common practice",
    )


def _race(event: Race, rate: float) -> Bout:
    start = None if event.time is None else minute_of_day(event.time)
    return Bout(event.name, start, event.minutes, "hard", rate, fuelled=True, race=True)
