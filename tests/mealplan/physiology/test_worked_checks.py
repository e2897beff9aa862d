"""
Worked checks: each row of ``tests/published/energy_checks.csv`` names a function and its answer.

The row carries its own source and provenance; the tolerance is half a unit in the last printed
place unless the row says otherwise. What is worked by hand starts from coefficients that a
reference table calls published or confirmed: from others, an answer proves nothing.
"""

import csv
import json
import math
from pathlib import Path

import pytest

from mealplan.physiology.body import anthropometry, composition, precision
from mealplan.physiology.expenditure import activity, availability, exercise, fitness
from mealplan.physiology.expenditure import daily as expenditure
from mealplan.physiology.resting import calorimetry
from mealplan.physiology.resting import choice as resting_choice
from mealplan.physiology.resting import equations as resting
from mealplan.physiology.tables import PROVENANCES
from mealplan.physiology.weight_change import energy_balance, rates, stored_energy
from mealplan.physiology.weight_change.energy_balance import (
    Baseline,
    effective_kcal_per_kg,
    simulate,
)
from mealplan.science import units

MODULES = {
    "activity": activity,
    "anthropometry": anthropometry,
    "availability": availability,
    "calorimetry": calorimetry,
    "composition": composition,
    "energy_balance": energy_balance,
    "stored_energy": stored_energy,
    "exercise": exercise,
    "expenditure": expenditure,
    "fitness": fitness,
    "precision": precision,
    "rates": rates,
    "resting": resting,
    "resting_choice": resting_choice,
    "units": units,
}
"""The table's name of a module to the module."""
TABLE = Path(__file__).parents[2] / "published" / "energy_checks.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))


def girths_with_three_decimals(height_cm, neck_cm, abdomen_cm):
    density = 1.032 - 0.191 * math.log10(abdomen_cm - neck_cm) + 0.155 * math.log10(height_cm)
    return anthropometry.fat_percent_siri(density)


def modelled(arguments, field):
    run = simulate(
        Baseline(**arguments["baseline"]), arguments["intake_change_kcal"], arguments["days"]
    )
    if field == "last_step_expenditure_kcal":
        return run[-2].expenditure_kcal
    return getattr(run[-1], field)


def linear(arguments, field):
    model = energy_balance.linear_model(Baseline(**arguments["baseline"]))
    if field.startswith("final_change:"):
        return model.final_change_kg(float(field.split(":")[1]))
    return getattr(model, field)


def answer(row):
    arguments = json.loads(row["arguments"])
    field = row["field"]
    if field == "fat_percent_three_decimals":
        arguments.pop("sex")
        return girths_with_three_decimals(**arguments)
    if row["function"] == "simulate":
        return modelled(arguments, field)
    if row["function"] == "linear_model":
        return linear(arguments, field)
    if row["function"] == "effective":
        baseline = Baseline(**arguments.pop("baseline"))
        return effective_kcal_per_kg(baseline, **arguments)
    module, name = row["function"].split(".")
    value = getattr(MODULES[module], name)(**arguments)
    if field == "kj":
        return value * units.KJ_PER_KCAL
    if field.startswith("over:"):
        return value / float(field.split(":")[1])
    if field.startswith("change_share:"):
        _, before, change = field.split(":")
        return (value - float(before)) / float(change)
    return getattr(value, field) if field else value


# source: the row's own `source` and `provenance`
@pytest.mark.parametrize("row", ROWS, ids=[f"{r['id']}-{r['function']}-{r['field']}" for r in ROWS])
def test_worked_check_is_met(row):
    assert answer(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0)


def test_every_check_is_there():
    let_go = {227, 58, 61, 62, 63, 64, 208}  # by coefficients that are from memory
    wanted = {f"C{i:03d}" for i in (*range(1, 230), *range(256, 260)) if i not in let_go}
    assert {row["id"] for row in ROWS} == wanted


def test_no_check_rests_on_memory():
    assert [row["id"] for row in ROWS if row["provenance"] == "from memory"] == []


def test_every_check_names_a_source_and_a_known_provenance():
    assert all(row["source"] and row["provenance"] in PROVENANCES for row in ROWS)


def test_girth_coefficients_rounded_to_three_decimals_are_not_ours():
    # source: published (Hodgdon & Beckett 1984, five decimals); rounding moves the answer
    ours = anthropometry.fat_from_girths("male", 180, 38, abdomen_cm=85).fat_percent
    assert abs(ours - girths_with_three_decimals(180, 38, 85)) > 0.05
