"""Work one equation out with typed numbers."""

from __future__ import annotations

import dataclasses
import math

from mealplan.errors import IntakeError, MealPlanError
from mealplan.method.entries import Equation, EquationInput
from mealplan.science.equations import MARKS

LONGEST_INPUT = 40
"""Characters of one typed input. [1]"""


SIGNED = ("change", "per_week", "grade", "lost")
"""Parts of the names of inputs that may be below zero."""
OF_A_BODY = ("weight_kg", "body_mass_kg", "height_cm", "height_in", "ffm_kg", "age_years")
"""Ends of the names of inputs that are above zero in everybody."""


def work_out(equation: Equation, typed: dict[str, str]) -> tuple[str, ...]:
    """
    Work an equation out.

    Parameters
    ----------
    equation : Equation
        The equation.
    typed : dict of str to str
        Inputs by name, as typed; those with a default may be left out.

    Returns
    -------
    tuple of str
        Lines of the answer: one number with its unit, or the parts it has.

    Raises
    ------
    IntakeError
        When an input is missing, is no number, is unknown, or the equation refuses it.
    """
    names = {one.name for one in equation.inputs}
    unknown = sorted(set(typed) - names)
    if unknown:
        raise IntakeError(
            f"{equation.key} has no input {unknown[0]!r}; it takes {', '.join(sorted(names))}"
        )
    given = {
        one.name: _read(one, typed[one.name])
        for one in equation.inputs
        if typed.get(one.name, "").strip()
    }
    missing = [one.name for one in equation.inputs if one.name not in given and one.needed]
    if missing:
        raise IntakeError(f"{equation.key} also needs {', '.join(missing)}")
    try:
        answer = MARKS[equation.key].function(**given)
    except MealPlanError:
        raise
    except (ValueError, ArithmeticError, LookupError, TypeError) as error:
        raise IntakeError(
            f"{equation.key} cannot be worked out for these numbers: {error}"
        ) from None
    return _said(answer, equation.gives)


def _read(one: EquationInput, text: str) -> str | float | bool:
    name, text, choices = one.name, text.strip(), one.choices
    if len(text) > LONGEST_INPUT:
        raise IntakeError(
            f"{name} is longer than {LONGEST_INPUT} characters; type a number or word"
        )
    if choices:
        if text not in choices:
            raise IntakeError(f"{name}={text!r} is not one of {', '.join(choices)}")
        return text
    if one.words:
        return text
    if text in ("True", "False"):
        return text == "True"
    try:
        number = float(text)
    except ValueError:
        raise IntakeError(f"{name}={text!r} is not a number, such as 62.5") from None
    if not math.isfinite(number):
        raise IntakeError(f"{name}={text!r} is not a finite number")
    if number < 0 and not any(part in name for part in SIGNED):
        raise IntakeError(
            f"{name}={text} is negative, which no such amount can be; take the minus away, or was "
            "another input meant?"
        )
    if number == 0 and name.endswith(OF_A_BODY):
        raise IntakeError(f"{name}=0 is no body's; measure it, or take a typical value")
    return number


def _said(answer: object, gives: str) -> tuple[str, ...]:
    if dataclasses.is_dataclass(answer) and not isinstance(answer, type):
        return tuple(
            f"{field.name}: {_number(getattr(answer, field.name))}"
            for field in dataclasses.fields(answer)
        )
    return (f"{_number(answer)}   {gives}".rstrip(),)


def _number(value: object) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)
