"""
What a client's words mean: foods and dishes never to serve, and those wanted seldom or often.

Liking is said on a short verbal scale in the manner of sensory testing [1]_, one list a step:
never, rather not (``dislikes``), now and then (``seldom``), gladly (``likes``), most of all
(``favourites``); what is named nowhere lies in the middle. A word may be a food, a food group, a
dish by key or name, a kind of dish, a cooking tradition, a texture or a degree of chilli heat.
Where two words speak of the same thing the narrower one counts: beans seldom, but edamame gladly.

References
----------
.. [1] Peryam, D.R., Pilgrim, F.J., Food Technology 11(9 suppl.), 1957, 9-14: liking as a scale of
   verbal categories.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from foods import FoodError
from foods.composition.catalogue import Catalogue
from foods.composition.food_words import normalised
from foods.dishes.kinds import kinds_called
from foods.dishes.load import former_keys
from foods.dishes.model import Dish
from mealplan.client.health import avoided_with
from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.kitchen.taste_words import HEATS, KINDS, TEXTURES, regions

Grade = Literal["dislikes", "seldom", "likes", "favourites"]
GRADES: tuple[Grade, ...] = ("dislikes", "seldom", "likes", "favourites")
"""From least to most wanted; a tie between two words goes to the earlier."""

STEPS: Mapping[str, str] = {
    "never": "never",
    "dislikes": "rather not",
    "seldom": "now and then",
    "likes": "gladly",
    "favourites": "most of all",
}
"""Fields of the intake's tastes by the words for them, from least to most wanted."""

MILD = 1
"""Most heat of a food that someone eats who wants nothing hot: a little pepper or ginger."""
SINGLED_OUT = 2
"""What is bought with something disliked inside gives way to no wider word than its own name."""
_SLIMY = ("okra", "natto", "chia", "seaweed")
"""Foods that turn viscous or slippery (common practice)."""
_ALSO_FOODS = ("hot", "spicy")
"""Words for a degree of heat that name foods as well."""
_SUFFIXES = ("dish", "texture", "heat", "food", "cooking", "cuisine")


@dataclass(frozen=True)
class Liking:
    """One word for what the client eats gladly or most of all, and what it means."""

    word: str
    grade: Grade
    foods: frozenset[str]
    dishes: frozenset[str]
    tradition: bool
    """True where it names a kitchen or a region."""


@dataclass(frozen=True)
class Exclusions:
    """What this client's words mean in catalogue foods and dishes."""

    foods: frozenset[str]
    """Never served."""
    dishes_never: frozenset[str]
    food_grades: Mapping[str, Grade] = field(default_factory=dict)
    """By catalogue key."""
    dish_grades: Mapping[str, Grade] = field(default_factory=dict)
    """By dish key: the dish itself, whatever is in it."""
    words: Mapping[str, int] = field(default_factory=dict)
    """Each word of the client with the number of foods and dishes it matched."""
    likings: tuple[Liking, ...] = ()
    """What is eaten gladly or most of all, word by word."""

    @property
    def disliked(self) -> frozenset[str]:
        """Foods served only when little else is possible."""
        return frozenset(k for k, grade in self.food_grades.items() if grade == "dislikes")

    @property
    def liked(self) -> frozenset[str]:
        """Foods that are welcome."""
        return frozenset(
            k for k, grade in self.food_grades.items() if grade in ("likes", "favourites")
        )

    def grades(self, dish: Dish) -> list[Grade]:
        """
        List the grades of a dish's required foods, and its own.

        Parameters
        ----------
        dish : Dish

        Returns
        -------
        list of str
            In the order of its lines, one entry a graded food.
        """
        grades = [
            self.food_grades[line.food]
            for line in dish.lines
            if not line.optional and line.food in self.food_grades
        ]
        if dish.key in self.dish_grades:
            grades.append(self.dish_grades[dish.key])
        return grades


def read_word(
    word: str,
    catalogue: Catalogue,
    dishes: Sequence[Dish],
    where: str = "likes",
    *,
    strict: bool = False,
) -> tuple[frozenset[str], frozenset[str]]:
    """
    Say which foods and dishes a client's word means.

    Parameters
    ----------
    word : str
        As typed.
    catalogue : Catalogue
    dishes : sequence of Dish
    where : str
        Field it stands in, for the message.
    strict : bool
        True adds foods whose shop product often carries the allergen.

    Returns
    -------
    foods, dishes : frozenset of str
        Keys.

    Raises
    ------
    IntakeError
        When the word means nothing here; the message offers near words.
    """
    plain, bare = normalised(word), _bare(word)
    word = former_keys().get(word, word)
    named = [d for d in dishes if word == d.key or plain in (normalised(d.name), normalised(d.key))]
    if named:
        return frozenset(), _keys(named)
    if bare in TEXTURES:
        return frozenset(), _which(dishes, lambda d: d.texture == TEXTURES[bare])
    if bare == "slimy":
        slimy = (food.key for part in _SLIMY for food in catalogue.match(part))
        return frozenset(slimy), frozenset()
    of_tradition = _of_tradition(word, dishes)
    if of_tradition:
        return frozenset(), of_tradition
    if bare in HEATS or plain in HEATS:
        least, most = HEATS[bare] if bare in HEATS else HEATS[plain]
        hot = _which(dishes, lambda d: least <= d.heat <= most)
        foods = catalogue.match(bare, strict=strict) if bare in _ALSO_FOODS else ()
        return frozenset(food.key for food in foods), hot
    said = {bare, word.strip().lower().removesuffix("s")}
    kinds = kinds_called(word) or kinds_called(bare)
    called_so = _which(
        dishes,
        lambda d: d.kind in kinds or any(_within(phrase, normalised(d.name)) for phrase in said),
    )
    try:
        matched = frozenset(food.key for food in catalogue.match(word, strict=strict))
    except FoodError as error:
        if called_so:
            return frozenset(), called_so
        raise IntakeError(f"tastes.{where}: {error}") from None
    return matched, called_so if bare in KINDS or kinds else frozenset()


def _bare(word: str) -> str:
    """Leave off what people add to a word: *cooking*, *food*, *texture*."""
    plain = normalised(word)
    first, _, last = plain.rpartition(" ")
    return first if first and last in _SUFFIXES else plain


def _of_tradition(word: str, dishes: Sequence[Dish]) -> frozenset[str]:
    """Find the dishes of the kitchen or region a word names."""
    bare = _bare(word)
    region = regions().get(bare) or regions().get(normalised(word), ())
    return _which(dishes, lambda d: d.tradition in region or _within(bare, normalised(d.tradition)))


def _keys(dishes: Iterable[Dish]) -> frozenset[str]:
    return frozenset(dish.key for dish in dishes)


def _which(dishes: Sequence[Dish], test: Callable[[Dish], bool]) -> frozenset[str]:
    return _keys(dish for dish in dishes if test(dish))


def _within(phrase: str, text: str) -> bool:
    """Say whether whole words stand in a text."""
    return f" {phrase} " in f" {text} "


def read_exclusions(intake: Intake, catalogue: Catalogue, dishes: Sequence[Dish]) -> Exclusions:
    """
    Turn the client's words into foods and dishes.

    Parameters
    ----------
    intake : Intake
        Allergies, never, and the steps of liking.
    catalogue : Catalogue
        Foods and their allergens.
    dishes : sequence of Dish
        All dishes.

    Returns
    -------
    Exclusions

    Raises
    ------
    IntakeError
        When a word means no food, group, allergen, dish or property of dishes; the message offers
        near words.
    """
    tastes = intake.tastes
    # With a history of anaphylaxis, foods whose labels often carry the allergen go as well.
    strict = "anaphylaxis" in intake.health
    words: dict[str, int] = {}

    def allergic(names: Iterable[str]) -> set[str]:
        found: set[str] = set()
        for name in names:
            try:
                keys = {food.key for food in catalogue.match(name, strict=strict)}
                keys |= _commonly(catalogue, catalogue.label_words(name))
            except FoodError as error:
                raise IntakeError(f"tastes.allergies: {error}") from None
            words[name] = len(keys)
            found |= keys | _made_with(catalogue, keys)
        return found

    foods = allergic(tastes.allergies)
    for word in avoided_with(intake.health):
        foods |= {food.key for food in catalogue.match(word)}
        foods |= _commonly(catalogue, catalogue.label_words(word))
    if tastes.oats_ok_when_gluten_free:
        kept = allergic(a for a in tastes.allergies if a != "gluten")
        oats = {food.key for food in catalogue.match("oats")}
        gluten_grains = {
            food.key for food in catalogue.foods if {"wheat", "rye", "barley"} & set(food.allergens)
        }
        foods -= oats - kept - gluten_grains
    if tastes.heat_max <= MILD:
        foods |= {food.key for food in catalogue.foods if food.heat > MILD}
    dishes_never: set[str] = set()
    for word in tastes.never:
        of_foods, of_dishes = read_word(word, catalogue, dishes, "never")
        foods |= of_foods | _made_with(catalogue, of_foods)
        dishes_never |= of_dishes
        words[word] = len(of_foods) + len(of_dishes)
    food_grades, dish_grades, likings = _grades(intake, catalogue, dishes, words)
    return Exclusions(
        foods=frozenset(foods),
        dishes_never=frozenset(dishes_never),
        food_grades={key: grade for key, grade in food_grades.items() if key not in foods},
        dish_grades=dish_grades,
        words=words,
        likings=likings,
    )


def _commonly(catalogue: Catalogue, allergens: Collection[str]) -> set[str]:
    """Name foods that are commonly made with an allergen, which only a label can clear."""
    return {food.key for food in catalogue.foods if set(food.commonly_holds) & set(allergens)}


def _made_with(catalogue: Catalogue, keys: Collection[str]) -> frozenset[str]:
    """Name the bought foods that are made with some foods."""
    return frozenset(food.key for food in catalogue.foods if set(food.made_with) & set(keys))


def _grades(
    intake: Intake, catalogue: Catalogue, dishes: Sequence[Dish], words: dict[str, int]
) -> tuple[dict[str, Grade], dict[str, Grade], tuple[Liking, ...]]:
    """Grade foods and dishes; the word that means fewer of them is the one that counts."""
    said: list[tuple[int, int, Grade, frozenset[str], frozenset[str]]] = []
    likings: list[Liking] = []
    for rank, grade in enumerate(GRADES):
        for word in getattr(intake.tastes, grade):
            of_foods, of_dishes = read_word(word, catalogue, dishes, grade)
            if grade in ("likes", "favourites") and not (of_foods or of_dishes):
                raise IntakeError(
                    f"tastes.{grade}: {word!r} is known but no plant food here is it; leave it out"
                )
            words[word] = len(of_foods) + len(of_dishes)
            if grade in ("likes", "favourites"):
                kitchen = bool(_of_tradition(word, dishes))
                likings.append(Liking(word, grade, of_foods, of_dishes, kitchen))
            said.append((len(of_foods) + len(of_dishes), rank, grade, of_foods, of_dishes))
    food_grades: dict[str, Grade] = {}
    dish_grades: dict[str, Grade] = {}
    for word in intake.tastes.dislikes:
        # What is bought with it inside is as little wanted, though its own group be liked.
        of_foods = _made_with(catalogue, read_word(word, catalogue, dishes, "dislikes")[0])
        said.append((SINGLED_OUT, 0, "dislikes", of_foods, frozenset()))
    for _, _, grade, of_foods, of_dishes in sorted(said, key=lambda item: item[:2], reverse=True):
        food_grades |= dict.fromkeys(of_foods, grade)
        dish_grades |= dict.fromkeys(of_dishes, grade)
    return food_grades, dish_grades, tuple(likings)


def with_word(intake: Intake, step: str, word: str) -> Intake:
    """
    Put a word on a step of liking; it leaves any it stood on before.

    Parameters
    ----------
    intake : Intake
    step : str
        One of :data:`STEPS`, or ``nothing`` to take the word off all of them.
    word : str

    Returns
    -------
    Intake

    Raises
    ------
    IntakeError
        When there is no such step, or the word is empty.
    """
    if step not in STEPS and step != "nothing":
        raise IntakeError(f"{step[:40]!r} is no step of liking; choose {', '.join(STEPS)}")
    word = " ".join(word.split())
    if not word:
        raise IntakeError("no word was typed; write a food, a group, a dish or a texture")
    tastes = {
        name: [old for old in getattr(intake.tastes, name) if normalised(old) != normalised(word)]
        for name in STEPS
    }
    if step in tastes:
        tastes[step].append(word)
    data = intake.model_dump(mode="json")
    data["tastes"] |= tastes
    return parse_intake(data)


def check_tastes(intake: Intake) -> None:
    """
    Refuse words for foods that mean nothing here.

    Parameters
    ----------
    intake : Intake

    Raises
    ------
    IntakeError
        With near words.
    """
    read_exclusions(intake, catalogue_of(intake), dishes_of(intake))
