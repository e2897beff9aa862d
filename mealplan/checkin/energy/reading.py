"""
A log read day by day by the filter, and what it says of mass and expenditure.

A reading can be taken further: days that are as they were are not read again, so that one more
entry costs a day and not three years.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from mealplan.checkin.energy import states as at
from mealplan.checkin.energy.bank import (
    Belief,
    initialise,
    predict,
    transition_of,
    update,
)
from mealplan.checkin.energy.bank_jumps import collapse, jump
from mealplan.checkin.energy.habits import Habits
from mealplan.checkin.energy.log_reading import (
    LogReading,
    Morning,
    Place,
    Scanned,
    night_of,
    row_of,
)
from mealplan.checkin.energy.setup import Setup
from mealplan.checkin.log.days import Day
from mealplan.physiology.weight_change.stored_energy import FAT_KCAL_PER_KG, LEAN_KCAL_PER_KG

MEMORY_DAYS = 370
"""How far back a reading can be looked at day by day. [days]"""
KEPT_DAYS = 35
"""How far back an entry may be corrected without reading the whole log again. [days]"""
LEAST_SCANNED_KG = 1.0
"""Two scans say what a change was made of when mass changed by this much. [kg]"""

JUMP_SLOTS = range(1, 1 + at.JUMP_SLOTS)
LEVEL_SLOTS = range(1 + at.JUMP_SLOTS, 1 + at.JUMP_SLOTS + at.LEVEL_SLOTS)


def _jumps(belief: Belief, day: Day, characters: at.Characters) -> Belief:
    """Allow for what may have jumped by this morning."""
    number = belief.day
    if day.training_change_kcal is not None:
        spread = ((at.JUMP, at.JUMP_SD_KCAL),)
        belief = jump(belief, JUMP_SLOTS, at.TOLD_JUMP_CHANCE, spread)
    elif number % at.JUMP_EVERY_DAYS == at.JUMP_EVERY_DAYS // 2:
        spread = ((at.JUMP, at.JUMP_SD_KCAL),)
        belief = jump(belief, JUMP_SLOTS, characters.jump_chance, spread)
    if number % at.LEVEL_EVERY_DAYS == 1:
        half = ((at.MASS, at.LEVEL_SD_KG), (at.SLOW, at.LEVEL_SD_KG))
        belief = jump(belief, LEVEL_SLOTS, at.LEVEL_CHANCE, half)
    return belief


def _scan(setup: Setup, place: Place, day: Day) -> tuple[Belief, Scanned | None]:
    """Learn from two scans what a change was made of."""
    scan = day.scan
    if scan is None:
        return place.belief, place.scanned
    mean, covariance = collapse(place.belief)
    now = Scanned(
        scan.fat_kg,
        scan.lean_kg,
        scan.rms_sd_fat_kg,
        float(mean[at.MASS]),
        math.sqrt(covariance[at.MASS, at.MASS]),
    )
    then = place.scanned
    if then is None:
        return place.belief, now
    change = now.mass_kg - then.mass_kg
    if abs(change) < LEAST_SCANNED_KG:
        return place.belief, then
    direction = setup.direction if day.direction is None else day.direction
    usual = setup.body.density_kcal_per_kg(direction)
    share = (now.fat_kg - then.fat_kg) / change
    off = math.hypot(now.error_kg, then.error_kg, share * now.mass_sd_kg, share * then.mass_sd_kg)
    span = FAT_KCAL_PER_KG - LEAN_KCAL_PER_KG
    # A measured density reads as the relative error of mass per kilocalorie.
    error = 1.0 - (LEAN_KCAL_PER_KG + span * share) / usual
    spread = span * off / abs(change) / usual
    row = np.zeros(len(setup.active))
    row[at.STORE] = 1.0
    belief, _ = update(place.belief, row, error, spread**2)
    return belief, then


def _reading_variance(day: Day) -> float:
    return at.READING_SD_KG**2 + (at.OTHER_SCALE_SD_KG**2 if day.other_scale else 0.0)


@dataclass(frozen=True)
class _Step:
    after: Belief
    habits: Habits
    next: Place
    morning: Morning


def _live(setup: Setup, characters: at.Characters, place: Place, day: Day) -> _Step:
    """Take one morning's reading, then go through its day and night."""
    belief = _jumps(place.belief, day, characters)
    before, before_covariance = collapse(belief)
    taken = None
    if day.mass_kg is not None:
        row = row_of(setup, day, place.habits, belief.day)
        belief, taken = update(belief, row, day.mass_kg, _reading_variance(day))
    belief, scanned = _scan(setup, Place(belief, place.habits, place.scanned), day)
    mean, covariance = collapse(belief)
    habits = place.habits.during(day)
    night = night_of(setup, day, habits)
    following = predict(belief, night, characters)
    transition = transition_of(mean, night)
    spent = float(mean @ night.spending) + night.answered_kcal
    sd = math.sqrt(float(night.spending @ covariance @ night.spending))
    morning = Morning(
        day, mean, covariance, before, before_covariance, transition, taken, spent, sd
    )
    later = habits.after(night.intake_kcal, setup.expenditure_kcal)
    return _Step(belief, habits, Place(following, later, scanned), morning)


def read(rows: tuple[Day, ...], setup: Setup, earlier: LogReading | None = None) -> LogReading:
    """
    Read days through the filter.

    Parameters
    ----------
    rows : tuple of Day
        One a day, the last being today.
    setup : Setup
    earlier : LogReading, optional
        Days that are as they were when it was made are not read again.

    Returns
    -------
    LogReading
        The same whether ``earlier`` is given or not.
    """
    mean, sd = setup.prior()
    slots = at.JUMP_SLOTS + at.LEVEL_SLOTS
    first = Place(initialise(mean, sd, at.characters_of(setup.mass_kg), slots), Habits())
    start, place = 0, first
    mornings: tuple[Morning, ...] = ()
    if earlier is not None and earlier.setup == setup:
        start, place, mornings = _resume(earlier, rows, first)
    kept = {number: known for number, known in _kept(earlier) if number < start}
    lived = list(mornings)
    characters = at.characters_of(setup.mass_kg)
    for number in range(start, len(rows)):
        if _worth_keeping(number, len(rows)):
            kept[number] = place
        step = _live(setup, characters, place, rows[number])
        lived.append(step.morning)
        told_today = rows[number].training_change_kcal is not None
        habits = step.habits if told_today else place.habits
        place, belief = step.next, step.after
    return LogReading(
        setup=setup,
        rows=rows,
        mornings=tuple(lived[-MEMORY_DAYS:]),
        belief=belief,
        habits=habits,
        kept=tuple((n, known) for n, known in kept.items() if _worth_keeping(n, len(rows))),
    )


def _worth_keeping(number: int, days: int) -> bool:
    """Keep the last two mornings, and one a week for some weeks, to read on from."""
    return number >= days - 2 or (number % 7 == 0 and number >= days - KEPT_DAYS)


def _kept(earlier: LogReading | None) -> tuple[tuple[int, Place], ...]:
    return () if earlier is None else earlier.kept


def _resume(
    earlier: LogReading, rows: tuple[Day, ...], first: Place
) -> tuple[int, Place, tuple[Morning, ...]]:
    """Find the last kept morning up to which the days are as they were."""
    same = 0
    while same < min(len(rows), len(earlier.rows)) and rows[same] == earlier.rows[same]:
        same += 1
    gone = len(earlier.rows) - len(earlier.mornings)
    known = [(number, place) for number, place in earlier.kept if gone <= number <= same]
    # A day that is the last to be read must be read again.
    known = [one for one in known if one[0] < len(rows)]
    if not known:
        return 0, first, ()
    number, place = max(known, key=lambda one: one[0])
    return number, place, earlier.mornings[: number - gone]
