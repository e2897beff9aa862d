"""The command that says where a client stands."""

import datetime as dt
import json

import pytest

from mealplan.checkin.log.csv_export import write_csv
from mealplan.checkin.log.log import log_of
from mealplan.cli.main import EXIT_INTAKE, main
from mealplan.demo.folders import demo_intake_text
from tests.mealplan.checkin.conftest import living

BEFORE, AFTER, STEP_KCAL = 84, 49, 450


@pytest.fixture
def files(tmp_path):
    """A log whose client began to spend 450 kcal more after twelve weeks and told nobody."""
    intake, log = tmp_path / "rower.json", tmp_path / "log.csv"
    intake.write_text(demo_intake_text("club-lifter"))
    steady = living(days=BEFORE, intake=3100, expenditure=3090)
    last = steady[-1].on
    then = living(days=AFTER, intake=3100, expenditure=3090 + STEP_KCAL, seed=1)
    shift = last + dt.timedelta(days=1) - then[0].on
    moved = [
        entry.model_copy(update={"on": entry.on + shift, "id": ""})
        for entry in then
        if entry.kind != "event"
    ]
    log.write_text(write_csv(log_of([*steady, *moved])))
    return intake, log, last


def run(*arguments):
    return main(["check-in", *(str(argument) for argument in arguments)])


def test_a_change_nobody_told_is_named_with_its_day_and_size(files, capsys):
    intake, log, last = files
    assert run(intake, "--log", log, "--json") == 0
    changed = json.loads(capsys.readouterr().out)["proposal"]["changed"]
    assert abs((dt.date.fromisoformat(changed["on"]) - last).days) <= 14
    assert changed["low_kcal"] < STEP_KCAL < changed["high_kcal"]
    assert run(intake, "--log", log) == 0
    assert "Expenditure seems to have changed around" in capsys.readouterr().out


def test_a_steady_log_speaks_of_no_change(files, capsys):
    intake, log, last = files
    assert run(intake, "--log", log, "--on", last, "--json") == 0
    assert json.loads(capsys.readouterr().out)["proposal"]["changed"] is None


def test_an_empty_log_is_said_to_be_one(files, tmp_path, capsys):
    intake, _, _ = files
    empty = tmp_path / "empty.csv"
    empty.write_text("date,weight kg\n")
    assert run(intake, "--log", empty) == EXIT_INTAKE
    assert "no entry" in capsys.readouterr().err
