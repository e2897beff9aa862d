"""
Dishes: what a cook can make from catalogue foods, with ranges instead of one fixed recipe.

A dish lives in a TOML file under ``foods/data/dishes/``, one file a cooking tradition. It says
which meals it suits, how much of each food a portion may hold, how it is made and how long it
keeps. It knows nothing of a person: portions are chosen elsewhere, inside these ranges.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Annotated, Literal, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    ValidationInfo,
    field_validator,
    model_validator,
)

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import Action, verbs
from foods.dishes.kinds import dish_kinds
from foods.dishes.line import DishLine
from foods.dishes.minutes import cookers_of, minutes_of
from foods.dishes.plain import sentences_without, shared_words
from foods.dishes.process import cooked_from_dry

Occasion = Literal["breakfast", "midday", "evening", "small"]
"""Meals of the day a dish can suit; ``small`` is a meal between the main ones."""

OCCASIONS: tuple[Occasion, ...] = ("breakfast", "midday", "evening", "small")

Equipment = Literal[
    "hob", "oven", "blender", "pressure cooker", "grill", "kettle", "microwave", "none"
]


class Ratio(BaseModel):
    """Bounds on grams of one food per gram of another, where cooking depends on it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    food: str
    to: str
    low: float = Field(ge=0)
    high: float = Field(gt=0)

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.low > self.high:
            raise ValueError(
                f"ratio {self.food}/{self.to}: low {self.low} is above high {self.high}"
            )
        return self


class Dish(BaseModel):
    """
    One dish with the ranges, method and keeping facts a planner and a cook need.

    Amounts are grams in one portion; minutes are for one batch of ``batch_portions``.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    key: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=80)
    name: str = Field(min_length=3, max_length=60)
    tradition: str = Field(max_length=40)
    kind: str = Field(default="", max_length=40)
    """A row of ``dish_kinds.csv``; empty where a dish of one's own does not say."""
    occasions: tuple[Occasion, ...] = Field(min_length=1)
    lines: tuple[DishLine, ...] = Field(min_length=2, max_length=40)
    ratios: tuple[Ratio, ...] = Field(default=(), max_length=40)
    steps: tuple[Action, ...] = Field(default=(), max_length=40)
    """What is done, as data; words, minutes, cookers and proof follow from it."""
    savoury: bool = True
    """Seasoned with salt rather than sweet."""
    kept: Literal["reheated", "cold"] = "reheated"
    """How a kept portion is eaten; what is put in at the plate is fresh in either case."""
    method: tuple[Annotated[str, Field(max_length=800)], ...] = Field(default=(), max_length=30)
    """Plain sentences of a dish without steps; every food's ``called`` words appear in them."""
    hands_on_min: int = Field(ge=0, le=120, default=0)
    """Of a dish with steps, worked out from them for one typical portion. [min]"""
    total_min: int = Field(ge=0, le=600, default=0)
    soak_night_before: bool = False
    keeps_days: int = Field(ge=0, le=5)
    """Whole days it keeps refrigerated after the day it is cooked; 0 is eat at once [days]."""
    freezes: bool = False
    cooks_from_dry: tuple[str, ...] = ()
    """Foods the method itself takes from dry to done; all others it finds boiled already."""
    batch_portions: int = Field(ge=1, le=8)
    """Most portions one cooking makes sensibly."""
    equipment: tuple[Equipment, ...] = ()
    training: Literal["any", "before", "after", "away from training"] = "any"
    portable: bool = False
    from_hand: bool = False
    """Eaten from the hand as it is carried: no spoon, no board, nothing to mix."""
    only_moving: bool = False
    """Eaten while moving and at no table: gels and the like."""
    heat: int = Field(ge=0, le=3, default=0)
    """Chilli heat: 0 none, 1 mild, 2 hot, 3 very hot."""
    texture: Literal["soft", "crisp", "chewy", "soupy", "creamy", "mixed"] = "mixed"
    protein_base: str = ""
    """What carries the protein, for variety (lentils, tofu, beans, ...)."""
    cautions: tuple[Annotated[str, Field(max_length=400)], ...] = Field(default=(), max_length=12)

    @property
    def proven(self) -> bool:
        """True when its method is data that was proven, false for plain sentences."""
        return bool(self.steps)

    @property
    def toasted(self) -> bool:
        """True where bread is toasted, which a kettle and a box cannot do."""
        return any(verbs()[step.do].cooker == "toaster" for step in self.steps)

    @property
    def only_fuel(self) -> bool:
        """True for what is eaten for its sugar before or during a session and for nothing else."""
        return self.training == "before" and not self.protein_base

    def sentences(self, served: Collection[str]) -> tuple[str, ...]:
        """
        Give a method in plain sentences without those that speak of foods not served.

        Parameters
        ----------
        served : collection of str
            Catalogue keys.

        Returns
        -------
        tuple of str
            As they were written; no food of the dish that is not served is named in them.
        """
        called = [line.called for line in self.lines]
        out = {line.called for line in self.lines if line.food not in served}
        return sentences_without(self.method, called, out)

    def whole(self) -> Dish:
        """
        Give the dish with what its sentences do not let go of made part of it.

        Returns
        -------
        Dish
            The same one when its method is data, or each add-on has sentences of its own.
        """
        if self.proven:
            return self
        shared = shared_words(self.method, [line.called for line in self.lines])
        lines = tuple(
            line.model_copy(update={"optional": line.optional and line.called not in shared})
            for line in self.lines
        )
        return self if lines == self.lines else self.model_copy(update={"lines": lines})

    def _follow(self) -> None:
        """Put in what follows from the steps; nothing of it is ever typed."""
        minutes = minutes_of(self.lines, self.steps)
        self.__dict__.update(
            hands_on_min=minutes.hands,
            total_min=minutes.total,
            soak_night_before=any(step.at == "evening before" for step in self.steps),
            equipment=cookers_of(self.lines, self.steps),
            cooks_from_dry=cooked_from_dry(self.lines, self.steps, Catalogue.load()),
        )

    @field_validator("kind")
    @classmethod
    def _kind_is_known(cls, kind: str) -> str:
        if kind and kind not in dish_kinds():
            raise ValueError(
                f"{kind!r} is no kind of dish; choose one of {', '.join(dish_kinds())}"
            )
        return kind

    @field_validator("method")
    @classmethod
    def _steps_are_sentences(cls, steps: tuple[str, ...]) -> tuple[str, ...]:
        for step in steps:
            if not step.strip().endswith("."):
                raise ValueError(f"method step {step!r} should be a sentence ending in a full stop")
        return steps

    @model_validator(mode="after")
    def _consistent(self, info: ValidationInfo) -> Self:
        if info.context and info.context.get("proven"):
            return self
        foods = [line.food for line in self.lines]
        doubled = sorted({food for food in foods if foods.count(food) > 1})
        if doubled:
            raise ValueError(f"{self.key}: {', '.join(doubled)} appears twice; merge the lines")
        for ratio in self.ratios:
            for food in (ratio.food, ratio.to):
                if food not in foods:
                    raise ValueError(f"{self.key}: ratio names {food}, which is not a line")
        for food in self.cooks_from_dry:
            if food not in foods:
                raise ValueError(f"{self.key}: cooks_from_dry names {food}, which is not a line")
        called = [line.called for line in self.lines]
        twice = sorted({name for name in called if called.count(name) > 1})
        if twice:
            raise ValueError(f"{self.key}: two lines are called {', '.join(twice)}; rename one")
        if self.steps:
            if self.method:
                raise ValueError(f"{self.key}: steps and method say the same twice; drop method")
            self._follow()
            return self
        if not self.method:
            raise ValueError(f"{self.key}: give steps, or a method in plain sentences")
        if not self.hands_on_min or not self.total_min:
            raise ValueError(f"{self.key}: a plain method needs hands_on_min and total_min")
        if not self.equipment:
            raise ValueError(f"{self.key}: a plain method needs equipment")
        text = " ".join(self.method).lower()
        unnamed = [line.called for line in self.lines if line.called.lower() not in text]
        if unnamed:
            raise ValueError(f"{self.key}: the method never mentions {', '.join(unnamed)}")
        if self.total_min < self.hands_on_min:
            raise ValueError(f"{self.key}: total_min is below hands_on_min")
        return self
