"""The words for kitchens, kinds and textures that tastes accept are listed and mean something."""

from __future__ import annotations

import json

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.load import load_dishes
from mealplan.cli.main import main
from mealplan.kitchen.preferences import read_word
from mealplan.kitchen.taste_words import regions, taste_words

CATALOGUE = Catalogue.load()
DISHES = load_dishes()


def test_every_listed_word_is_accepted_and_means_the_dishes_it_counts():
    for about, words in taste_words(DISHES, CATALOGUE).items():
        assert words, about
        for one in words:
            foods, dishes = read_word(one.word, CATALOGUE, DISHES)
            assert foods or dishes, one
            if about in ("kitchens", "textures"):
                assert len(dishes) >= one.dishes > 0
            for other in one.also:
                assert read_word(other, CATALOGUE, DISHES)[1] == dishes


def test_every_region_means_kitchens_that_dishes_state():
    stated = {dish.tradition for dish in DISHES}
    for word, meant in regions().items():
        assert set(meant) <= stated, word


# source: common practice (words people use for the kitchens of their region)
@pytest.mark.parametrize("word", ["Pakistani", "Nepali", "Nepalese", "Iranian", "Palestinian",
                                  "South-East Asian", "Scandinavian", "African"])  # fmt: skip
def test_people_find_their_kitchen_by_the_word_they_use(word):
    foods, dishes = read_word(word, CATALOGUE, DISHES)
    assert not foods
    assert len(dishes) >= 5


def test_the_commands_list_them(capsys):
    assert main(["taste-words"]) == 0
    assert "Turkish" in capsys.readouterr().out
    assert main(["taste-words", "--json"]) == 0
    assert {"kitchens", "textures"} <= set(json.loads(capsys.readouterr().out))
    assert main(["dishes", "nepali"]) == 0
    assert "dishes" in capsys.readouterr().out.splitlines()[-1]
