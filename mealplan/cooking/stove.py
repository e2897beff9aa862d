"""A day's work at the stove as one order over all its dishes, one step at a time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from mealplan.cooking.boils import boil_start, boil_text
from mealplan.cooking.models import CookDay, Cooking, Kept, StoveStep
from mealplan.cooking.words import clock_text


def stove_order(day: CookDay, serve: Collection[str] | None = None) -> tuple[StoveStep, ...]:
    """
    Put everything a day asks of the cook into one order.

    Parameters
    ----------
    day : CookDay
    serve : collection of str, optional
        Clock times of the meals to cook for; every meal of the day and what tonight has to begin
        when left out.

    Returns
    -------
    tuple of StoveStep
        By the time each dish's work begins; the steps of a dish stay together and in their order.
    """
    cookings = [one for one in day.cookings if serve is None or one.serve in serve]
    names = {one.name for one in cookings}
    blocks: list[tuple[str, tuple[StoveStep, ...]]] = []
    for boil in day.boils:
        begin = boil_start(boil, day.cookings)
        if begin is not None and names & set(boil.dishes):
            clock = f"{begin:%H:%M}"
            step = StoveStep(
                clock=clock, dish=boil.name, text=boil_text(boil), wait_min=boil.minutes
            )
            blocks.append((clock, (step,)))
    blocks += [(one.start, _cooked(one)) for one in cookings]
    for box in day.kept:
        if serve is None or box.serve in serve:
            clock = clock_text(day.date, box.serve, -box.minutes)
            blocks.append((clock, _from_box(box, clock)))
    found = [step for _, steps in sorted(blocks, key=lambda block: block[0]) for step in steps]
    if serve is None:
        tomorrow = f"for {day.date + dt.timedelta(days=1):%A}"
        found += [StoveStep(clock="tonight", dish=tomorrow, text=text) for text in day.tonight]
    return tuple(found)


def _cooked(one: Cooking) -> tuple[StoveStep, ...]:
    amounts = "; ".join(
        f"{amount.phrase} ({amount.grams:.0f} g"
        + (f", {amount.start_from}" if amount.start_from else "")
        + ")"
        for amount in one.amounts
    )
    out = StoveStep(clock=one.start, dish=one.name, text=f"Get out: {amounts}.")
    boxes = tuple(
        StoveStep(
            clock=one.serve,
            dish=one.name,
            text=f"Put by for {box.eaten_on:%A}, {box.label.lower()}: {box.percent_of_pot} % of "
            f"the pot; {box.keep_in}, eat by {box.eat_by:%A}.",
        )
        for box in one.boxes
    )
    return (out, *one.single, *boxes)


def _from_box(box: Kept, clock: str) -> tuple[StoveStep, ...]:
    added = f" Add {', '.join(box.add)}." if box.add else ""
    return (StoveStep(clock=clock, dish=box.name, text=f"{box.how}{added}"),)
