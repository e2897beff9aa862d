"""What is boiled or baked ahead: once for all dishes near enough, the rest chilled or frozen."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from foods.composition.catalogue import Catalogue, KitchenFood
from mealplan.client.household import Eater
from mealplan.cooking.batches import Pot, cooked_in_dish
from mealplan.cooking.models import Boil, Cooking, SetAside
from mealplan.cooking.words import cautions, lower_first, moment, plain_name, round_weight
from mealplan.kitchen.boiling import boiling_of, how_to_boil, in_all
from mealplan.kitchen.food_safety import advice_for, keeping
from mealplan.kitchen.measures import Units, kitchen_amount
from mealplan.kitchen.method import dry_text

BOILED_FOR_DAYS = 6
"""Beans are boiled once for as many days ahead; what is not eaten in time is frozen. [days]"""


EARLIEST = dt.time(7, 0)
"""Beans are not put on before this; the work moves to the evening before."""


DRAIN_MIN = 7
"""Bringing a pan to the boil and draining it. [min]"""


COOL_MIN = 20
"""Cooling cooked rice on a tray. [min]"""


def boils_of(
    pots: Sequence[Pot],
    eaters: Sequence[Eater],
    units: Units,
    dry: frozenset[tuple[str, dt.date]],
    pressure_cooker: bool = False,
    *,
    freezer: bool = True,
) -> tuple[Boil, ...]:
    """
    Boil each pulse once for all cookings near enough, each grain on its own day.

    Parameters
    ----------
    pots : Sequence[Pot]
        The week's pots.
    eaters : Sequence[Eater]
        Who eats, each with a share.
    units : Units
        The household's measures.
    dry : frozenset[tuple[str, date]]
        What is bought dry, by key and day.
    pressure_cooker : bool
        Whether there is one.
    freezer : bool
        Whether there is one.
    """
    shares = sum(eater.portion for eater in eaters)
    needs: dict[str, list[tuple[Pot, float]]] = {}
    for pot in pots:
        for key, (serving, grams) in pot.in_pot().items():
            if (key, pot.day.date) in dry and not cooked_in_dish(serving, pot):
                needs.setdefault(key, []).append((pot, grams * shares))
    boils = []
    for key, wanted in needs.items():
        groups: list[list[tuple[Pot, float]]] = []
        for pot, grams in sorted(wanted, key=lambda x: x[0].day.date):
            first = groups[-1][0][0].day.date if groups else None
            together = (
                first is not None
                and _is_pulse(key)
                and (pot.day.date - first).days <= BOILED_FOR_DAYS
                and (_stays_fresh(pot, first) or (freezer and Catalogue.load().food(key).freezes))
            )
            if together:
                groups[-1].append((pot, grams))
            else:
                groups.append([(pot, grams)])
        boils += [_boil(key, group, units, pressure_cooker) for group in groups]
    return tuple(boils)


def _is_pulse(key: str) -> bool:
    row = boiling_of(Catalogue.load().food(key))
    return row is not None and row.kind == "pulse"


def _stays_fresh(pot: Pot, boiled: dt.date) -> bool:
    """Say whether beans boiled on a day are eaten before they must be frozen."""
    last_eaten = max(date for date, _ in pot.portions())
    return (last_eaten - boiled).days <= keeping("cooked").fridge_days


def _set_aside(
    food: KitchenFood, group: Sequence[tuple[Pot, float]], day: dt.date, units: Units
) -> tuple[SetAside, ...]:
    found = []
    for date in sorted({pot.day.date for pot, _ in group} - {day}):
        grams = sum(grams for pot, grams in group if pot.day.date == date)
        fresh = all(_stays_fresh(pot, day) for pot, _ in group if pot.day.date == date)
        measure = kitchen_amount(food, round(grams, 2), "", units).measure
        found.append(
            SetAside(
                day=date,
                grams=round(grams, 1),
                measure=measure,
                keep_in="fridge" if fresh else "freezer",
            )
        )
    return tuple(found)


def _boil(
    key: str, group: Sequence[tuple[Pot, float]], units: Units, pressure_cooker: bool
) -> Boil:
    food = Catalogue.load().food(key)
    row = boiling_of(food)
    if row is None:
        raise ValueError(f"{key} is not boiled or baked ahead: give a food of the boiling table")
    cooked_g = sum(grams for _, grams in group)
    dry_g, measure = dry_text(food, cooked_g, units)
    if row.kind in ("bake", "vegetable"):
        dry_g, measure = food.bought_g(cooked_g), ""
    day = group[0][0].day.date
    return Boil(
        food=key,
        name=plain_name(food.bought_name),
        kind=row.kind,
        day=day,
        dry_g=round(dry_g, 1),
        dry_measure=measure,
        cooked_g=round(cooked_g, 1),
        water=f"{row.water_per_dry or 0:g} times its volume of water",
        soak_hours=row.soak_hours,
        minutes=in_all(row, pressure_cooker),
        how=how_to_boil(row, pressure_cooker) if row.kind == "pulse" else "",
        hands_on_min=row.hands_on_min,
        dishes=tuple(dict.fromkeys(pot.meal.name for pot, _ in group)),
        evening_before=any(pot.meal.soak_night_before and pot.day.date == day for pot, _ in group),
        also_for=tuple(sorted({pot.day.date for pot, _ in group} - {day})),
        set_aside=_set_aside(food, group, day, units),
        cautions=cautions(advice_for([key], "dry")),
    )


def boil_start(boil: Boil, cookings: Sequence[Cooking]) -> dt.datetime | None:
    """
    Give the start of a boil, or None when it belongs to the evening before.

    Parameters
    ----------
    boil : Boil
        What is boiled.
    cookings : Sequence[Cooking]
        What is cooked that day.
    """
    if boil.evening_before:
        return None
    begins = []
    for cooking in cookings:
        if cooking.name not in boil.dishes:
            continue
        lead = boil.minutes
        if boil.kind == "grain":
            lead = max(0, boil.minutes + DRAIN_MIN - cooking.total_min)
            if any(re.search(r"\bcool", step, re.IGNORECASE) for step in cooking.method):
                lead += COOL_MIN
        begins.append(moment(boil.day, cooking.start, -lead))
    if not begins:
        return None
    begin = min(begins)
    early = begin.date() < boil.day or begin.time() < EARLIEST
    return None if early and boil.kind != "grain" else begin


def boil_text(boil: Boil) -> str:
    """
    Write the order to boil or bake something ahead.

    Parameters
    ----------
    boil : Boil
        What is boiled.
    """
    measure = f", {boil.dry_measure}" if boil.dry_measure else ""
    names = " and ".join(boil.dishes)
    if boil.kind == "vegetable":
        return (
            f"Trim and boil {round_weight(boil.dry_g):.0f} g {lower_first(boil.name)} as bought "
            f"for about {boil.minutes} min and drain, for {names}."
        )
    if boil.kind == "bake":
        return (
            f"Bake {boil.dry_g:.0f} g {lower_first(boil.name)} whole at 200 °C (400 °F) for about "
            f"{boil.minutes} min, for {names}."
        )
    verb = "Drain the soaked" if boil.soak_hours else "Rinse the"
    return (
        f"{verb} {lower_first(boil.name)} ({boil.dry_g:.0f} g dry{measure}) and "
        f"{boiling_text(boil)}, for {names}.{aside_text(boil)}"
    )


def boiling_text(boil: Boil) -> str:
    """
    Say in what water a boil is done and for how long.

    Parameters
    ----------
    boil : Boil
        What is boiled.
    """
    if not boil.how:
        return f"boil in {boil.water} for about {boil.minutes} min"
    fresh = "fresh water" if boil.soak_hours else "water"
    return f"in {boil.water.removesuffix('water')}{fresh} {boil.how}"


def aside_text(boil: Boil) -> str:
    """
    Say what of a boil is put by for later days.

    Parameters
    ----------
    boil : Boil
        What is boiled.
    """
    kept = [
        f"{'chill' if part.keep_in == 'fridge' else 'freeze'} {part.measure} for {part.day:%A}"
        for part in boil.set_aside
    ]
    return f" Once cool, {' and '.join(kept)}." if kept else ""
