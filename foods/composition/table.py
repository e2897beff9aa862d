"""
The food table: look foods up, search them, and hand out their amounts as arrays.

This module alone owns data frames. Amounts are per 100 g edible part throughout; a value that was
not measured is absent from dictionaries and NaN in arrays, never zero.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from functools import cache, cached_property
from importlib.resources import files
from io import BytesIO
from typing import TYPE_CHECKING, Literal, Self

import numpy as np
import numpy.typing as npt

from foods.registry.errors import FoodError
from foods.registry.models import INFANT_GROUP, Food, Portion
from foods.registry.nutrients import NUTRIENT_KEYS, nutrient

if TYPE_CHECKING:
    import pandas as pd

FloatArray = npt.NDArray[np.float64]
Basis = Literal["analysed", "calculated", "label", "assumed zero", "derived", "missing"]
"""What a value rests on."""

_BASIS_OF_SOURCE: dict[str, Basis] = {
    "1": "analysed",
    "4": "calculated",
    "5": "label",
    "6": "analysed",
    "7": "assumed zero",
    "8": "label",
    "9": "label",
    "11": "calculated",
    "12": "analysed",
    "13": "analysed",
    "": "derived",
}
"""The release's source codes (its file SRC_CD) in plain words; derived values have none."""


_FOOD_TEXT = (
    "ndb",
    "description",
    "common_names",
    "scientific_name",
    "group_code",
    "group",
    "plant_based",
    "reason",
    "refuse_description",
)
_FOOD_NUMBERS = (
    "refuse_pct",
    "nitrogen_factor",
    "protein_kcal_per_g",
    "fat_kcal_per_g",
    "carbohydrate_kcal_per_g",
)


def _read(name: str, text: dict[str, object]) -> pd.DataFrame:
    import pandas as pd

    # Empty is the only sign of a missing value: the texts "NA" and "nan" must stay texts.
    numbers = (*_FOOD_NUMBERS, "value", "n_samples", "std_error")
    content = files("foods").joinpath("data", name).read_bytes()
    return pd.read_csv(
        BytesIO(content),
        dtype=text,  # type: ignore[arg-type]
        keep_default_na=False,
        na_values={column: [""] for column in numbers},
    )


@cache
def _shipped() -> FoodTable:
    import pandas as pd

    foods = _read("foods.csv", dict.fromkeys(_FOOD_TEXT, "str"))
    values = _read(
        "values.csv",
        {
            "ndb": pd.CategoricalDtype(foods["ndb"]),
            "nutrient": pd.CategoricalDtype(list(NUTRIENT_KEYS)),
            "derivation": "str",
            "source_code": "str",
        },
    )
    weights = _read("weights.csv", {"ndb": "str", "measure": "str"})
    return FoodTable(foods=foods, values=values, weights=weights)


def _tokens(text: str) -> list[str]:
    return re.findall(r"[a-z0-9]+(?:'[a-z]+)?", text.lower())


class FoodTable:
    """
    Foods with their amounts, measures and standing.

    Parameters
    ----------
    foods : pandas.DataFrame
        One row a food; columns as in ``foods.csv``.
    values : pandas.DataFrame
        One row a food and nutrient; columns as in ``values.csv``, amounts per 100 g.
    weights : pandas.DataFrame
        One row a household measure; columns as in ``weights.csv``.
    """

    def __init__(self, foods: pd.DataFrame, values: pd.DataFrame, weights: pd.DataFrame) -> None:
        import pandas as pd

        self._foods = foods
        self._values = values
        self._weights = weights
        self._position = {ndb: row for row, ndb in enumerate(foods["ndb"])}
        self._with_values = {ndb: row for row, ndb in enumerate(pd.unique(values["ndb"]))}
        self._column = {key: column for column, key in enumerate(NUTRIENT_KEYS)}

    @classmethod
    def load(cls) -> Self:
        """
        Load the table that ships with the package, once a process.

        Returns
        -------
        FoodTable
        """
        return _shipped()  # type: ignore[return-value]

    def __len__(self) -> int:
        """Count the foods, whatever their standing."""
        return len(self._position)

    def __contains__(self, ndb: object) -> bool:
        """Say whether a number is in the table."""
        return ndb in self._position

    @cached_property
    def offered(self) -> tuple[str, ...]:
        """Numbers of every food that may be offered, in order."""
        return tuple(self._foods.loc[self._is_offered, "ndb"])

    @property
    def nutrients(self) -> tuple[str, ...]:
        """Keys of every nutrient the table can hand out, in the order of the registry."""
        return NUTRIENT_KEYS

    def food(self, ndb: str) -> Food:
        """
        Look up one food, plant-based or not.

        Parameters
        ----------
        ndb : str
            Number in the release, five digits.

        Returns
        -------
        Food

        Raises
        ------
        FoodError
            No food has this number; the message names near ones.
        """
        import pandas as pd

        row = self._foods.iloc[self._row(ndb)]
        numbers = {name: None if pd.isna(row[name]) else float(row[name]) for name in _FOOD_NUMBERS}
        return Food.model_validate({**{name: row[name] for name in _FOOD_TEXT}, **numbers})

    def search(self, text: str, limit: int = 20) -> tuple[Food, ...]:
        """
        Find foods whose description, other names or Latin name hold every word of a text.

        Words match from their beginning and a plural finds its singular. Foods that may be offered
        come first, then those whose description opens with the words, then the shorter ones.

        Parameters
        ----------
        text : str
            Words in any order, such as ``lentils cooked``.
        limit : int
            Most foods handed back.

        Returns
        -------
        tuple of Food
            Empty when nothing matches.
        """
        wanted = [re.sub(r"(?<=\w{3})(?:es|s)$", "", word) for word in _tokens(text)]
        if not wanted:
            return ()
        hits = []
        for row, words in enumerate(self._search_words):
            places = [
                next((n for n, word in enumerate(words) if word.startswith(start)), None)
                for start in wanted
            ]
            if None not in places:
                hits.append((not self._is_offered[row], places[0], len(words), row))
        hits.sort()
        ndbs = self._foods["ndb"]
        return tuple(self.food(ndbs.iloc[hit[-1]]) for hit in hits[:limit])

    def per_100g(self, ndb: str) -> dict[str, float]:
        """
        Amounts of one food.

        Parameters
        ----------
        ndb : str
            Number in the release.

        Returns
        -------
        dict of str to float
            Nutrient key to amount per 100 g edible part; a nutrient not measured is absent.
        """
        amounts = self._amounts[self._value_row(ndb)]
        return {
            key: float(amount)
            for key, amount in zip(NUTRIENT_KEYS, amounts, strict=True)
            if not np.isnan(amount)
        }

    def matrix(self, ndbs: Sequence[str], nutrients: Sequence[str]) -> FloatArray:
        """
        Amounts of many foods.

        Parameters
        ----------
        ndbs : sequence of str
            Numbers in the release.
        nutrients : sequence of str
            Nutrient keys.

        Returns
        -------
        numpy.ndarray
            (foods, nutrients), per 100 g edible part; NaN where not measured.
        """
        return self._cut(self._amounts, ndbs, nutrients)

    def std_error_matrix(self, ndbs: Sequence[str], nutrients: Sequence[str]) -> FloatArray:
        """
        Give the standard errors of the amounts.

        Parameters
        ----------
        ndbs, nutrients : sequence of str
            As for ``matrix``.

        Returns
        -------
        numpy.ndarray
            (foods, nutrients), in the nutrient's unit per 100 g; NaN where none is stated.
        """
        return self._cut(self._std_errors, ndbs, nutrients)

    def sample_count_matrix(self, ndbs: Sequence[str], nutrients: Sequence[str]) -> FloatArray:
        """
        Numbers of samples analysed.

        Parameters
        ----------
        ndbs, nutrients : sequence of str
            As for ``matrix``.

        Returns
        -------
        numpy.ndarray
            (foods, nutrients), counts; 0 where the value is calculated or imputed, NaN where there
            is no value at all.
        """
        return self._cut(self._sample_counts, ndbs, nutrients)

    def derivation(self, ndb: str, key: str) -> str:
        """
        How a value came about.

        Parameters
        ----------
        ndb : str
            Number in the release.
        key : str
            Nutrient key.

        Returns
        -------
        str
            Derivation code of the release, ``=506+507`` for a value derived here from those release
            numbers, or empty when the release states no code.

        Raises
        ------
        FoodError
            The food has no value of this nutrient.
        """
        nutrient(key)
        self._value_row(ndb)
        rows = self._values
        found = rows.loc[(rows["ndb"] == ndb) & (rows["nutrient"] == key), "derivation"]
        if found.empty:
            raise FoodError(
                f"food {ndb} has no value of {key}: it was not measured, which is not zero"
            )
        return str(found.iloc[0])

    def basis_matrix(self, ndbs: Sequence[str], nutrients: Sequence[str]) -> npt.NDArray[np.str_]:
        """
        Say what each value rests on.

        Parameters
        ----------
        ndbs, nutrients : sequence of str
            As for ``matrix``.

        Returns
        -------
        numpy.ndarray
            (foods, nutrients), words of ``Basis``. ``analysed`` includes values the release derives
            from analyses of the same or a like food; a count of 0 samples tells them apart. A
            pooled value with samples counts as analysed.
        """
        rows, columns = self._places(ndbs, nutrients)
        return self._bases[np.ix_(rows, columns)]

    def portions(self, ndb: str) -> tuple[Portion, ...]:
        """
        Household measures of one food, in the release's order.

        Parameters
        ----------
        ndb : str
            Number in the release.

        Returns
        -------
        tuple of Portion
            Empty when the release states none.
        """
        self._value_row(ndb)
        rows = self._weights[self._weights["ndb"] == ndb]
        return tuple(
            Portion(ndb=ndb, sequence=int(s), amount=float(a), measure=str(m), grams=float(g))
            for s, a, m, g in zip(
                rows["sequence"], rows["amount"], rows["measure"], rows["grams"], strict=True
            )
        )

    @cached_property
    def _search_words(self) -> list[list[str]]:
        foods = self._foods
        text = foods["description"] + " " + foods["common_names"] + " " + foods["scientific_name"]
        return [_tokens(one) for one in text]

    @cached_property
    def _is_offered(self) -> list[bool]:
        foods = self._foods
        return list((foods["plant_based"] == "yes") & (foods["group_code"] != INFANT_GROUP))

    @cached_property
    def _amounts(self) -> FloatArray:
        return self._dense("value")

    @cached_property
    def _std_errors(self) -> FloatArray:
        return self._dense("std_error")

    @cached_property
    def _sample_counts(self) -> FloatArray:
        return self._dense("n_samples")

    def _dense(self, column: str) -> FloatArray:
        dense = np.full((len(self._with_values), len(NUTRIENT_KEYS)), np.nan)
        dense[self._where] = self._values[column].to_numpy(dtype=np.float64)
        return dense

    @cached_property
    def _where(self) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
        return (
            np.asarray(self._values["ndb"].map(self._with_values), dtype=np.intp),
            np.asarray(self._values["nutrient"].map(self._column), dtype=np.intp),
        )

    @cached_property
    def _bases(self) -> npt.NDArray[np.str_]:
        words = np.full(self._amounts.shape, "missing", dtype="U12")
        words[self._where] = np.asarray(
            self._values["source_code"].map(_BASIS_OF_SOURCE), dtype="U12"
        )
        words[(self._sample_counts > 0) & (words == "calculated")] = "analysed"
        return words

    def _places(self, ndbs: Sequence[str], nutrients: Sequence[str]) -> tuple[list[int], list[int]]:
        return (
            [self._value_row(ndb) for ndb in ndbs],
            [self._column[nutrient(key).key] for key in nutrients],
        )

    def _cut(self, dense: FloatArray, ndbs: Sequence[str], nutrients: Sequence[str]) -> FloatArray:
        rows, columns = self._places(ndbs, nutrients)
        return dense[np.ix_(rows, columns)]

    def _row(self, ndb: str) -> int:
        row = self._position.get(ndb)
        if row is None:
            near = get_close_matches(str(ndb), self._position, n=3, cutoff=0.6)
            hint = "; ".join(
                f"{other} {self._foods['description'].iloc[self._position[other]]}"
                for other in near
            )
            raise FoodError(
                f"food {ndb!r} is not in the table: numbers are five digits with their leading "
                "zeros, as in USDA release 28. "
                + (f"Near it: {hint}" if hint else "Search by name instead.")
            )
        return row

    def _value_row(self, ndb: str) -> int:
        row = self._with_values.get(ndb)
        if row is None:
            food = self.food(ndb)
            raise FoodError(
                f"food {ndb} ({food.description}) is not offered, so its values are not kept: "
                f"plant-based is {food.plant_based!r}, because {food.reason}. "
                "Pick a food that is listed as offered."
            )
        return row
