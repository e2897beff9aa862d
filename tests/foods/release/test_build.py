"""The build: from release text to committed tables, the same bytes each time."""

import csv
import hashlib
import io
import os
import re
from importlib.resources import files
from pathlib import Path

import pytest

from foods.registry.nutrients import NUTRIENT_KEYS
from foods.release.build import FOODS_HEADER, VALUES_HEADER, as_csv, build, main, make_tables
from foods.release.usda import read_release

COMMITTED = ("foods.csv", "values.csv", "weights.csv", "energies.csv", "SOURCE.md")


def committed(name: str) -> bytes:
    return files("foods").joinpath("data", name).read_bytes()


@pytest.fixture
def values(tiny_release):
    rows = make_tables(read_release(tiny_release)).values
    return {row[1]: dict(zip(VALUES_HEADER, row, strict=True)) for row in rows}


def test_values_of_a_plant_food_are_kept_in_the_release_s_digits(values):
    assert values["protein_g"] == {
        "ndb": "11999",
        "nutrient": "protein_g",
        "value": "0.90",
        "n_samples": "4",
        "std_error": "0.1",
        "derivation": "A",
        "source_code": "1",
    }


def test_a_missing_value_has_no_row_and_a_zero_has_one(values):
    assert "iron_mg" not in values
    assert values["vitamin_b12_ug"]["value"] == "0.00"


def test_values_of_an_animal_food_are_dropped_but_the_food_is_listed(tiny_release):
    tables = make_tables(read_release(tiny_release))
    foods = {row[0]: dict(zip(FOODS_HEADER, row, strict=True)) for row in tables.foods}
    assert foods["01999"]["plant_based"] == "no"
    assert {row[0] for row in tables.values} == {"11999"}
    assert {row[0] for row in tables.weights} == {"11999"}


def test_a_nutrient_outside_the_registry_is_dropped(values):
    assert set(values) <= set(NUTRIENT_KEYS)


# source: worked by hand from the tiny release
@pytest.mark.parametrize(
    ("key", "value", "samples", "error", "derivation"),
    [
        ("methionine_cystine_g", "0.016", "2", "0.005", "=506+507"),
        ("phenylalanine_tyrosine_g", "0.017", "2", "", "=508"),
        ("niacin_ne_mg", "0.55", "2", "", "=406+501"),
        ("net_carbohydrate_g", "4.63", "0", "", "=205+291"),
        ("alpha_linolenic_g", "0.04", "0", "", "=619"),
    ],
)
def test_derived_values_say_what_they_rest_on(values, key, value, samples, error, derivation):
    row = values[key]
    assert (row["value"], row["n_samples"], row["std_error"]) == (value, samples, error)
    assert (row["derivation"], row["source_code"]) == (derivation, "")


def test_a_derived_value_without_any_part_is_missing(values):
    assert "linoleic_g" not in values


def test_household_measures_are_sorted_and_tidied(tiny_release):
    rows = make_tables(read_release(tiny_release)).weights
    assert rows == [("11999", "1", "1", "large", "183"), ("11999", "2", ".5", "cup, cubes", "65")]


def test_the_same_release_gives_the_same_bytes(tiny_release):
    first, second = (make_tables(read_release(tiny_release)) for _ in range(2))
    assert as_csv(VALUES_HEADER, first.values) == as_csv(VALUES_HEADER, second.values)


def test_a_release_of_another_size_ends_the_build_with_one_line(tiny_release, tmp_path, capsys):
    assert main(["--release", str(tiny_release), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert said.startswith("error: ")
    assert said.count("\n") == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("name", ["foods.csv", "values.csv", "weights.csv"])
def test_committed_tables_match_their_recorded_checksums(name):
    content = committed(name)
    line = re.search(rf"\| written \| `{name}` .*", committed("SOURCE.md").decode())
    assert line is not None
    assert hashlib.sha256(content).hexdigest() in line[0]
    assert f"{len(content):,}" in line[0]


@pytest.mark.parametrize("name", COMMITTED)
def test_committed_files_have_line_feeds_alone(name):
    assert b"\r" not in committed(name)


@pytest.mark.parametrize(("name", "key"), [("foods.csv", 1), ("values.csv", 2), ("weights.csv", 2)])
def test_committed_tables_are_sorted_without_duplicates(name, key):
    rows = list(csv.reader(io.StringIO(committed(name).decode())))[1:]
    order = {nutrient: place for place, nutrient in enumerate(NUTRIENT_KEYS)}
    keys = [
        (row[0], order[row[1]] if name == "values.csv" else int(row[1]) if key == 2 else 0)
        for row in rows
    ]
    assert keys == sorted(set(keys))


@pytest.mark.skipif(
    "MEALPLAN_SR28_DIR" not in os.environ,
    reason="MEALPLAN_SR28_DIR does not name a folder with the release's text files",
)
def test_rebuilding_from_the_release_gives_the_committed_bytes(tmp_path):
    written = build(Path(os.environ["MEALPLAN_SR28_DIR"]), tmp_path)
    assert set(written) == set(COMMITTED)
    for name, content in written.items():
        assert content == committed(name), name
        assert (tmp_path / name).read_bytes() == content
