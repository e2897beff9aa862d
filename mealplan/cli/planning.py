"""Commands that make targets, seasons and plans, and the demo that does it all."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from mealplan.cli.arguments import (
    Add,
    intake_argument,
    json_argument,
    read_date,
    read_text,
    whole_number,
)
from mealplan.cli.progress import progress

if TYPE_CHECKING:
    from mealplan.client.intake import Intake
    from mealplan.plan import Plan


def add_planning(add: Add) -> None:
    """
    Add these commands to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    """
    _add_targets(add)
    _add_plan(add)
    _add_demo(add)


def _add_targets(add: Add) -> None:
    targets = add(
        "targets",
        _targets,
        "work out daily targets with their working",
        "mealplan targets rower.json",
    )
    intake_argument(targets)
    json_argument(targets)

    season = add(
        "season",
        _season,
        "lay a season's phases out with dates, targets and hand-over rules",
        "mealplan season rower.json",
    )
    intake_argument(season)
    season.add_argument(
        "--today", type=read_date, metavar="DATE", help="also say whether the phase hands over"
    )


def _add_plan(add: Add) -> None:
    plan = add(
        "plan",
        _plan,
        "plan days of meals and the shopping list",
        "mealplan plan rower.json --days 3 --start 2026-12-07",
    )
    intake_argument(plan)
    _which_week_arguments(plan)
    plan.add_argument(
        "--out", type=Path, metavar="FOLDER", help="also write the plan, menu and list there"
    )
    plan.add_argument(
        "--prices", type=Path, metavar="CSV", help="price list: adds what the week costs"
    )
    plan.add_argument(
        "--budget",
        type=float,
        metavar="AMOUNT",
        help="most to pay at the till for the week, in the price list's currency",
    )
    plan.add_argument(
        "--foods", type=Path, metavar="TOML", help="foods of your own, from package labels"
    )
    plan.add_argument(
        "--dishes", type=Path, metavar="TOML", help="dishes of your own, added to those that ship"
    )
    json_argument(plan)


def _which_week_arguments(plan: argparse.ArgumentParser) -> None:
    """Add what is asked of the week itself: its days, what came before, how far to search."""
    plan.add_argument(
        "--days",
        type=whole_number(1, 28),
        default=7,
        metavar="N",
        help="how many days, 1 to 28 (default 7)",
    )
    plan.add_argument(
        "--start",
        type=read_date,
        metavar="DATE",
        help="first day, YYYY-MM-DD (default: the intake's)",
    )
    plan.add_argument(
        "--seed",
        type=whole_number(0, 2**31 - 1),
        metavar="N",
        help="another number, another equally good week",
    )
    plan.add_argument(
        "--after",
        type=Path,
        metavar="PLAN",
        help="plan.json of the days before: their open packs are used, their dishes come less",
    )
    plan.add_argument(
        "--polish",
        action="store_true",
        help="take longer and search further: a week in about a minute, never worse",
    )
    plan.add_argument(
        "--compare",
        action="store_true",
        help="also plan from fewer and from more things, and say what each list costs",
    )
    plan.add_argument(
        "--prove",
        action="store_true",
        help="also work out what no plan of a week can score below; takes longer than planning",
    )


def _add_demo(add: Add) -> None:
    demo = add(
        "demo",
        _demo,
        "run the whole job for one client of an invented club",
        "mealplan demo --client club-runner",
    )
    demo.add_argument(
        "--client",
        default="club-lifter",
        help="club-lifter, club-runner or club-climber (default club-lifter)",
    )
    demo.add_argument(
        "--all",
        action="store_true",
        help="all demo clients, whose folders are written (to demo_menus without --out)",
    )
    demo.add_argument(
        "--out", type=Path, metavar="FOLDER", help="also write the client's pages there"
    )
    json_argument(demo)


def _targets(options: argparse.Namespace) -> int:
    from mealplan.client.read import load_intake
    from mealplan.render.text import targets_text
    from mealplan.targets.make import make_targets

    intake = load_intake(options.intake)
    targets = make_targets(intake)
    print(targets.model_dump_json(indent=2) if options.json else targets_text(intake, targets))
    return 0


def _season(options: argparse.Namespace) -> int:
    from mealplan.client.read import load_intake
    from mealplan.targets.season import hand_over, season_text

    intake = load_intake(options.intake)
    print(season_text(intake))
    if options.today is not None:
        found = hand_over(intake, options.today)
        print(f"\nOn {options.today}: {found.decision} ({'; '.join(found.reasons)}).")
    return 0


def _before(path: Path | None) -> Plan | None:
    if path is None:
        return None
    from mealplan.errors import IntakeError
    from mealplan.plan import Plan

    try:
        return Plan.model_validate_json(read_text(path))
    except ValueError:
        raise IntakeError(
            f"{path} is no plan; mealplan plan INTAKE --out FOLDER writes one as plan.json"
        ) from None


def _plan(options: argparse.Namespace) -> int:
    from mealplan.client.read import load_intake
    from mealplan.kitchen.custom_foods import catalogue_of
    from mealplan.menu.week import make_plan
    from mealplan.render.text import plan_text
    from mealplan.shopping.door import price_list, shopping_list, with_budget, with_prices
    from mealplan.targets.make import make_targets

    intake = load_intake(options.intake)
    if options.seed is not None:
        intake = intake.model_copy(update={"seed": options.seed})
    shop = intake.kitchen.shop
    if options.prices is not None:
        shop = with_prices(shop, read_text(options.prices))
    if options.budget is not None:
        shop = with_budget(shop, options.budget)
    intake = intake.model_copy(update={"kitchen": intake.kitchen.model_copy(update={"shop": shop})})
    intake = _with_own(intake, options)
    targets = make_targets(intake)
    before = _before(options.after)
    with progress("planning, step" if options.polish else "planning day") as tell:
        plan = make_plan(
            intake,
            targets,
            days=options.days,
            first=options.start,
            polish=options.polish,
            prove=options.prove,
            progress=tell,
            before=before,
        )
        if options.compare:
            from mealplan.menu.trade_off import with_alternatives

            plan = with_alternatives(plan, intake, targets, before, tell)
    if options.out is not None:
        from mealplan.demo.folders import write_folder

        write_folder(options.out, intake, targets, plan)
    if options.json:
        print(plan.model_dump_json(indent=2))
    else:
        print(plan_text(intake, plan, shopping_list(plan, intake)))
        prices = price_list(intake.kitchen.shop, catalogue_of(intake))
        if prices is not None:
            from mealplan.menu.cost_and_swaps import cheapest_swap, cost_text, week_cost

            swap = cheapest_swap(plan, intake, targets, prices)
            print(cost_text(week_cost(plan, intake, prices), swap))
    return 0


def _with_own(intake: Intake, options: argparse.Namespace) -> Intake:
    """Put the foods and dishes of files into an intake, which then carries them everywhere."""
    from foods.custom.own_file import parse_own_foods
    from foods.dishes.load import check_lines, own_dishes
    from mealplan.kitchen.custom_foods import catalogue_of

    if options.foods is not None:
        foods = {food.key: food for food in intake.own_foods}
        for food in parse_own_foods(read_text(options.foods), str(options.foods)):
            foods[food.key] = food
        intake = intake.model_copy(update={"own_foods": tuple(foods.values())})
    if options.dishes is not None:
        dishes = {dish.key: dish for dish in intake.own_dishes}
        text = read_text(options.dishes)
        for dish in own_dishes(text, str(options.dishes), catalogue_of(intake)):
            dishes[dish.key] = dish
        intake = intake.model_copy(update={"own_dishes": tuple(dishes.values())})
    check_lines(intake.own_dishes, catalogue_of(intake))
    return intake


def _demo(options: argparse.Namespace) -> int:
    from mealplan.demo.folders import DEMO_CLIENTS, demo_intake, run_demo
    from mealplan.demo.history import write_demo

    chosen = DEMO_CLIENTS if options.all else (options.client,)
    out = options.out or (Path("demo_menus") if options.all else None)
    plans = []
    for client in chosen:
        intake = demo_intake(client)
        with progress(f"planning {client}") as tell:
            result = run_demo(intake, tell)
        names = () if out is None else write_demo(out, client, result)
        plans.append(result.plan)
        if not options.json:
            print(result.text)
            if out is None:
                print("\nTo print menu, cooking sheet and list: mealplan demo --out FOLDER")
            else:
                print(f"\nWritten to {out / client}/: {' '.join(names)}")
    if options.json and options.all:
        print(json.dumps([plan.model_dump(mode="json") for plan in plans], indent=2))
    elif options.json:
        print(plans[0].model_dump_json(indent=2))
    return 0
