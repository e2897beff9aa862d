"""One day's order of work, what overlaps, and what the evening before has to begin."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Sequence

from mealplan.cooking.amounts import measuring_error_kcal
from mealplan.cooking.batches import Pot
from mealplan.cooking.boils import aside_text, boil_start, boil_text, boiling_text
from mealplan.cooking.models import Boil, CookDay, Cooking, Kept, Pack, Step
from mealplan.cooking.words import lower_first, moment
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.kitchen.measures import Units
from mealplan.plan import Plan, PlanDay

PACKED_BEFORE_MIN = 15
"""Bottles and food stand ready so long before a session. [min] (common practice)"""
MIXED_THE_EVENING_BEFORE = "08:00"
"""Bottles for a session that begins before this are mixed the evening before. (common practice)"""


def cook_day(
    plan: Plan,
    day: PlanDay,
    boils: Sequence[Boil],
    cookings: tuple[Cooking, ...],
    kept: tuple[Kept, ...],
    units: Units,
) -> CookDay:
    """
    Put one day's boiling, cooking and reheating in order.

    Parameters
    ----------
    plan : Plan
        Days as they were planned.
    day : PlanDay
        The day.
    boils : Sequence[Boil]
        What is boiled.
    cookings : tuple[Cooking, ...]
        What is cooked that day.
    kept : tuple[Kept, ...]
        Portions kept from earlier days.
    units : Units
        The household's measures.
    """
    steps: list[tuple[dt.datetime, str]] = []
    for boil in boils:
        begin = boil_start(boil, cookings)
        if begin is not None:
            steps.append((begin, boil_text(boil)))
    for cooking in cookings:
        boxes = f", {len(cooking.boxes)} to box" if cooking.boxes else ""
        tools = " and ".join(tool for tool in cooking.equipment if tool != "none")
        steps.append(
            (
                moment(day.date, cooking.start),
                f"Start {cooking.name} ({cooking.portions} "
                f"{'portion' if cooking.portions == 1 else 'portions'}{boxes}"
                f"{'; ' + tools if tools else ''}).",
            )
        )
    steps += [(moment(day.date, box.serve, -box.minutes), f"{box.name}: {box.how}") for box in kept]
    packs = _packs(day)
    steps += [
        (moment(day.date, pack.clock, -PACKED_BEFORE_MIN), f"{pack.name}: {pack.text}")
        for pack in packs
        if pack.clock
    ]
    return CookDay(
        date=day.date,
        boils=tuple(boils),
        cookings=cookings,
        kept=kept,
        order=tuple(
            Step(clock=f"{moment:%H:%M}", text=text)
            for moment, text in sorted(steps, key=lambda x: x[0])
        ),
        packs=packs,
        tonight=(),
        hands_on_min=day.hands_on_min,
        ahead_min=sum(boil.hands_on_min for boil in boils),
        clashes=_clashes(day.date, cookings),
        measuring_error_kcal=round(measuring_error_kcal(day, units, catalogue_of(plan)), 1),
    )


def _packs(day: PlanDay) -> tuple[Pack, ...]:
    """Write what is mixed and packed for the day's sessions."""
    return tuple(
        Pack(
            clock=pack.time or "",
            name=(
                f"Take along to {lower_first(pack.session)}"
                if pack.when == "during"
                else f"Between meals, {pack.session}"
            ),
            text=pack.how,
        )
        for pack in day.packs
    )


def _clashes(date: dt.date, cookings: Sequence[Cooking]) -> tuple[str, ...]:
    found = []
    ordered = sorted(cookings, key=lambda x: moment(date, x.start))
    for first, second in itertools.pairwise(ordered):
        end = moment(date, first.serve)
        begin = moment(date, second.start)
        if begin >= end:
            continue
        both = sorted({"oven", "blender", "grill"} & set(first.equipment) & set(second.equipment))
        tool = f" and both need the {both[0]}" if both else ""
        found.append(
            f"{second.name} begins at {second.start}, before {first.name} is served{tool}: start "
            f"{first.name} {round((end - begin).total_seconds() / 60)} minutes earlier."
        )
    return tuple(found)


def evening_work(
    plan: Plan, days: Sequence[CookDay], boils: Sequence[Boil], pots: Sequence[Pot]
) -> dict[dt.date, tuple[str, ...]]:
    """
    List for each evening what the next days need soaked, boiled, baked or thawed.

    Parameters
    ----------
    plan : Plan
        Days as they were planned.
    days : Sequence[CookDay]
        Days. [days]
    boils : Sequence[Boil]
        What is boiled.
    pots : Sequence[Pot]
        The week's pots.
    """
    found: dict[dt.date, list[str]] = {}
    for boil in boils:
        before = boil.day - dt.timedelta(days=1)
        day = next(day for day in days if day.date == boil.day)
        amount = f"{boil.dry_g:.0f} g" + (f" ({boil.dry_measure})" if boil.dry_measure else "")
        overnight = boil_start(boil, day.cookings) is None
        names = " and ".join(boil.dishes)
        if overnight and boil.kind in ("bake", "vegetable"):
            found.setdefault(before, []).append(
                f"{boil_text(boil).removesuffix('.')}, {boil.day:%A}; chill it once cool."
            )
            continue
        if overnight and boil.soak_hours:
            found.setdefault(before, []).append(
                f"Soak {amount} {lower_first(boil.name)} from the morning, at least "
                f"{boil.soak_hours} hours, pour that water away and tonight "
                f"{boiling_text(boil)}; then cool and chill: for {names}, "
                f"{boil.day:%A}.{aside_text(boil)}"
            )
        elif overnight:
            found.setdefault(before, []).append(
                f"Rinse {amount} {lower_first(boil.name)} tonight and {boiling_text(boil)}; then "
                f"cool and chill: for {names}, {boil.day:%A}.{aside_text(boil)}"
            )
        elif boil.soak_hours:
            found.setdefault(before, []).append(
                f"Soak {amount} {lower_first(boil.name)} at least {boil.soak_hours} hours in "
                f"plenty of cold water for {names}, {boil.day:%A}; that water is poured away."
            )
    for boil in boils:
        for part in boil.set_aside:
            if part.keep_in == "freezer":
                found.setdefault(part.day - dt.timedelta(days=1), []).append(
                    f"Thaw {part.measure} boiled {lower_first(boil.name)} in the fridge for "
                    f"{part.day:%A}."
                )
    for day in days:
        for box in day.kept:
            if box.frozen:
                found.setdefault(day.date - dt.timedelta(days=1), []).append(
                    f"Thaw {box.name} in the fridge for {day.date:%A}, {box.label.lower()}: from "
                    f"the freezer, cooked {box.cooked_on.day} {box.cooked_on:%b}."
                )
        for pack in day.packs:
            if pack.clock and pack.clock < MIXED_THE_EVENING_BEFORE:
                found.setdefault(day.date - dt.timedelta(days=1), []).append(
                    f"Mix the bottles of {day.date:%A}, {pack.clock}, and keep them in the fridge."
                )
    for pot in pots:
        if pot.meal.soak_night_before:
            before = pot.day.date - dt.timedelta(days=1)
            found.setdefault(before, []).append(
                f"Begin {pot.meal.name} for {pot.day.date:%A}: {_overnight_steps(pot, days)}"
            )
    return {day: tuple(lines) for day, lines in found.items()}


def _overnight_steps(pot: Pot, days: Sequence[CookDay]) -> str:
    """Give the steps up to the one that leaves the dish overnight, with amounts."""
    day = next(day for day in days if day.date == pot.day.date)
    cooking = next(c for c in day.cookings if c.dish == pot.dish.key and c.serve == pot.meal.time)
    if pot.dish.steps:
        return " ".join(cooking.evening)
    last = next(
        (place for place, step in enumerate(cooking.method) if "overnight" in step.lower()), 0
    )
    return " ".join(cooking.method[: last + 1])
