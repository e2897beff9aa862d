import csv
from pathlib import Path

import pytest

from mealplan.references import tables, uptake_tables


def test_every_row_of_every_table_has_a_source_and_a_provenance() -> None:
    groups = [
        tables.intake_rows(),
        tables.energy_share_rows(),
        uptake_tables.amino_acid_rows(),
        uptake_tables.zinc_by_phytate_rows(),
        tables.supplement_rows(),
        tables.upper_limit_scopes().values(),
        uptake_tables.digestibility_defaults().values(),
        tables.sport_ranges().values(),
        uptake_tables.plant_adjustment_rows().values(),
        uptake_tables.calcium_absorption_rows().values(),
    ]
    for rows in groups:
        assert rows
        for row in rows:
            assert row.source, row
            assert row.provenance in (
                "published",
                "confirmed by independent transcription",
                "worked by hand",
                "common practice",
                "from memory",
            )


def test_ranges_are_ordered() -> None:
    for row in tables.sport_ranges().values():
        known = [value for value in (row.low, row.usual, row.high) if value is not None]
        assert known == sorted(known), row.key


def test_fractions_lie_between_zero_and_one() -> None:
    for row in uptake_tables.digestibility_defaults().values():
        assert 0 < row.faecal <= 1
        assert 0 < row.ileal <= 1
    for calcium in uptake_tables.calcium_absorption_rows().values():
        assert 0 < calcium.fraction < 1
    for share in tables.energy_share_rows():
        assert 0 < share.high_fraction < 1


PULSES = ("lentils", "chickpeas", "pea", "black beans", "kidney beans", "mung beans")


def test_chosen_digestibility_lies_inside_what_was_found_for_pulses() -> None:
    findings = Path(__file__).parents[2] / "published" / "digestibility_findings.csv"
    found = [
        float(value)
        for row in csv.DictReader(findings.read_text(encoding="utf-8").splitlines())
        if row["food"] in PULSES
        for value in (row["faecal_low"], row["faecal_high"])
        if value
    ]
    for name in ("lentils", "chickpeas", "split_peas", "black_beans", "kidney_beans", "mung_beans"):
        assert min(found) <= uptake_tables.digestibility_defaults()[name].faecal <= max(found)


def test_a_blank_cell_is_none_and_not_zero() -> None:
    assert tables.number("") is None
    assert tables.number("0") == 0


def test_tables_are_read_once_and_cannot_be_changed() -> None:
    assert tables.intake_rows() is tables.intake_rows()
    with pytest.raises(AttributeError):
        tables.intake_rows()[0].rda = 0


def test_an_unknown_word_for_provenance_is_refused() -> None:
    with pytest.raises(ValueError, match="not one of published"):
        tables.provenance("verified")


def test_an_open_range_has_no_three_values() -> None:
    with pytest.raises(ValueError, match="open on a side"):
        tables.sport_range("protein_issn_high")


def test_the_weakest_provenance_wins() -> None:
    assert tables.weakest(["published", "from memory", "worked by hand"]) == "from memory"
