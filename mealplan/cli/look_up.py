"""Commands that look something up or judge a file: foods, activities, tests, examples, schemas."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from mealplan.cli.arguments import Add, json_argument, read_date, read_text
from mealplan.cli.recipes import add_recipes
from mealplan.errors import IntakeError

if TYPE_CHECKING:
    from pydantic import BaseModel


def add_look_up(add: Add) -> None:
    """
    Add these commands to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    """
    _add_tests(add)
    _add_tables(add)
    _add_method(add)
    _add_clinic(add)
    _add_files(add)


def _add_tests(add: Add) -> None:
    resting = add(
        "resting-test",
        _resting_test,
        "judge a minute-by-minute resting test and print what an intake needs of it",
        "mealplan resting-test canopy.csv --date 2026-11-20 --fasted-hours 11",
    )
    resting.add_argument("table", type=Path, metavar="CSV", help="time, VO2 and VCO2 by the minute")
    resting.add_argument(
        "--date", type=read_date, required=True, help="day of the test, YYYY-MM-DD"
    )
    resting.add_argument("--fasted-hours", type=float, metavar="H", help="hours since any food")
    json_argument(resting)


def _add_tables(add: Add) -> None:
    food = add("food", _food, "look foods up in the composition table", "mealplan food red lentils")
    food.add_argument("words", nargs="+", help="words of the description, or a table number")
    json_argument(food)

    activities = add(
        "activities",
        _activities,
        "list exercise costs for an intake's sessions",
        "mealplan activities running",
    )
    activities.add_argument("words", nargs="*", help="words to look for")
    json_argument(activities)


def _add_method(add: Add) -> None:
    method = add(
        "method",
        _method,
        "open the equations: formula, inputs, source; or work one out",
        "mealplan method mifflin_st_jeor weight_kg=70 height_cm=175 age_years=30 sex=male",
    )
    method.add_argument(
        "words", nargs="*", help="words to look for, or an equation's name and name=value"
    )


def _add_clinic(add: Add) -> None:
    clinic = add(
        "clinic",
        _clinic,
        "write what was measured as a FHIR R4B bundle, or take a clinic's bundle into an intake",
        "mealplan clinic rower.json --take bloods.json > rower-new.json",
    )
    clinic.add_argument("intake", type=Path, metavar="INTAKE", help="JSON file of the client")
    clinic.add_argument(
        "--take", type=Path, metavar="BUNDLE", help="the clinic's file; prints the new intake"
    )


def _clinic(options: argparse.Namespace) -> int:
    from mealplan.client.clinic_file import read_clinic_file, with_clinic_file
    from mealplan.client.clinic_file_out import write_clinic_file
    from mealplan.client.read import load_intake

    intake = load_intake(options.intake)
    if options.take is None:
        print(write_clinic_file(intake))
        return 0
    found = read_clinic_file(read_text(options.take))
    print(with_clinic_file(intake, found).model_dump_json(indent=2, exclude_defaults=True))
    for words in found.passed_over:
        print(f"not taken: {words}", file=sys.stderr)
    return 0


def _add_files(add: Add) -> None:
    example = add(
        "example",
        _example,
        "print something to start from: an intake, a blank sheet, foods, dishes, a larder, a test",
        "mealplan example > rower.json",
    )
    example.add_argument(
        "what",
        nargs="?",
        default="intake",
        choices=("intake", "blank", "foods", "dishes", "larder", "resting-test"),
        help="what to print (default intake; blank is a sheet to fill in by hand)",
    )

    larder = add(
        "larder",
        _larder,
        "list the dishes that can be cooked from a few foods and seasonings",
        "mealplan larder mine.toml",
    )
    larder.add_argument(
        "file",
        nargs="?",
        type=Path,
        metavar="TOML",
        help="a larder; the one that ships if left out",
    )

    add_recipes(add)

    schema = add(
        "schema",
        _schema,
        "print the JSON Schema of an intake, targets or plan",
        "mealplan schema plan",
    )
    schema.add_argument("what", choices=("intake", "targets", "plan"))


def _resting_test(options: argparse.Namespace) -> int:
    from mealplan.physiology.resting.gas_series import read_gas_series
    from mealplan.physiology.resting.measurement import RestingConditions, judge_series

    series = read_gas_series(read_text(options.table), "rest")
    judged = judge_series(
        series.samples, conditions=RestingConditions(fasted_hours=options.fasted_hours)
    )
    steady = judged.steady
    found: dict[str, object] = {
        "date": options.date.isoformat(),
        "vo2_ml_min": round(steady.vo2_ml_min, 1) if steady else None,
        "vco2_ml_min": round(steady.vco2_ml_min, 1) if steady else None,
        "cv_percent": round(100 * max(steady.cv_vo2, steady.cv_vco2), 1) if steady else None,
    }
    if options.fasted_hours is not None:
        found["fasted_hours"] = options.fasted_hours
    block = json.dumps({"resting_test": found}, indent=2)
    if options.json:
        print(block)
        return 0
    for message in series.messages:
        print(message)
    print(f"{judged.energy_kcal:,.0f} kcal/day by {judged.equation}; ratio {judged.rer:.2f}.")
    print(f"Verdict: {judged.verdict} ({'; '.join(judged.reasons) or 'every condition met'}).")
    print(f"For the intake:\n{block}")
    return 0


def _food(options: argparse.Namespace) -> int:
    from mealplan.render.food_text import food_text, foods_json

    words = " ".join(options.words)
    found = foods_json(words)
    if found == "[]":
        raise IntakeError(f"no food of the table matches {words!r}; try fewer or other words")
    print(found if options.json else food_text(words))
    return 0


def _activities(options: argparse.Namespace) -> int:
    from mealplan.physiology.expenditure.exercise import find_activities
    from mealplan.physiology.tables import activities

    rows = (
        find_activities(" ".join(options.words)) if options.words else tuple(activities().values())
    )
    if options.json:
        print(
            json.dumps(
                [{"code": row.code, "activity": row.activity, "met": row.met} for row in rows],
                indent=2,
            )
        )
    elif rows:
        for row in rows:
            print(f"{row.code}  {row.met:5.1f} MET  {row.activity}")
    else:
        raise IntakeError(
            f"no activity holds {' '.join(options.words)!r}; try one word, such as rowing"
        )
    return 0


def _method(options: argparse.Namespace) -> int:
    from mealplan.method.entries import equation_called, find_equations
    from mealplan.method.text import listed, opened
    from mealplan.method.working import work_out

    typed = dict(word.split("=", 1) for word in options.words if "=" in word)
    words = " ".join(word for word in options.words if "=" not in word)
    found = find_equations(words)
    if typed or any(one.key == words for one in found):
        one = equation_called(words)
        print("\n".join(work_out(one, typed)) if typed else opened(one))
    elif found:
        print(listed(found))
    else:
        raise IntakeError(f"no equation matches {words!r}; try one word, such as resting")
    return 0


def _larder(options: argparse.Namespace) -> int:
    from foods.dishes.larder import cookable, larder_text, read_larder
    from foods.dishes.load import load_dishes
    from foods.dishes.model import OCCASIONS

    text = larder_text() if options.file is None else read_text(options.file)
    larder = read_larder(text, str(options.file or "larder"))
    dishes = cookable(larder, load_dishes())
    print(
        f"{len(dishes)} of {len(load_dishes())} dishes need nothing but {len(larder.food)} foods "
        f"and {len(larder.seasoning)} seasonings."
    )
    for occasion in OCCASIONS:
        names = sorted(dish.name for dish in dishes if occasion in dish.occasions)
        print(f"\n{occasion}: {len(names)}")
        print("\n".join(f"  {name}" for name in names))
    return 0


def _example(options: argparse.Namespace) -> int:
    from foods.dishes.larder import larder_text
    from mealplan.demo.folders import demo_intake_text, example_text

    if options.what == "larder":
        print(larder_text().strip())
        return 0
    print(
        demo_intake_text("club-lifter") if options.what == "intake" else example_text(options.what)
    )
    return 0


def _schema(options: argparse.Namespace) -> int:
    from mealplan.client.intake import Intake
    from mealplan.plan import Plan
    from mealplan.targets.ranges import Targets

    models: dict[str, type[BaseModel]] = {"intake": Intake, "targets": Targets, "plan": Plan}
    model = models[options.what]
    # An intake is read, the others are written: a written field is always there.
    schema = model.model_json_schema(
        mode="validation" if options.what == "intake" else "serialization"
    )
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    print(json.dumps(schema, indent=2))
    return 0
