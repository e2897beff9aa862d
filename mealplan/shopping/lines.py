"""The list itself: frozen lines of what to buy, by aisle, with where every gram goes."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from typing import Literal

from pydantic import BaseModel, ConfigDict

from mealplan.market.packs import PackCount
from mealplan.science.units import G_PER_OUNCE

Section = Literal["buy", "check at home", "at home"]

CHECK_HEADING = "check at home"
AT_HOME_HEADING = "at home already"

_ML_PER_US_FL_OZ = 29.5735295625
_OZ_PER_LB = 16
_OIL_G_PER_ML = 0.92
"""Cooking oils at room temperature. [g/mL]"""


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class DishUse(_Part):
    """How much of a line one dish takes."""

    dish: str
    name: str
    day: dt.date
    """Day it goes into the pot."""
    need_g: float
    """As bought. [g]"""


class ListLine(_Part):
    """
    One thing to buy on one trip.

    All weights are as bought; ``buy_g + from_cupboard_g == need_g + left_over_g``.
    """

    name: str
    """Of what is bought, as the food table has it; names what is kept at home."""
    shop_name: str = ""
    """What a shelf calls it; printed on every list."""
    aisle: str
    section: Section = "buy"
    foods: tuple[str, ...] = ()
    """Catalogue keys of the planned foods it serves."""
    bought: str = ""
    """Catalogue key of the food bought."""
    eaten_g: float = 0.0
    """Weight of those foods as eaten. [g]"""
    need_g: float
    """Weight the plan uses up, with refuse and a can's liquid. [g]"""
    low_g: float
    high_g: float
    """The same where the yield varies from kitchen to kitchen. [g]"""
    thrown_g: float = 0.0
    """Peel, stones, pods and drained liquid within the need. [g]"""
    from_cupboard_g: float = 0.0
    packs: tuple[PackCount, ...] = ()
    pieces: float = 0.0
    piece_name: str = ""
    """Name of the pieces when it is sold loose by the piece."""
    buy_g: float
    left_over_g: float
    dishes: tuple[str, ...]
    uses: tuple[DishUse, ...] = ()
    first_needed: dt.date
    trip_on: dt.date | None = None
    """Day it is bought."""
    second_trip_on: dt.date | None = None
    """The same when it is not the first trip."""
    freeze_from: dt.date | None = None
    """Freeze what is still there on this day and is needed later."""
    past_best: bool = False
    """No trip fits: it will be older than it usually keeps."""
    use_by: dt.date | None = None
    """Last day the left-over keeps; none when it keeps for weeks."""
    running_low: bool = False
    """What stays in the cupboard would not do for another such week."""
    allergens: tuple[str, ...] = ()
    label_check: tuple[str, ...] = ()
    """Allergens the product often holds by recipe or shared line."""
    read_label: tuple[str, ...] = ()
    """Those of them that this client must avoid, after what of animal origin some products hold."""
    need_measure: str = ""
    """The need in kitchen measures, for what is eaten in the state it is bought in."""
    form_note: str = ""
    note: str = ""
    units: Literal["metric", "us"] = "metric"
    fluid: Literal["", "drink", "oil"] = ""
    price: float | None = None
    """What the packs cost, when a price list was given."""

    def packs_text(self) -> str:
        """Say what to ask for: ``2 × 400 g``, ``7 bananas, about 1.3 kg`` or ``350 g``."""
        if self.buy_g == 0:
            return "at home"
        if self.pieces:
            said = _pieces_text(self.pieces, self.piece_name)
            return f"{said}, about {self.weight(_round_weight(self.buy_g, self.units))}"
        if self.packs:
            return " + ".join(f"{pack.count} × {self.weight(pack.size_g)}" for pack in self.packs)
        if self.units == "us" and self.buy_g > 400:
            quarter_lb = 4 * G_PER_OUNCE
            return f"about {self.weight(math.ceil(self.buy_g / quarter_lb) * quarter_lb)}"
        return f"about {self.weight(self.buy_g)}"

    def label_text(self) -> str:
        """Say what this client must look for on the label: nothing, or ``read the label: soy``."""
        words = ", ".join(word.replace("_", " ") for word in self.read_label)
        return f"read the label: {words}" if words else ""

    def weight(self, grams: float) -> str:
        """
        Write a weight in the units of the list; drinks and oils by volume.

        Parameters
        ----------
        grams : float
            Of the food. [g]
        """
        if self.units == "us" and self.aisle == "canned goods":
            return f"{_trim(grams / G_PER_OUNCE)} oz"
        return weight_text(grams, self.units, self.fluid)


class ShoppingList(_Part):
    """Everything a plan needs, by trip and aisle."""

    start: dt.date
    days: int
    people: int
    lines: tuple[ListLine, ...]
    notes: tuple[str, ...] = ()
    aisles: tuple[str, ...] = ()
    """Walking order."""
    trips: tuple[dt.date, ...] = ()
    currency: str = ""

    def by_aisle(self, trip: dt.date | None = None) -> tuple[tuple[str, tuple[ListLine, ...]], ...]:
        """
        Group the lines by aisle in walking order, what to check at home and what is there last.

        Parameters
        ----------
        trip : date, optional
            Only what is bought on that day; everything when left out.

        Returns
        -------
        tuple of (aisle, lines)
        """
        order = {aisle: place for place, aisle in enumerate(self.aisles)}
        chosen = [x for x in self.lines if trip is None or x.trip_on == trip]

        def heading(line: ListLine) -> tuple[int, str]:
            if line.section == "check at home":
                return len(order) + 1, CHECK_HEADING
            if line.section == "at home":
                return len(order) + 2, AT_HOME_HEADING
            return order.get(line.aisle, len(order)), line.aisle

        keyed = sorted(chosen, key=lambda x: (*heading(x), x.shop_name, x.trip_on or self.start))
        return tuple(
            (name, tuple(lines)) for (_, name), lines in itertools.groupby(keyed, key=heading)
        )

    @property
    def to_buy(self) -> tuple[ListLine, ...]:
        """Lines that are bought on a trip."""
        return tuple(line for line in self.lines if line.section == "buy")

    @property
    def to_check(self) -> tuple[ListLine, ...]:
        """Small amounts of things most kitchens have."""
        return tuple(line for line in self.lines if line.section == "check at home")

    @property
    def at_home(self) -> tuple[ListLine, ...]:
        """Lines the cupboard covers whole."""
        return tuple(line for line in self.lines if line.section == "at home")


def weight_text(grams: float, units: Literal["metric", "us"] = "metric", fluid: str = "") -> str:
    """
    Write a weight as a shop does.

    Parameters
    ----------
    grams : float
        [g]
    units : {"metric", "us"}
    fluid : {"", "drink", "oil"}
        Drinks and oils are written by volume.

    Returns
    -------
    str
        Such as ``1.5 kg``, ``400 g``, ``1 l``, ``2 lb`` or ``15.5 oz``.
    """
    if fluid:
        ml = grams / _OIL_G_PER_ML if fluid == "oil" else grams
        return _volume_text(ml, units)
    if units == "us":
        ounces = grams / G_PER_OUNCE
        pounds = ounces / _OZ_PER_LB
        whole = round(pounds * 4) / 4
        if whole >= 1 and abs(pounds - whole) < 0.02 * pounds:
            return f"{whole:g} lb"
        return f"{_trim(ounces)} oz"
    if grams >= 1000:
        return f"{grams / 1000:.2f}".rstrip("0").rstrip(".") + " kg"
    return f"{grams:,.0f} g"


def _volume_text(ml: float, units: Literal["metric", "us"]) -> str:
    if units == "us":
        return f"{_trim(ml / _ML_PER_US_FL_OZ)} fl oz"
    rounded = round(ml / 10) * 10
    if rounded >= 1000:
        return f"{rounded / 1000:.2f}".rstrip("0").rstrip(".") + " l"
    return f"{rounded:,.0f} ml" if ml >= 20 else f"{ml:.0f} ml"


def _trim(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _round_weight(grams: float, units: Literal["metric", "us"]) -> float:
    if units == "us" and grams > 400:
        quarter_lb = 4 * G_PER_OUNCE
        return max(1, round(grams / quarter_lb)) * quarter_lb
    step = 10 if grams < 500 else 100
    return max(step, round(grams / step) * step)


_PARTS = {0.25: "¼", 0.5: "½", 0.75: "¾"}


def _pieces_text(pieces: float, name: str) -> str:
    whole, part = divmod(pieces, 1)
    glyph = _PARTS.get(part, "")
    return f"{int(whole) or ''}{glyph} {name}" if glyph else f"{int(whole)} {name}"
