"""
Turn the USDA release into the committed tables: ``python -m foods.release.build --release DIR``.

The same release gives the same bytes on every run and every Python: plain CSV, line feeds, sorted
rows, numbers in the release's own digits. Missing stays missing: a value that was not measured
has no row, a measured zero has one.
"""

from __future__ import annotations

import argparse
import csv
import io
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path

from foods.registry.errors import FoodError
from foods.registry.nutrients import NUTRIENTS, Nutrient
from foods.release.food_record import FoodRecord, Verdict
from foods.release.plant_based import classify
from foods.release.source_note import source_note
from foods.release.usda import FoodRow, Release, ValueRow, check_size, read_release

FOODS_HEADER = (
    "ndb", "description", "common_names", "scientific_name", "group_code", "group",
    "plant_based", "reason", "refuse_pct", "refuse_description", "nitrogen_factor",
    "protein_kcal_per_g", "fat_kcal_per_g", "carbohydrate_kcal_per_g",
)  # fmt: skip
VALUES_HEADER = (
    "ndb", "nutrient", "value", "n_samples", "std_error", "derivation", "source_code",
)  # fmt: skip
WEIGHTS_HEADER = ("ndb", "sequence", "amount", "measure", "grams")
ENERGIES_HEADER = ("ndb", "energy_kcal")
ENERGY_NUMBER = 208
"""Number of energy in kilocalories in the release."""


@dataclass(frozen=True, slots=True)
class Tables:
    """The committed tables as rows of text."""

    foods: list[tuple[str, ...]]
    values: list[tuple[str, ...]]
    weights: list[tuple[str, ...]]
    energies: list[tuple[str, ...]]
    """Energy of the foods without values, so that what people eat beside the plan can be told."""


def record_of(food: FoodRow, release: Release) -> FoodRecord:
    """
    Gather what the plant-based rule may look at.

    Parameters
    ----------
    food : FoodRow
        One food of the release.
    release : Release
        The release it is in.

    Returns
    -------
    FoodRecord
    """
    return FoodRecord(
        ndb=food.ndb,
        description=food.description,
        group_code=food.group_code,
        manufacturer=food.manufacturer,
        notes=release.notes.get(food.ndb, ""),
        langual=release.langual.get(food.ndb, frozenset()),
        amounts={number: float(row.value) for number, row in release.values[food.ndb].items()},
    )


def _number(value: Decimal) -> str:
    text = f"{value.quantize(Decimal('0.0001'), ROUND_HALF_EVEN):f}"
    return text.rstrip("0").rstrip(".") or "0"


def _released(row: ValueRow, item: Nutrient) -> tuple[str, ...]:
    return (
        row.ndb,
        item.key,
        row.value,
        row.n_samples,
        row.std_error,
        row.derivation,
        row.source_code,
    )


def _derived(
    ndb: str, item: Nutrient, of_food: dict[int, ValueRow], numbers: dict[str, int]
) -> tuple[str, ...] | None:
    if item.rule is None:
        return None
    rows = {key: of_food.get(numbers[key]) for key in item.rule.parts}
    made = item.rule.apply([Decimal(row.value) if row else None for row in rows.values()])
    if made is None:
        return None
    amount, used = made
    parts = [row for key in used if (row := rows[key])]
    samples = str(min(int(row.n_samples) for row in parts))
    errors = [Decimal(row.std_error) for row in parts if row.std_error]
    error = errors[0] if len(parts) == 1 and errors else None
    if item.rule.operation in ("sum", "minus") and len(errors) == len(parts) == 2:
        error = sum((part * part for part in errors), Decimal(0)).sqrt()
    return (
        ndb,
        item.key,
        _number(amount),
        samples,
        "" if error is None else _number(error),
        "=" + "+".join(str(row.number) for row in parts),
        "",
    )


def values_of(ndb: str, of_food: dict[int, ValueRow]) -> Iterable[tuple[str, ...]]:
    """
    Yield the value rows of one food in the order of the registry.

    Parameters
    ----------
    ndb : str
        Number of the food.
    of_food : dict of int to ValueRow
        Its released values by nutrient number.

    Yields
    ------
    tuple of str
        One row of ``values.csv``; nothing for a nutrient without a value.
    """
    numbers = {item.key: item.usda_number for item in NUTRIENTS if item.usda_number is not None}
    for item in NUTRIENTS:
        if item.usda_number is None:
            row = _derived(ndb, item, of_food, numbers)
        else:
            found = of_food.get(item.usda_number)
            row = _released(found, item) if found else None
        if row is not None:
            yield row


def make_tables(release: Release) -> Tables:
    """
    Cut the release down to the committed tables.

    Parameters
    ----------
    release : Release
        A release found sound.

    Returns
    -------
    Tables
        Every food with its verdict; values and measures of those plant-based by nature or by label;
        of the others their energy alone.
    """
    tables = Tables([], [], [], [])
    kept = set()
    for food in sorted(release.foods, key=lambda row: row.ndb):
        verdict = classify(record_of(food, release))
        tables.foods.append(_food_row(food, release, verdict))
        if verdict.plant_based in ("yes", "label"):
            kept.add(food.ndb)
            tables.values.extend(values_of(food.ndb, release.values[food.ndb]))
        elif ENERGY_NUMBER in release.values[food.ndb]:
            energy = release.values[food.ndb][ENERGY_NUMBER]
            tables.energies.append((food.ndb, energy.value))
    for row in sorted(release.weights, key=lambda row: (row.ndb, int(row.sequence))):
        if row.ndb in kept:
            tables.weights.append((row.ndb, row.sequence, row.amount, row.measure, row.grams))
    return tables


def _stated(nitrogen_factor: str) -> str:
    """Leave a factor of 0 out: the release prints it where none was applied, as for falafel."""
    return nitrogen_factor if float(nitrogen_factor or 0) else ""


def _food_row(food: FoodRow, release: Release, verdict: Verdict) -> tuple[str, ...]:
    return (
        food.ndb,
        food.description,
        food.common_names,
        food.scientific_name,
        food.group_code,
        release.groups[food.group_code],
        verdict.plant_based,
        verdict.reason,
        food.refuse_pct,
        food.refuse_description,
        _stated(food.nitrogen_factor),
        food.protein_factor,
        food.fat_factor,
        food.carbohydrate_factor,
    )


def as_csv(header: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """
    Write rows as CSV with line feeds.

    Parameters
    ----------
    header : sequence of str
        Column names.
    rows : iterable of sequence of str
        Cells as text.

    Returns
    -------
    bytes
        UTF-8, ready to be written.
    """
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return buffer.getvalue().encode()


def build(release_folder: Path, out_folder: Path) -> dict[str, bytes]:
    """
    Build every committed file from a release folder and write it.

    Parameters
    ----------
    release_folder : Path
        Folder of the release's text files.
    out_folder : Path
        Where the files are written; made when it does not exist.

    Returns
    -------
    dict of str to bytes
        File name to what was written.

    Raises
    ------
    FoodError
        The release is damaged or not release 28.
    """
    release = read_release(release_folder)
    check_size(release)
    tables = make_tables(release)
    written = {
        "foods.csv": as_csv(FOODS_HEADER, tables.foods),
        "values.csv": as_csv(VALUES_HEADER, tables.values),
        "weights.csv": as_csv(WEIGHTS_HEADER, tables.weights),
        "energies.csv": as_csv(ENERGIES_HEADER, tables.energies),
    }
    written["SOURCE.md"] = source_note(
        release, release_folder, (tables.foods, tables.values, tables.weights), written
    )
    out_folder.mkdir(parents=True, exist_ok=True)
    for name, content in written.items():
        (out_folder / name).write_bytes(content)
    return written


def main(arguments: Sequence[str] | None = None) -> int:
    """
    Run the build from the command line.

    Parameters
    ----------
    arguments : sequence of str, optional
        Command line without the program's name; the process's own when left out.

    Returns
    -------
    int
        0 when the tables were written, 2 when the release was refused.
    """
    parser = argparse.ArgumentParser(
        prog="python -m foods.release.build",
        description="Build the committed food table from the text files of USDA SR28.",
    )
    parser.add_argument(
        "--release", type=Path, required=True, help="folder with FOOD_DES.txt and the rest"
    )
    parser.add_argument(
        "--out",
        type=Path,
        default=Path(__file__).parents[1] / "data",
        help="folder to write to (foods/data)",
    )
    options = parser.parse_args(arguments)
    try:
        written = build(options.release, options.out)
    except FoodError as error:
        sys.stderr.write(f"error: {error}\n")
        return 2
    for name, content in written.items():
        sys.stdout.write(f"{options.out / name}: {len(content):,} bytes\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
