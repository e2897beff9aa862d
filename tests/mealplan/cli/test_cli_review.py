"""The command that looks back on a phase."""

import datetime as dt
import json

import numpy as np
import pytest

from mealplan.checkin.log.csv_export import write_csv
from mealplan.checkin.log.entries import IntakeRecord, WeighIn
from mealplan.checkin.log.log import log_of
from mealplan.cli.main import EXIT_FILE, EXIT_INTAKE, main
from mealplan.demo.folders import demo_intake_text

START = dt.date(2026, 11, 30)


@pytest.fixture
def files(tmp_path):
    intake, log = tmp_path / "rower.json", tmp_path / "log.csv"
    intake.write_text(demo_intake_text("club-lifter"))
    rng = np.random.default_rng(3)
    days = [START + dt.timedelta(days=i) for i in range(84)]
    weighed = [
        WeighIn(on=on, value=round(80 + 0.03 * i + rng.normal(0, 0.4), 1))
        for i, on in enumerate(days)
    ]
    eaten = [IntakeRecord(on=on, adherence="as planned", planned_kcal=3260) for on in days]
    log.write_text(write_csv(log_of([*weighed, *eaten])))
    return intake, log


def run(*arguments):
    return main(["review", *(str(argument) for argument in arguments)])


def test_a_log_and_an_intake_give_a_report(files, tmp_path, capsys):
    intake, log = files
    assert run(intake, "--log", log, "--out", tmp_path / "out") == 0
    said = capsys.readouterr().out
    assert "12 weeks, 2026-11-30 to 2027-02-21" in said
    assert "MUSCLE, FAT OR NOISE?" in said
    assert "<svg" in (tmp_path / "out" / "review.html").read_text()


def test_json_is_data_alone(files, capsys):
    intake, log = files
    assert run(intake, "--log", log, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["span"] == {"name": "gain", "start": "2026-11-30", "end": "2027-02-21"}
    assert found["review"]["mass"]["what"] == "weight"


def test_the_report_of_a_client_whose_numbers_are_hidden_leaves_them_out(files, tmp_path):
    intake, log = files
    intake.write_text(json.dumps(json.loads(intake.read_text()) | {"hide_numbers": True}))
    assert run(intake, "--log", log, "--out", tmp_path / "out") == 0
    assert "<svg" not in (tmp_path / "out" / "review.html").read_text()


@pytest.mark.parametrize(
    ("table", "code", "said"),
    [
        (None, EXIT_FILE, "cannot be read"),
        ("", EXIT_INTAKE, "empty"),
        ("role,mass\nx,80\n", EXIT_INTAKE, "name one 'date'"),
        ("date,weight\n01/02/2026,80\n03/04/2026,80\n", EXIT_INTAKE, "--confirm agrees"),
        ("date,weight kg\n", EXIT_INTAKE, ""),
    ],
)
def test_a_table_that_cannot_be_used_says_why(files, tmp_path, capsys, table, code, said):
    intake, _ = files
    path = tmp_path / "other.csv"
    if table is not None:
        path.write_text(table)
    assert run(intake, "--log", path) == code
    assert said in capsys.readouterr().err


def test_rows_that_were_not_understood_are_named(files, tmp_path, capsys):
    intake, _ = files
    path = tmp_path / "other.csv"
    rows = "".join(f"2026-12-{day:02},80.{day % 10}\n" for day in range(1, 29))
    path.write_text(f"date,weight kg\n{rows}2026-12-29,lots\n")
    assert run(intake, "--log", path) == 0
    assert "lots" in capsys.readouterr().err


def test_too_short_a_log_says_what_is_missing(files, tmp_path, capsys):
    intake, _ = files
    path = tmp_path / "other.csv"
    path.write_text("date,weight kg\n2026-12-01,80.1\n2026-12-02,80.3\n")
    assert run(intake, "--log", path) == 0
    assert "2 days weighed" in capsys.readouterr().out
