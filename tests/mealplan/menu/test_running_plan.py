"""A plan that runs on: no past or logged meal ever moves, and undoing restores exactly."""

import datetime as dt
import random

import pytest

from mealplan.menu.running_plan import (
    NOTHING_PLANNED,
    Moved,
    Revision,
    admit,
    after,
    difference,
    settled_by,
    undo,
)
from mealplan.plan import EATEN, Meal, Plan, PlanDay

FIRST = dt.date(2026, 11, 30)
TIMES = ("07:30", "12:30", "18:30")
LABELS = ("Breakfast", "Lunch", "Dinner")
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def a_meal(slot, dish, **changes):
    facts = {
        "slot": slot, "occasion": "midday", "label": LABELS[slot], "time": TIMES[slot],
        "dish": dish, "name": dish, "servings": (), "method": ("Cook.",), "hands_on_min": 10,
        "total_min": 20, "energy_kcal": 700.0, "protein_g": 30.0, "leucine_g": 2.5,
    }  # fmt: skip
    return Meal(**(facts | changes))


def a_day(date, meals):
    return PlanDay(
        date=date, weekday=WEEKDAYS[date.weekday()], meals=tuple(meals), energy_kcal=2100.0,
        energy_target_kcal=2100.0, adequacy=(), objective=0.0, bound=0.0,
        hands_on_min=sum(m.hands_on_min for m in meals if m.leftover_from is None),
    )  # fmt: skip


def a_plan(days):
    return Plan(
        role="club rower", start=days[0].date, seed=1, days=tuple(days), supplements=(), notices=()
    )


def made_week(chance, first, days):
    """A stand-in for the planner: dishes at random, some kept for the next day."""
    made, kept = [], None
    for place in range(days):
        date = first + dt.timedelta(days=place)
        meals = []
        for slot in range(3):
            if slot == 1 and kept is not None:
                meals.append(a_meal(slot, kept, leftover_from=date - dt.timedelta(days=1),
                                    cook_portions=0, hands_on_min=2))  # fmt: skip
                kept = None
            else:
                meals.append(a_meal(slot, f"dish {chance.randrange(10_000)}"))
        if chance.random() < 0.5 and place + 1 < days:
            kept = meals[2].dish
            meals[2] = meals[2].model_copy(update={"cook_portions": 2})
        made.append(a_day(date, meals))
    return a_plan(made)


def changed_day(chance, sheet, date, settled, logged=()):
    """The stand-in changes what is free of one day, and later kept portions that are gone."""
    days = {day.date: day for day in sheet.days}
    old = days[date]
    over = settled(old) - set(logged)
    meals = [
        meal if slot in over else a_meal(slot, f"dish {chance.randrange(10_000)}")
        for slot, meal in enumerate(old.meals)
    ]
    for slot in logged:
        meals[slot] = a_meal(slot, EATEN, method=(), cook_portions=0, name="something else")
    days[date] = a_day(date, meals)
    return sheet.model_copy(update={"days": tuple(days[d] for d in sorted(days))})


def running_plan(revisions):
    running = NOTHING_PLANNED
    for revision in revisions:
        running = after(running, revision)
    return running


class Life:
    """A client's plan over random doings, with what must hold looked at after each."""

    def __init__(self, seed):
        self.chance = random.Random(seed)
        self.now = dt.datetime.combine(FIRST, dt.time(6))
        self.logged = set()
        self.revisions = []
        self.running = NOTHING_PLANNED
        self.eaten = {}

    @property
    def settled(self):
        return settled_by(self.now, self.logged)

    def pass_time(self):
        self.now += dt.timedelta(hours=self.chance.choice((1, 3, 9, 30)))
        self.remember()

    def remember(self):
        for date, held in self.running.days.items():
            for slot in self.settled(held.day):
                self.eaten.setdefault((date, slot), held.day.meals[slot])

    def put(self, revision):
        self.revisions.append(revision)
        self.running = after(self.running, revision)
        self.remember()

    def plan(self):
        first = self.now.date() + dt.timedelta(days=self.chance.randrange(-2, 22))
        made = made_week(self.chance, first, self.chance.choice((1, 3, 7, 7, 14)))
        before = self.running
        admitted = admit(self.running, made, self.settled)
        asked = {day.date for day in made.days}
        self.put(admitted.revision)
        assert set(self.running.dates) == set(before.dates) | asked
        for date in set(before.dates) - asked:
            same = self.running.days[date].day.meals
            assert [m.dish for m in same] == [m.dish for m in before.days[date].day.meals]

    def planned_date(self):
        dates = [date for date in self.running.dates if date >= self.now.date()]
        return self.chance.choice(dates) if dates else None

    def change(self):
        date = self.planned_date()
        if date is None:
            return
        sheet = self.running.plan_of(self.running.sheet_of(date))
        made = changed_day(self.chance, sheet, date, self.settled)
        self.put(admit(self.running, made, self.settled, changes=date).revision)

    def log_else(self):
        date = self.now.date()
        if date not in self.running.days:
            return
        slot = self.chance.randrange(3)
        sheet = self.running.plan_of(self.running.sheet_of(date))
        made = changed_day(self.chance, sheet, date, self.settled, (slot,))
        self.eaten.pop((date, slot), None)
        revision = admit(self.running, made, self.settled, changes=date, logged=(slot,)).revision
        self.logged.add((date, slot))
        self.put(revision)

    def log_as_planned(self):
        date = self.planned_date()
        if date is not None:
            self.logged.add((date, self.chance.randrange(3)))
            self.remember()

    def take_back(self):
        if not self.revisions:
            return
        before = running_plan(self.revisions[:-1])
        try:
            revision = undo(self.running, before, self.settled)
        except Moved:
            return
        last = self.revisions[-1]
        for day in last.plan.days:
            old = before.days.get(day.date)
            for slot, meal in enumerate(day.meals):
                if meal.dish == EATEN and (old is None or old.day.meals[slot].dish != EATEN):
                    self.logged.discard((day.date, slot))
                    self.eaten.pop((day.date, slot), None)
        self.put(revision)
        assert {d: h.day for d, h in self.running.days.items()} == {
            d: h.day for d, h in before.days.items()
        }
        assert self.running.sheets == before.sheets

    def check(self):
        for (date, slot), meal in self.eaten.items():
            assert self.running.days[date].day.meals[slot] == meal
        assert running_plan(self.revisions).days == self.running.days
        assert sorted(d for sheet in self.running.sheets for d in sheet) == list(self.running.dates)
        for date, held in self.running.days.items():
            for slot, meal in enumerate(held.day.meals):
                if meal.leftover_from is None or slot in self.settled(held.day):
                    continue
                source = self.running.days[meal.leftover_from].day
                cooked = [m for m in source.meals if m.dish == meal.dish and m.cook_portions > 1]
                assert cooked, f"{meal.dish} on {date} is kept from a day that cooks no portion"


@pytest.mark.parametrize("block", range(20))
def test_whatever_happens_no_eaten_meal_moves_and_undo_restores_exactly(block):
    for seed in range(block * 250, (block + 1) * 250):
        life = Life(seed)
        doings = (life.plan, life.change, life.log_else, life.log_as_planned, life.take_back,
                  life.pass_time, life.pass_time)  # fmt: skip
        for _ in range(12):
            life.chance.choice(doings)()
            life.check()


def week(first, seed=1):
    return made_week(random.Random(seed), first, 7)


def nothing_settled(day):
    return frozenset()


def test_planning_next_week_leaves_this_week_where_it_is():
    this, following = week(FIRST), week(FIRST + dt.timedelta(days=7), 2)
    running = after(NOTHING_PLANNED, admit(NOTHING_PLANNED, this, nothing_settled).revision)
    running = after(running, admit(running, following, nothing_settled).revision)
    assert running.plan_of(running.sheet_of(FIRST)).days == this.days
    assert running.sheets == (
        tuple(day.date for day in this.days),
        tuple(day.date for day in following.days),
    )
    assert running.near(FIRST - dt.timedelta(days=9))[0] == FIRST
    assert running.near(FIRST + dt.timedelta(days=99))[-1] == following.days[-1].date


def test_a_day_that_has_begun_stays_when_its_week_is_planned_anew():
    this = week(FIRST)
    running = after(NOTHING_PLANNED, admit(NOTHING_PLANNED, this, nothing_settled).revision)
    noon = settled_by(dt.datetime.combine(FIRST, dt.time(12)), ())
    admitted = admit(running, week(FIRST, 9), noon)
    assert admitted.stayed == (FIRST,)
    assert FIRST not in {
        day.date for day in admitted.revision.plan.days if day.meals[0] != this.days[0].meals[0]
    }


def test_a_change_that_would_move_a_past_meal_is_refused():
    this = week(FIRST)
    running = after(NOTHING_PLANNED, admit(NOTHING_PLANNED, this, nothing_settled).revision)
    noon = settled_by(dt.datetime.combine(FIRST, dt.time(12)), ())
    other = changed_day(random.Random(3), this, FIRST, nothing_settled)
    with pytest.raises(Moved, match="breakfast on Monday 30 November"):
        admit(running, other, noon, changes=FIRST)


def test_plans_kept_as_wholes_become_dated_days_the_later_made_one_counting():
    old = week(FIRST)
    moved = week(FIRST + dt.timedelta(days=3), 5)
    running = running_plan([Revision(1, old), Revision(2, moved)])
    assert running.days[FIRST].day == old.days[0]
    assert running.days[FIRST + dt.timedelta(days=3)].day == moved.days[0]
    assert [sheet[0] for sheet in running.sheets] == [FIRST, FIRST + dt.timedelta(days=3)]


def test_a_change_is_said_in_a_sentence():
    old = a_day(FIRST, [a_meal(0, "oats"), a_meal(1, "soup"), a_meal(2, "dal")])
    new = a_day(FIRST, [a_meal(0, "oats"), a_meal(1, "salad"), a_meal(2, "dal")])
    assert difference({FIRST: old}, {FIRST: new}) == (
        "lunch on Monday 30 November: salad instead of soup."
    )
    assert difference({FIRST: old}, {}) == "Monday 30 November is planned no longer."
    assert difference({FIRST: old}, {FIRST: old}) == ""


def test_a_day_touched_by_a_change_elsewhere_keeps_what_was_said_of_it():
    this = week(FIRST).model_copy(update={"explanation": ("Iron falls short on Mon.",)})
    meals = list(this.days[0].meals)
    meals[2] = meals[2].model_copy(update={"cook_portions": 2})
    kept = a_meal(1, meals[2].dish, leftover_from=FIRST, cook_portions=0)
    second = this.days[1].model_copy(
        update={"meals": (this.days[1].meals[0], kept, this.days[1].meals[2])}
    )
    days = (this.days[0].model_copy(update={"meals": tuple(meals)}), second, *this.days[2:])
    this = this.model_copy(update={"days": days})
    running = after(NOTHING_PLANNED, admit(NOTHING_PLANNED, this, nothing_settled).revision)
    anew = week(FIRST + dt.timedelta(days=1), 9)
    running = after(running, admit(running, anew, nothing_settled).revision)
    assert running.days[FIRST].day.meals[2].cook_portions == 1
    assert "Iron falls short on Mon." in running.plan_of(running.sheet_of(FIRST)).explanation
