"""
A plan that runs on: dated days, changed by revisions, never replaced as a whole.

What is kept is a list of :class:`Revision`; the plan as it stands is their fold. A day belongs to
the sheet it was planned with, usually a week, and moves to another only when it is planned anew.
Nothing here reads a clock: what has passed or was logged comes in as ``settled`` meals, and those
never move. Plans kept before plans ran on are revisions like any other: where two hold a day, the
later-made one counts.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from mealplan.plan import EATEN, Meal, Plan, PlanDay

Settled = Callable[[PlanDay], frozenset[int]]
"""Gives the meals of a day that have passed or were logged, by their place in it."""


@dataclass(frozen=True)
class Revision:
    """One change of the plan."""

    number: int
    """Counted from 1, without gaps where none was let go."""
    plan: Plan
    """The days that changed, with what was said about their sheet as a whole."""
    removed: tuple[dt.date, ...] = ()
    """Days that are planned no longer."""
    sheets: Mapping[dt.date, int] = field(default_factory=dict)
    """Number of the sheet of each changed day; the revision's own where left out."""
    undoes: int = 0
    """Number of the revision it takes back; 0 for a change of its own."""
    intake: int = 0
    """Number of the intake it was made from; 0 where that is not known."""


@dataclass(frozen=True)
class Dated:
    """A day of the plan as it stands."""

    day: PlanDay
    revision: int
    """Number of the revision that made it as it is."""
    sheet: int
    """Number of the revision that first planned it, with the days beside it."""


@dataclass(frozen=True)
class RunningPlan:
    """The plan as it stands after some revision."""

    number: int
    """Of the last revision; 0 before the first."""
    days: Mapping[dt.date, Dated]
    revisions: Mapping[int, Revision]

    @cached_property
    def dates(self) -> tuple[dt.date, ...]:
        """Every planned date, in order."""
        return tuple(sorted(self.days))

    @cached_property
    def sheets(self) -> tuple[tuple[dt.date, ...], ...]:
        """Dates that are planned, cooked and shopped for together, in order."""
        runs: list[list[dt.date]] = []
        for date in self.dates:
            last = runs[-1][-1] if runs else None
            if (
                last is not None
                and (date - last).days == 1
                and self.days[last].sheet == self.days[date].sheet
            ):
                runs[-1].append(date)
            else:
                runs.append([date])
        return tuple(tuple(run) for run in runs)

    def sheet_of(self, date: dt.date) -> tuple[dt.date, ...]:
        """
        Give the dates planned together with one, empty when it is not planned.

        Parameters
        ----------
        date : date

        Returns
        -------
        tuple of date
        """
        return next((sheet for sheet in self.sheets if date in sheet), ())

    def near(self, date: dt.date) -> tuple[dt.date, ...]:
        """
        Give the sheet of a date, else the next one after it, else the last before it.

        Parameters
        ----------
        date : date

        Returns
        -------
        tuple of date
            Empty when nothing is planned at all.
        """
        found = self.sheet_of(date)
        if found or not self.sheets:
            return found
        return next((sheet for sheet in self.sheets if sheet[0] > date), self.sheets[-1])

    def last_of(self, dates: Sequence[dt.date]) -> Revision:
        """
        Give the latest revision that made one of some days as it is.

        Parameters
        ----------
        dates : sequence of date
            Planned ones, at least one.

        Returns
        -------
        Revision
        """
        return self.revisions[max(self.days[date].revision for date in dates)]

    def plan_of(self, dates: Sequence[dt.date]) -> Plan:
        """
        Put a sheet together.

        Parameters
        ----------
        dates : sequence of date
            Planned ones, at least one.

        Returns
        -------
        Plan
            The days as they stand, with what the latest of their revisions says of all of them.
        """
        last = self.last_of(dates).plan
        made = {self.days[date].revision for date in dates}
        parts = [self.revisions[number].plan for number in sorted(made)]
        foods = {food.key: food for part in parts for food in part.own_foods}
        dishes = {dish.key: dish for part in parts for dish in part.own_dishes}
        return last.model_copy(
            update={
                "start": dates[0],
                "days": tuple(self.days[date].day for date in dates),
                "own_foods": tuple(foods.values()),
                "own_dishes": tuple(dishes.values()),
            }
        )


NOTHING_PLANNED = RunningPlan(0, {}, {})


def after(running: RunningPlan, revision: Revision) -> RunningPlan:
    """
    Let one revision follow.

    Parameters
    ----------
    running : RunningPlan
    revision : Revision

    Returns
    -------
    RunningPlan
    """
    days = {date: held for date, held in running.days.items() if date not in revision.removed}
    for day in revision.plan.days:
        sheet = revision.sheets.get(day.date, revision.number)
        days[day.date] = Dated(day, revision.number, sheet)
    return RunningPlan(revision.number, days, {**running.revisions, revision.number: revision})


@dataclass(frozen=True)
class Admitted:
    """What of a made plan enters the running one."""

    revision: Revision
    stayed: tuple[dt.date, ...] = ()
    """Days that were asked for and stay as they are, since they have begun or passed."""
    mended: tuple[dt.date, ...] = ()
    """Days on which a kept portion has to be cooked anew."""


class Moved(ValueError):  # noqa: N818  (reads as what happened)
    """A change would move a meal that has passed or was logged."""

    def __init__(self, date: dt.date, meal: Meal) -> None:
        super().__init__(f"{meal.label.lower()} on {date:%A %d %B} has passed or was logged")
        self.date = date
        self.meal = meal


def admit(
    running: RunningPlan,
    made: Plan,
    settled: Settled,
    *,
    changes: dt.date | None = None,
    logged: Collection[int] = (),
) -> Admitted:
    """
    Work out what a made plan changes, leaving what was eaten where it is.

    Parameters
    ----------
    running : RunningPlan
    made : Plan
        Days planned anew, or a sheet that stands with one day of it changed.
    settled : callable
    changes : date, optional
        The changed day; left out, all days are planned anew, and those stay as they are of which
        any meal is settled.
    logged : collection of int
        Meals of the changed day whose place the logged food takes.

    Returns
    -------
    Admitted
        Its revision may hold no day at all, when every day asked for has begun.

    Raises
    ------
    Moved
        When a change would move a settled meal.
    """
    before = {date: held.day for date, held in running.days.items()}
    changed: dict[dt.date, PlanDay] = {}
    stayed: list[dt.date] = []
    for day in made.days:
        old = before.get(day.date)
        over = settled(old) if old is not None else frozenset()
        if old is None or (changes is None and not over):
            changed[day.date] = day
        elif changes is None:
            stayed.append(day.date)
        else:
            free = frozenset(logged) if day.date == changes else frozenset()
            changed[day.date] = _with_settled(old, day, over - free)
    asked = set(changed) if changes is None else set()
    whole, mended = _mend(before, changed, settled)
    days = {date: day for date, day in whole.items() if date in asked or day != before.get(date)}
    sheets = {
        date: running.days[date].sheet
        for date in days
        if date not in asked and date in running.days
    }
    covered = {day.date for day in made.days}
    beside = {running.sheet_of(date): None for date in sorted(days) if date not in covered}
    said = [text for sheet in beside if sheet for text in running.plan_of(sheet).explanation]
    plan = made.model_copy(
        update={
            "days": tuple(days[date] for date in sorted(days)),
            "explanation": tuple(dict.fromkeys([*made.explanation, *said])),
        }
    )
    return Admitted(Revision(running.number + 1, plan, sheets=sheets), tuple(stayed), tuple(mended))


def _with_settled(before: PlanDay, made: PlanDay, over: frozenset[int]) -> PlanDay:
    """Take settled meals as they were; what was cooked of them was cooked."""
    meals = list(made.meals)
    for slot in sorted(over):
        old = before.meals[slot]
        new = meals[slot] if slot < len(meals) else None
        if new is None or (new.dish, _grams(new)) != (old.dish, _grams(old)):
            raise Moved(before.date, old)
        meals[slot] = old
    if not over:
        return made
    same = tuple(meals) == before.meals
    return before if same else made.model_copy(update={"meals": tuple(meals)})


def _grams(meal: Meal) -> tuple[tuple[str, float], ...]:
    return tuple((serving.food, round(serving.grams, 3)) for serving in meal.servings)


_Place = tuple[dt.date | None, str]


def _mend(
    before: Mapping[dt.date, PlanDay], changed: Mapping[dt.date, PlanDay], settled: Settled
) -> tuple[dict[dt.date, PlanDay], list[dt.date]]:
    """Cook anew what would have been kept from a meal that is gone; count portions again."""
    whole = {**before, **changed}
    over = {date: settled(day) for date, day in whole.items()}
    mended: list[dt.date] = []
    used: dict[_Place, int] = {}
    for date in sorted(whole):
        day = whole[date]
        meals = list(day.meals)
        for slot, meal in enumerate(day.meals):
            if meal.leftover_from is None:
                continue
            place = (meal.leftover_from, meal.dish)
            if meal.from_freezer and _cook(whole, place) is None:
                continue
            known = date in changed or _cook(before, place) is not None
            if slot in over[date] or not known or _left(whole, over, place, used.get(place, 0)):
                used[place] = used.get(place, 0) + 1
            else:
                meals[slot] = meal.model_copy(update={"leftover_from": None, "cook_portions": 1})
        if tuple(meals) != day.meals:
            fresh = [new for new, old in zip(meals, day.meals, strict=True) if new != old]
            minutes = day.hands_on_min + sum(meal.hands_on_min for meal in fresh)
            whole[date] = day.model_copy(update={"meals": tuple(meals), "hands_on_min": minutes})
            mended.append(date)
    _count_portions(before, whole, set(changed) | set(mended), over)
    return whole, mended


def _cook(days: Mapping[dt.date, PlanDay], place: _Place) -> tuple[int, Meal] | None:
    """Find the meal at which a dish is cooked on a day, with its place in the day."""
    date, dish = place
    day = days.get(date) if date is not None else None
    for slot, meal in enumerate(day.meals if day is not None else ()):
        if meal.dish == dish and meal.leftover_from is None and meal.cook_portions:
            return slot, meal
    return None


def _left(
    days: Mapping[dt.date, PlanDay],
    over: Mapping[dt.date, frozenset[int]],
    place: _Place,
    taken: int,
) -> bool:
    """Say whether a kept portion is there to be had: cooked already, or still to be cooked."""
    found = _cook(days, place)
    if found is None or place[0] is None:
        return False
    slot, meal = found
    return slot not in over[place[0]] or taken < meal.cook_portions - 1


def _takers(days: Mapping[dt.date, PlanDay]) -> dict[_Place, int]:
    count: dict[_Place, int] = {}
    for day in days.values():
        for meal in day.meals:
            if meal.leftover_from is not None and not meal.from_freezer:
                place = (meal.leftover_from, meal.dish)
                count[place] = count.get(place, 0) + 1
    return count


def _count_portions(
    before: Mapping[dt.date, PlanDay],
    whole: dict[dt.date, PlanDay],
    touched: Collection[dt.date],
    over: Mapping[dt.date, frozenset[int]],
) -> None:
    """Bring the number of portions to cook in line with what later meals keep."""
    then, now = _takers(before), _takers(whole)
    for date, day in list(whole.items()):
        meals = []
        for slot, meal in enumerate(day.meals):
            place = (date, meal.dish)
            moved = date in touched or then.get(place, 0) != now.get(place, 0)
            fresh = meal.leftover_from is None and meal.dish != EATEN
            if moved and fresh and slot not in over[date]:
                meal = meal.model_copy(
                    update={"cook_portions": 1 + now.get(place, 0) + meal.freeze_portions}
                )
            meals.append(meal)
        if tuple(meals) != day.meals:
            whole[date] = day.model_copy(update={"meals": tuple(meals)})


def undo(running: RunningPlan, earlier: RunningPlan, settled: Settled) -> Revision:
    """
    Take the last change back.

    Parameters
    ----------
    running : RunningPlan
        The plan as it stands.
    earlier : RunningPlan
        The plan before its last revision.
    settled : callable

    Returns
    -------
    Revision
        After it, every day is exactly as it was before the last one.

    Raises
    ------
    Moved
        When a meal that the change touched has passed or was logged since. What the change itself
        logged is taken back with it.
    """
    last = running.revisions[running.number]
    touched = {day.date for day in last.plan.days} | set(last.removed)
    back: dict[dt.date, Dated] = {}
    removed: list[dt.date] = []
    for date in sorted(touched):
        held, old = running.days.get(date), earlier.days.get(date)
        for slot in sorted(settled(held.day)) if held is not None else ():
            meal = held.day.meals[slot] if held is not None else None
            was = old.day.meals[slot] if old is not None and slot < len(old.day.meals) else None
            taken_back = meal is not None and meal.dish == EATEN != (was.dish if was else EATEN)
            if meal is not None and meal != was and not taken_back:
                raise Moved(date, meal)
        if old is not None:
            back[date] = old
        elif held is not None:
            removed.append(date)
    plan = last.plan.model_copy(update={"days": ()})
    if back:
        plan = earlier.plan_of(earlier.sheet_of(min(back)))
        plan = plan.model_copy(update={"days": tuple(held.day for held in back.values())})
    return Revision(
        number=running.number + 1,
        plan=plan,
        removed=tuple(removed),
        sheets={date: held.sheet for date, held in back.items()},
        undoes=last.number,
    )


def settled_by(now: dt.datetime, logged: Collection[tuple[dt.date, int]]) -> Settled:
    """
    Say which meals never move: those whose hour has passed, and those that were logged.

    Parameters
    ----------
    now : datetime
        Where the client is.
    logged : collection of (date, int)
        Day and place of each meal of which was said what was eaten.

    Returns
    -------
    callable
    """
    date, clock = now.date(), f"{now:%H:%M}"

    def settled(day: PlanDay) -> frozenset[int]:
        return frozenset(
            slot
            for slot, meal in enumerate(day.meals)
            if day.date < date
            or (day.date == date and meal.time <= clock)
            or (meal.dish == EATEN and not meal.eaten_out)
            or (day.date, slot) in logged
        )

    return settled


def difference(before: Mapping[dt.date, PlanDay], after_: Mapping[dt.date, PlanDay]) -> str:
    """
    Say in a sentence what changed between two plans.

    Parameters
    ----------
    before, after_ : mapping of date to PlanDay
        The days that were touched, before and after.

    Returns
    -------
    str
        Such as ``Lunch on Tuesday 1 December: dal instead of soup.``; empty without a difference.
    """
    said = []
    for date in sorted({*before, *after_}):
        old, new = before.get(date), after_.get(date)
        named = f"{date:%A} {date.day} {date:%B}"
        if old is None:
            said.append(f"{named} is planned")
        elif new is None:
            said.append(f"{named} is planned no longer")
        else:
            said += _changes(old, new, named)
    return "; ".join(said) + "." if said else ""


def _changes(old: PlanDay, new: PlanDay, named: str) -> list[str]:
    said = [
        f"{meal.label.lower()} on {named}: {meal.name} instead of {was.name}"
        for was, meal in zip(old.meals, new.meals, strict=False)
        if was.name != meal.name
    ]
    if not said and old != new:
        said = [f"amounts on {named} were set again"]
    return said
