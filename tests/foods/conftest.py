from pathlib import Path

import pytest

from foods import FoodTable

# A release in miniature: one plant food with a gap and a zero, one animal food.
TINY_RELEASE = {
    "FD_GROUP": ["~0100~^~Dairy and Egg Products~", "~1100~^~Vegetables and Vegetable Products~"],
    "FOOD_DES": [
        "~11999~^~1100~^~Turnip, raw~^~TURNIP,RAW~^~neep~^~~^~Y~^~Peel~^12^~Brassica rapa~^6.25"
        "^2.44^8.37^3.57",
        "~01999~^~0100~^~Milk, whole~^~MILK~^~~^~~^~~^~~^0^~~^6.38^4.27^8.79^3.87",
    ],
    "FOOTNOTE": ["~11999~^~01~^~D~^~~^~Purple top~"],
    "LANGUAL": ["~11999~^~B1238~"],
    "NUTR_DEF": [
        "~203~^~g~^~PROCNT~^~Protein~^~2~^~600~",
        "~204~^~g~^~FAT~^~Total lipid (fat)~^~2~^~800~",
        "~205~^~g~^~CHOCDF~^~Carbohydrate, by difference~^~2~^~1100~",
        "~208~^~kcal~^~ENERC_KCAL~^~Energy~^~0~^~300~",
        "~318~^~IU~^~VITA_IU~^~Vitamin A, IU~^~0~^~7500~",
    ],
    "NUT_DATA": [
        f"~{ndb}~^~{number}~^{value}^{samples}^{error}^~1~^~A~^~~^~~^^^^^^^~~^11/1976^"
        for ndb, number, value, samples, error in [
            ("01999", "203", "3.2", "1", ""),
            ("01999", "204", "3.3", "1", ""),
            ("01999", "205", "4.8", "1", ""),
            ("01999", "208", "61", "0", ""),
            ("01999", "601", "10", "3", ""),
            ("11999", "203", "0.90", "4", "0.1"),
            ("11999", "204", "0.10", "4", "0.01"),
            ("11999", "205", "6.43", "0", ""),
            ("11999", "208", "28", "0", ""),
            ("11999", "291", "1.8", "3", ""),
            ("11999", "318", "0", "1", ""),
            ("11999", "418", "0.00", "0", ""),
            ("11999", "506", "0.011", "2", "0.003"),
            ("11999", "507", "0.005", "3", "0.004"),
            ("11999", "508", "0.017", "2", ""),
            ("11999", "501", "0.009", "2", ""),
            ("11999", "406", "0.400", "5", "0.02"),
            ("11999", "619", "0.040", "0", ""),
        ]
    ],
    "WEIGHT": [
        "~01999~^1^1^~cup~^244^^",
        "~11999~^2^.5^~cup,  cubes~^65^^",
        "~11999~^1^1^~large~^183^^",
    ],
}


def write_release(folder: Path, **changed: list[str]) -> Path:
    """Write the tiny release, with some of its files changed."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, lines in {**TINY_RELEASE, **changed}.items():
        (folder / f"{name}.txt").write_bytes(
            "".join(f"{line}\r\n" for line in lines).encode("latin-1")
        )
    return folder


@pytest.fixture
def tiny_release(tmp_path: Path) -> Path:
    return write_release(tmp_path / "sr28")


@pytest.fixture
def release_with(tmp_path: Path):
    """Make a tiny release with some files changed."""

    def make(**changed: list[str]) -> Path:
        return write_release(tmp_path / "changed", **changed)

    return make


@pytest.fixture(scope="session")
def table() -> FoodTable:
    return FoodTable.load()
