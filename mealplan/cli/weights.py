"""The part of the command line that says what the programme wants, and how much."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from pathlib import Path

Add = Callable[[str, Callable[[argparse.Namespace], int], str, str], argparse.ArgumentParser]


def add_weights(add: Add) -> None:
    """
    Add the command to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    """
    command = add(
        "weights",
        _weights,
        "print every weight of the objective, or why a dish costs what it costs a client",
        "mealplan weights rower.json --dish 'Lentil soup'",
    )
    command.add_argument("intake", type=Path, nargs="?", metavar="INTAKE", help="JSON file")
    command.add_argument("--dish", metavar="NAME", help="a dish by name or key; needs an intake")


def _weights(options: argparse.Namespace) -> int:
    lines = _table() if options.dish is None else _dish(options.intake, options.dish)
    print("\n".join(lines))
    return 0


def _table() -> Iterator[str]:
    from mealplan.rules.weights import by_family

    yield "What the programme wants, and how much. A day without a miss scores 0."
    for family, group in by_family():
        yield f"\n{family}"
        for one in group:
            yield f"  {one.value:>8g}  {one.unit}: {one.meaning}"
            yield f"            {one.reason}"


def _dish(path: Path | None, name: str) -> Iterator[str]:
    from foods.composition.food_words import normalised
    from mealplan.client.read import load_intake
    from mealplan.errors import IntakeError
    from mealplan.menu.context import Context
    from mealplan.menu.offers import table_at
    from mealplan.rules.preferences import why
    from mealplan.targets.make import make_targets

    if path is None:
        raise IntakeError("--dish needs an intake: whose meal it is decides what is minded")
    intake = load_intake(path)
    context = Context.make(intake, make_targets(intake))
    wanted = normalised(name)
    found = [d for d in context.dishes if wanted in (normalised(d.key), normalised(d.name))]
    if not found:
        raise IntakeError(f"{name!r} is no dish; `mealplan example dishes` lists them")
    dish = found[0]
    yield f"{dish.name}, before anything else is planned"
    for asked in context.targets.days:
        for slot, base in zip(context.slots, context.choices(asked), strict=True):
            offered = next((choice for choice in base if choice.dish == dish.key), None)
            if offered is None:
                continue
            yield f"  {asked.weekday} {slot.label.lower()}: {offered.cost:.3f} for itself"
            table = table_at(context, 0, asked, slot, {})
            yield from (f"    {said}" for said in why(dish.key, table))
