"""
Numbers as people write them: "62 kg", "11 st 4", "1,70 m", "5 ft 7", "18,5 %", "1 420 kcal".

A field's name ends in the unit the program keeps (``weight_kg``), so the name says what to turn a
typed quantity into. Where a comma or point could be two things, the one a person could have is
taken; where both could be, or a bare number is unusual, it is asked; writing the unit settles it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from mealplan.client.typed_kinds import MOST_OF_SECOND, SECOND, TypedKind, kind_of
from mealplan.client.typed_numbers import TypedToken, cut_up, each_word
from mealplan.client.typed_remarks import clear_number, spaced_right
from mealplan.errors import IntakeError
from mealplan.science.units import CM_PER_INCH, KG_PER_LB, kcal_from_kj

LONGEST_TYPED = 60
"""Longest text of one quantity. [characters]"""


@dataclass(frozen=True)
class TypedQuantity:
    """A typed quantity as it was understood."""

    value: float
    """In the field's own unit."""
    unit: str
    shown: str
    """As it is shown back, such as ``71.7 kg``."""


_LESS = each_word(
    """
    lose loss losing down less minus deficit under below drop cut off verlieren
    abnehmen perdre perder afvallen lower lighter weniger
    """
)
_MORE = each_word("gain plus gaining up more surplus above over add zunehmen heavier put on")
_PER = frozenset({"/", "per", "a", "each", "every", "pro", "par", "por", "an", "the", "je"})
_FILLER = each_word("""
    about around ca approx approximately circa roughly a an the of old and my i im am is it its at
    rest body fat ish or so nearly almost just over under usually normally maybe probably think
    between from to weigh weight height tall measured per currently now in total for me mass
    needs kg/m max maximum most up each every on average since last ago with without before
    after eating meal fasted lying quiet bmr rmr ree resting energy metabolic rate kilo's year-old
    ungefahr etwa environ aproximadamente ongeveer alt vieux gross roundabout give take
    waist hips hip neck navel belly round sleep night overnight shoes barefoot morning evening
    dexa scan dxa calipers test training work job mostly day days week do by expected target goal
    turned ht wt scale scales says clothes clothed no my
    ideally hopefully all standing sitting people job want would like
    need budget food spend money groceries shopping max.
    """)


def read_quantity(name: str, text: str) -> TypedQuantity:
    """
    Read a number as it was typed into a field.

    Parameters
    ----------
    name : str
        Place in the intake, such as ``weight_kg``, ``girths.waist_cm`` or ``goal.change_kg``.
    text : str
        Such as ``11 st 4`` or ``1,70 m``.

    Returns
    -------
    TypedQuantity
        In the field's own unit.

    Raises
    ------
    IntakeError
        In the words of the page: what was typed, why it does not read, how to write it.
    """
    kind = kind_of(name)
    typed = " ".join(text.split())
    if not typed or len(typed) > LONGEST_TYPED:
        raise IntakeError(f"write {kind.example}; {len(typed):,} letters were typed")
    typed = spaced_right(typed, kind)
    try:
        value = _value(typed, kind)
    except IntakeError as fault:
        clear = clear_number(typed, kind)
        if not clear or clear == typed:
            raise
        try:
            value = _value(clear, kind)
        except IntakeError:
            raise fault from None
    if kind.whole:
        value = float(int(value + 1e-9))
    return TypedQuantity(value, kind.unit, f"{value:,.4g} {kind.unit}".strip())


def _value(typed: str, kind: TypedKind) -> float:
    said = _Said(typed, kind)
    said.read(cut_up(typed))
    return said.value()


@dataclass
class _Said:
    """What a typed quantity says, term by term."""

    typed: str
    kind: TypedKind
    sign: int = 1
    terms: list[tuple[TypedToken, str]] = field(default_factory=list)
    """Numbers with the unit behind each; empty where none is."""
    upper: TypedToken | None = None
    """Upper end of a range such as 70-72."""
    per: float = 1.0
    worded: float | None = None

    def fault(self, why: str) -> IntakeError:
        return IntakeError(f"“{self.typed}” {why}; write {self.kind.example}")

    def read(self, cuts: Sequence[TypedToken]) -> None:
        """Go through the text once."""
        place = 0
        while place < len(cuts):
            place += self._take(cuts, place)
        if not self.terms and self.worded is None:
            raise self.fault("holds no number")

    def _take(self, cuts: Sequence[TypedToken], place: int) -> int:
        cut = cuts[place]
        following = cuts[place + 1] if place + 1 < len(cuts) else TypedToken("mark", "")
        if self._is_per(cut, following):
            self.per *= self.kind.per[following.text]
            return 2
        if cut.kind == "number":
            return self._number(cut, following)
        if cut.text in self.kind.units and cut.text not in ("of", "us"):
            return self._unit(cut.text)
        if cut.text == "'" and following.text == "'":
            return self._unit('"') + 1
        if cut.text in ("-", "to", "or", "bis") and self.terms and following.kind == "number":
            return self._range(following)
        if (cut.text == "-" and not self.terms) or (cut.text in _LESS and self.kind.low < 0):
            self.sign = -1
        elif cut.text in self.kind.words and not self.terms:
            self.worded = self.kind.words[cut.text]
        elif not self._passes(cut):
            raise self.fault("does not read here")
        return 1

    def _number(self, cut: TypedToken, following: TypedToken) -> int:
        if not cut.digits and following.text not in self.kind.units and not self._bare_words(cut):
            return 1  # "a" or "one" in front of something else
        if self.terms and self.terms[-1][1] and not cut.digits and cut.values[0] < 1:
            last, unit = self.terms[-1]  # an hour and a half
            whole = tuple(value + cut.values[0] for value in last.values)
            self.terms[-1] = (TypedToken("number", last.text, whole), unit)
            return 1
        if len(self.terms) == 2:
            raise self.fault("holds more than two numbers")
        self.terms.append((cut, ""))
        return 1

    def _bare_words(self, cut: TypedToken) -> bool:
        """Say whether a number in words stands for itself: twenty eight, but not a or an."""
        return cut.text not in ("a", "an", "un", "una", "une", "ein", "eine", "een")

    def _is_per(self, cut: TypedToken, following: TypedToken) -> bool:
        says = cut.text in (
            "/",
            "per",
            "a",
            "each",
            "every",
            "pro",
            "par",
            "por",
            "an",
            "the",
            "je",
        )
        return says and bool(self.terms) and following.text in self.kind.per

    def _unit(self, unit: str) -> int:
        if self.terms and not self.terms[-1][1]:
            self.terms[-1] = (self.terms[-1][0], unit)
        elif unit in ("$", "€", "£", "aged", "age"):
            pass
        elif not self.terms and unit in ("hour", "h", "month", "year", "week", "fortnight"):
            self.terms.append((TypedToken("number", "1", (1.0,)), unit))
        return 1

    def _range(self, following: TypedToken) -> int:
        first, unit = self.terms[-1]
        low = first.values[0] if first.values else 0.0
        high = following.values[0] if following.values else 0.0
        second = SECOND.get(unit, "")
        feet = self.kind.unit == "cm" and low < 9 and not unit
        if second or feet or len(self.terms) > 1 or not low < high <= 2 * low + 2:
            return 1
        self.upper = following
        return 2

    def _passes(self, cut: TypedToken) -> bool:
        """Say whether a word or mark leaves the number as it is."""
        word = cut.text
        if cut.kind == "mark":
            return word in "()+-.,/?!:;~*=&@"
        if word in _FILLER or word in _MORE or word in _LESS:
            return True
        return word in self.kind.per and bool(self.terms)

    def value(self) -> float:
        """Put the terms together in the field's unit."""
        if not self.terms:
            assert self.worded is not None
            return self.worded
        if self.sign < 0 and self.kind.low >= 0:
            raise self.fault("is below nothing")
        first, unit = self.terms[0]
        options = self._options(first, unit)
        value = self.sign * self._one(options, unit)
        self._ask(value, unit)
        return value

    def _options(self, first: TypedToken, unit: str) -> list[float]:
        """Give what the first number may mean, with what follows it."""
        kind = self.kind
        if len(self.terms) == 2 and not unit:
            unit = self._unsaid(first)
        values = list(first.values)
        if self.upper is not None and self.upper.values and values:
            values = [(values[0] + self.upper.values[0]) / 2]
        if self.upper is not None and not unit:
            unit = self.terms[-1][1]
        options = [value * kind.units.get(unit, 1.0) * self.per for value in values]
        if not unit and kind.unit == "cm" and kind.low >= 100:
            options = [value * 100 if 1 <= value < 2.6 else value for value in options]
        if not unit and kind.unit == "mL/min":
            options = [value * 1000 if value < 1 else value for value in options]
        if len(self.terms) == 2:
            more = self._second(self.terms[1], unit)
            options = [value + more for value in options]
        return options

    def _unsaid(self, first: TypedToken) -> str:
        """Find the unit of a first number that has none: 5 7, 11-4."""
        value = first.values[0] if first.values else 0.0
        if self.kind.unit == "cm" and self.kind.low >= 100:
            if value < 3 and self.terms[1][1] not in ('"', "in", "inch", "inches"):
                return "m"
            return "ft" if value < 9 else ""
        if self.kind.unit == "min" and ":" in self.typed:
            return ":"
        return ""

    def _second(self, term: tuple[TypedToken, str], before: str) -> float:
        """Read what follows stones, feet, metres or hours."""
        number, unit = term
        expected = SECOND.get(before, "")
        if not expected or not number.values or expected not in self.kind.units:
            raise self.fault("holds two numbers")
        if self.kind.unit == "min" and before == "m":
            raise self.fault("holds two numbers")
        most = MOST_OF_SECOND[expected]
        clock = before == ":" and self.kind.units.get(unit) == self.kind.units.get("h")
        factor = self.kind.units.get(expected if clock or not unit else unit, 0.0)
        if number.values[0] >= most or abs(factor - self.kind.units[expected]) > 1e-9:
            raise self.fault(f"does not add up: what follows {before} is less than {most:g} "
                             f"{expected}")  # fmt: skip
        return number.values[0] * factor

    def _one(self, options: Sequence[float], unit: str) -> float:
        kind = self.kind
        low = -kind.high if kind.low < 0 else kind.low
        fits = [value for value in options if low <= value <= kind.high]
        if len(set(fits)) == 1:
            return fits[0]
        if fits:
            raise IntakeError(
                f"“{self.typed}” may be {fits[0]:,g} or {fits[1]:,g} {kind.unit}; write it without "
                "the mark of thousands"
            )
        if not options:
            raise self.fault("is not one number")
        near = self._near(options[0]) if not unit else ""
        raise IntakeError(
            f"“{self.typed}” would be {options[0]:,.4g} {kind.unit}, outside {kind.low:,g} to "
            f"{kind.high:,g}{near}; write {kind.example}"
        )

    def _near(self, value: float) -> str:
        """Say what a number outside may have been."""
        kind = self.kind
        for unit in ("in", "ft", "lb", "st", "kj"):
            factor = kind.units.get(unit, 0.0)
            if factor and kind.low <= value * factor <= kind.high:
                return f" (was it {value:g} {unit}, {value * factor:,.4g} {kind.unit}?)"
        return ""

    def _ask(self, value: float, unit: str) -> None:
        """Ask about a bare number that is unusual, or may have been in another unit."""
        low, high = self.kind.usual
        if unit or low <= value <= high:
            return
        other = {"lb": KG_PER_LB, "in": CM_PER_INCH, "kJ": kcal_from_kj(1.0)}.get(
            self.kind.otherwise
        )
        own = self.kind.unit
        if other is not None:
            raise IntakeError(
                f"“{self.typed}”: is it {value:g} {own}, or {value:g} {self.kind.otherwise}, which "
                f"is {value * other:,.4g} {own}? Write the unit"
            )
        raise IntakeError(
            f"“{self.typed}” is unusual for this; if it is right, write {value:g} {own}"
        )
