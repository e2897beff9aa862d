"""
Several at one table: shared dishes chosen with everyone's rows in mind, then each one's days.

A shared dish is the one whose prices in the eaters' days, blended, add up to least. The eater with
least energy fills the first plate; the others' plates follow its proportions, each by as much as it
needs, and everything else of their days is theirs.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from foods.dishes.load import dishes_by_key
from mealplan.client.intake import Intake
from mealplan.errors import IntakeError, NoPlanError
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.preferences import read_exclusions
from mealplan.lp.column_bound import relax
from mealplan.menu.day import day_model
from mealplan.menu.finish import finish
from mealplan.menu.larder import choose_shelf
from mealplan.menu.ledger import floors_for
from mealplan.menu.seats import Ladled, SeatContext, beside, in_kitchen_of
from mealplan.menu.served import Served, Solved
from mealplan.menu.table_check import check_table
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import LARDER_DAYS, plan_next, refuse_unsafe, same_breakfast
from mealplan.plan import Plan
from mealplan.table.model import MOST_EATERS, Guest, SharedMeal, TableDecided, is_shared
from mealplan.targets.ranges import DayTargets, Targets

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class AtTable:
    """Someone with targets who sits down with others."""

    intake: Intake
    targets: Targets


@dataclass(frozen=True)
class TablePlanned:
    """What a table eats: a plan for each eater, and the meals they share."""

    decided: TableDecided
    plans: tuple[Plan, ...]
    intakes: tuple[Intake, ...]
    """As they were planned: in the first one's kitchen."""


@dataclass
class _Eater:
    """An eater while days are planned."""

    seat: SeatContext
    days: tuple[DayTargets, ...]
    history: dict[int, tuple[Served, ...]] = field(default_factory=dict)
    solved: dict[int, Solved] = field(default_factory=dict)

    def slot_at(self, occasion: str) -> int:
        """Give the index of the meal of an occasion that comes once a day."""
        return next(slot.index for slot in self.seat.slots if slot.occasion == occasion)

    def meal_kcal(self, day: int, slot: int) -> float:
        """Give the energy a meal of a day usually carries, in kcal."""
        asked = self.days[day]
        return self.seat.slots_on(asked)[slot].energy_share * asked.meal_kcal


def plan_table(
    eaters: Sequence[AtTable],
    shared: Sequence[str],
    *,
    guests: Sequence[Guest] = (),
    days: int = 7,
    first: dt.date | None = None,
    progress: Progress | None = None,
) -> TablePlanned:
    """
    Plan days of several who share some of their meals.

    Parameters
    ----------
    eaters : sequence of AtTable
        Two at least; the first one's kitchen cooks.
    shared : sequence of str
        Meals by days and occasion, from :func:`mealplan.table.model.read_shared`.
    guests : sequence of Guest
        Who eats along without targets.
    days : int
        How many, 1 to 28. [days]
    first : date, optional
        First day; the first eater's start when left out.
    progress : callable, optional
        Called with (days done, days in all).

    Returns
    -------
    TablePlanned

    Raises
    ------
    IntakeError
        When two eaters have one role, there are too few or too many, or a guest's words mean
        nothing.
    SafetyRefusal
        When a guard rail forbids planning for one of them.
    NoPlanError
        When no dish is left for a meal.
    """
    _check(eaters, guests, days)
    for eater in eaters:
        refuse_unsafe(eater.targets)
    start = first or eaters[0].intake.start
    dates = [start + dt.timedelta(days=offset) for offset in range(days)]
    table = _seated(eaters, tuple(shared), guests, dates)
    meals: list[SharedMeal] = []
    for day, date in enumerate(dates):
        meals += _plan_day(table, day, date)
        if progress is not None:
            progress(day + 1, days)
    plans = tuple(_finished(eater, dates) for eater in table)
    decided = TableDecided(
        shared=tuple(shared),
        eaters=tuple(eater.intake.role for eater in eaters),
        guests=tuple(guests),
        meals=tuple(_timed(meal, plans) for meal in meals),
    )
    return TablePlanned(decided, plans, tuple(eater.seat.intake for eater in table))


def _check(eaters: Sequence[AtTable], guests: Sequence[Guest], days: int) -> None:
    if not 2 <= len(eaters) + len(guests) <= MOST_EATERS or not eaters:
        raise IntakeError(
            f"a table seats two to {MOST_EATERS}, guests counted, not {len(eaters) + len(guests)}"
        )
    roles = [*(eater.intake.role for eater in eaters), *(guest.label for guest in guests)]
    twice = sorted({role for role in roles if roles.count(role) > 1})
    if twice:
        raise IntakeError(
            f"two at the table are called {twice[0]!r}; plates are named by role, so give each "
            "their own"
        )
    if not 1 <= days <= 28:
        raise NoPlanError(f"days={days} is outside 1 to 28; plan four weeks at most at a time")


def _seated(
    eaters: Sequence[AtTable],
    shared: tuple[str, ...],
    guests: Sequence[Guest],
    dates: Sequence[dt.date],
) -> list[_Eater]:
    """Sit everyone down in one kitchen, with what no pot may hold and one larder."""
    host = eaters[0].intake
    total = sum(eater.targets.energy.value for eater in eaters)
    plates = len(eaters) + len(guests)
    seats = [
        replace(
            SeatContext.make(
                in_kitchen_of(eater.intake, host, eater.targets.energy.value / total),
                eater.targets,
            ),
            shared=shared,
            plates=plates,
        )
        for eater in eaters
    ]
    never = frozenset[str]().union(
        *(seat.exclusions.foods for seat in seats), *(_not_for(guest, host) for guest in guests)
    )
    table = [
        _Eater(
            replace(seat, never_in_pot=never),
            tuple(seat.targets.on_date(date) for date in dates),
        )
        for seat in seats
    ]
    if len(dates) >= LARDER_DAYS:
        # What the one with fewest foods can cook from serves the others too.
        narrow = min(table, key=lambda eater: len(eater.seat.allowed))
        shelf = choose_shelf(narrow.seat, narrow.days, {})
        for eater in table:
            eater.seat = _on_shelf(eater.seat, shelf.names)
    return table


def _on_shelf(seat: SeatContext, names: frozenset[str]) -> SeatContext:
    narrow = seat.with_shelf(names)
    assert isinstance(narrow, SeatContext)
    return narrow


def _not_for(guest: Guest, host: Intake) -> frozenset[str]:
    """Name what a guest cannot have; the guest's words are read as a client's allergies are."""
    tastes = host.tastes.model_copy(
        update={
            "allergies": guest.allergies,
            "never": (),
            "likes": (),
            "dislikes": (),
            "favourites": (),
        }
    )
    asked = host.model_copy(update={"tastes": tastes, "health": ()})
    try:
        return read_exclusions(asked, catalogue_of(host), dishes_of(host)).foods
    except IntakeError as error:
        raise IntakeError(f"guest {guest.label!r}: {error}") from None


def _plan_day(table: Sequence[_Eater], day: int, date: dt.date) -> list[SharedMeal]:
    """Choose what is shared on a day, then plan each eater's day about it."""
    weekday = table[0].days[day].weekday
    occasions = [
        occasion
        for occasion in ("breakfast", "midday", "evening")
        if is_shared(table[0].seat.shared, weekday, occasion)
    ]
    chosen = _choose(table, day, occasions)
    order = sorted(table, key=lambda eater: eater.days[day].meal_kcal)
    first = order[0]
    ladled: dict[str, Ladled] = {}
    for eater in order:
        keep = {eater.slot_at(occasion): dish for occasion, dish in chosen.items()}
        follows = {eater.slot_at(occasion): plate for occasion, plate in ladled.items()}
        seat, solved = plan_next(
            eater.seat.following(follows), eater.days, day, eater.history, {}, keep
        )
        assert isinstance(seat, SeatContext)
        eater.seat = seat.following({})
        eater.solved[day] = solved
        eater.history[day] = solved.served
        if eater is first:
            ladled = _ladled(first, day, chosen)
    for eater in table:
        # What one had to buy more is there for all.
        shelf = eater.seat.shelf
        if shelf is not None:
            names = shelf.union(*(other.seat.shelf or () for other in table))
            eater.seat = _on_shelf(eater.seat, names) if names != shelf else eater.seat
    return [_said(table, day, date, occasion, chosen.get(occasion)) for occasion in occasions]


def _ladled(first: _Eater, day: int, chosen: Mapping[str, str]) -> dict[str, Ladled]:
    """Say what the first plate of each pot holds; kept portions follow their own first plates."""
    found = {}
    for occasion, dish in chosen.items():
        slot = first.slot_at(occasion)
        served = first.history[day][slot]
        if served.kept_from is None:
            found[occasion] = Ladled(
                dish,
                served.grams,
                beside(first.seat.by_key[dish], first.seat.space),
                first.meal_kcal(day, slot),
            )
    return found


def _choose(table: Sequence[_Eater], day: int, occasions: Sequence[str]) -> dict[str, str]:
    """Choose one dish for each shared meal: the least sum of what it costs the eaters' days."""
    if not occasions:
        return {}
    values: dict[str, list[dict[tuple[str, int | None], float]]] = {name: [] for name in occasions}
    for eater in table:
        model, origins = day_model(
            eater.seat,
            day,
            eater.days[day],
            eater.history,
            keep=same_breakfast(eater.seat, eater.days, day, eater.history),
            floors=floors_for(eater.seat.space, day, eater.days, eater.history),
        )
        reduced = relax(model).reduced_cost
        for occasion in occasions:
            slot = eater.slot_at(occasion)
            values[occasion].append(
                {
                    (choice.dish, origin): float(price)
                    for choice, origin, price in zip(
                        model.offers[slot], origins[slot], reduced[slot], strict=True
                    )
                    if eater.seat.in_one_pot(choice.dish)
                }
            )
    chosen: dict[str, str] = {}
    for occasion in occasions:
        prices = values[occasion]
        common = set(prices[0]).intersection(*prices[1:])
        ranked = sorted(
            (sum(one[key] for one in prices), key[0])
            for key in common
            if key[0] not in chosen.values()
        )
        if ranked:
            chosen[occasion] = ranked[0][1]
    return chosen


def _said(
    table: Sequence[_Eater], day: int, date: dt.date, occasion: str, dish: str | None
) -> SharedMeal:
    """Say what became of a meal that was to be shared."""
    served = [eater.history[day][eater.slot_at(occasion)] for eater in table]
    if dish is None or len({(one.dish, one.kept_from) for one in served}) > 1:
        return SharedMeal(
            date=date,
            occasion=occasion,
            said="No dish on offer serves everyone at this meal, with what each must not have; "
            "each eats their own.",
        )
    seat = table[0].seat
    found = seat.by_key[served[0].dish]
    apart = beside(found, seat.space)
    return SharedMeal(
        date=date,
        occasion=occasion,
        dish=found.key,
        name=found.name,
        apart=tuple(
            line.called
            for line in found.lines
            if line.food in apart and any(one.grams.get(line.food) for one in served)
        ),
    )


def _timed(meal: SharedMeal, plans: Sequence[Plan]) -> SharedMeal:
    """Sit everyone down at the latest of their times."""
    times = [
        one.time
        for plan in plans
        for day in plan.days
        if day.date == meal.date
        for one in day.meals
        if one.occasion == meal.occasion
    ]
    return meal.model_copy(update={"serve": max(times) if meal.dish else ""})


def _finished(eater: _Eater, dates: Sequence[dt.date]) -> Plan:
    intake, targets = eater.seat.intake, eater.seat.targets
    around = Plan(
        role=intake.role,
        start=dates[0],
        seed=intake.seed,
        days=(),
        supplements=targets.supplements,
        notices=targets.notices,
    )
    return finish(eater.seat, around, dates, eater.history, eater.solved, freeze={})


def faults_of(planned: TablePlanned, eaters: Sequence[AtTable]) -> tuple[str, ...]:
    """
    Check each eater's days and what they share again, without the planner.

    Parameters
    ----------
    planned : TablePlanned
    eaters : sequence of AtTable
        As they were planned for, in the same order.

    Returns
    -------
    tuple of str
        Each with role or day; empty when every promise holds.
    """
    found: list[str] = []
    never: set[str] = set()
    for plan, intake, eater in zip(planned.plans, planned.intakes, eaters, strict=True):
        dishes = dishes_of(plan, intake)
        banned = read_exclusions(intake, catalogue_of(plan, intake), dishes).foods
        never |= banned
        found += [
            f"{plan.role}, {fault.date}: {fault.what}"
            for fault in verify_plan(plan, eater.targets, banned, dishes_by_key(dishes))
        ]
    for guest in planned.decided.guests:
        never |= _not_for(guest, planned.intakes[0])
    space = FoodSpace.of(catalogue_of(*planned.plans))
    known = dishes_by_key(dishes_of(*planned.plans))
    apart = {
        meal.dish: beside(known[meal.dish], space) for meal in planned.decided.meals if meal.dish
    }
    return (
        *found,
        *(
            f"{fault.date}: {fault.what}"
            for fault in check_table(planned.decided, planned.plans, frozenset(never), apart)
        ),
    )
