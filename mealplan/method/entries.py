"""An equation as a reader meets it: what it gives, from what, by which formula, on whose word."""

from __future__ import annotations

import ast
import inspect
import textwrap
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pkgutil import walk_packages
from typing import Literal, get_args, get_origin, get_type_hints

import docstring_parser

import mealplan.nutrition
import mealplan.physiology
from mealplan.errors import IntakeError
from mealplan.physiology.tables import RestingEquation, resting_equations
from mealplan.references.tables import Sex
from mealplan.science.equations import MARKS, EquationMark

HOMES = (mealplan.physiology, mealplan.nutrition)
"""Packages whose equations are listed."""


@dataclass(frozen=True)
class EquationInput:
    """
    One input of an equation.

    Attributes
    ----------
    name : str
        As the formula calls it; its unit ends the name.
    about : str
        Meaning, limits and unit.
    choices : tuple of str
        Words to choose from; empty for a number.
    words : bool
        Takes any word instead of a number.
    needed : bool
        Must be given.
    default : str
        What holds when nothing is given; empty where that is nothing.
    """

    name: str
    about: str
    choices: tuple[str, ...]
    words: bool
    needed: bool
    default: str


@dataclass(frozen=True)
class Equation:
    """
    One equation, opened.

    Attributes
    ----------
    key : str
        The function's name.
    topic : str
        Heading it stands under.
    does : str
        What it gives, in a sentence.
    inputs : tuple of EquationInput
        In order.
    gives : str
        Meaning and unit of the answer.
    formula : tuple of str
        Lines of the formula as computed.
    coefficients : tuple of str
        The formula with its coefficients put in, one line a group of people.
    population, error : str
        Whom it was fitted on; how far it is off. Empty where nothing is said.
    sources : tuple of str
        Publications, each with how its numbers were seen where a table holds them.
    """

    key: str
    topic: str
    does: str
    inputs: tuple[EquationInput, ...]
    gives: str
    formula: tuple[str, ...]
    coefficients: tuple[str, ...]
    population: str
    error: str
    sources: tuple[str, ...]


@cache
def equations() -> tuple[Equation, ...]:
    """
    Open every equation there is.

    Returns
    -------
    tuple of Equation
        By topic, then name.
    """
    for home in HOMES:
        for module in walk_packages(home.__path__, f"{home.__name__}."):
            import_module(module.name)
    return tuple(
        sorted((_opened(mark) for mark in MARKS.values()), key=lambda one: (one.topic, one.key))
    )


def find_equations(words: str) -> tuple[Equation, ...]:
    """
    Find equations by words of their name, topic, sentence, population or source.

    Parameters
    ----------
    words : str
        All must occur; nothing finds all.

    Returns
    -------
    tuple of Equation
    """
    wanted = words.lower().split()
    return tuple(one for one in equations() if all(word in _searched(one) for word in wanted))


def equation_called(key: str) -> Equation:
    """
    Give one equation.

    Parameters
    ----------
    key : str
        Its function's name.

    Returns
    -------
    Equation

    Raises
    ------
    IntakeError
        When none is called so.
    """
    found = next((one for one in equations() if one.key == key), None)
    if found is None:
        raise IntakeError(f"no equation is called {key!r}; `mealplan method` lists them")
    return found


def _searched(one: Equation) -> str:
    parts = (one.key, one.topic, one.does, one.population, *one.sources)
    return " ".join(parts).lower()


def _opened(mark: EquationMark) -> Equation:
    if mark.does:
        return _from_data(mark)
    function = mark.function
    said = docstring_parser.parse(inspect.getdoc(function) or "", docstring_parser.Style.NUMPYDOC)
    about = {
        name.strip(): _plain(one.description or "")
        for one in said.params
        for name in one.arg_name.split(",")
    }
    rows = _rows(mark)
    sources = [_plain(one.description or "") for one in said.meta if _is_source(one)]
    sources += [f"{row.source} ({row.provenance})" for row in rows]
    return Equation(
        key=mark.name,
        topic=mark.topic,
        does=_plain(said.short_description or ""),
        inputs=tuple(
            _input(function, name, about) for name in inspect.signature(function).parameters
        ),
        gives=_plain(said.returns.description or "") if said.returns else "",
        formula=() if rows else _formula(function),
        coefficients=tuple(_with_coefficients(row) for row in rows),
        population=mark.population or "; ".join(dict.fromkeys(row.population for row in rows)),
        error=mark.error or _errors(rows),
        sources=tuple(dict.fromkeys(sources)),
    )


def _from_data(mark: EquationMark) -> Equation:
    """Open an equation that is data: its mark and the rows of its coefficients say everything."""
    rows = _rows(mark)
    return Equation(
        key=mark.name,
        topic=mark.topic,
        does=mark.does,
        inputs=tuple(
            EquationInput(name, about, get_args(Sex) if name == "sex" else (), False, True, "")
            for name, about in mark.inputs.items()
        ),
        gives=mark.gives,
        formula=(),
        coefficients=tuple(_with_coefficients(row) for row in rows),
        population="; ".join(dict.fromkeys(row.population for row in rows)),
        error=_errors(rows),
        sources=tuple(dict.fromkeys(f"{row.source} ({row.provenance})" for row in rows)),
    )


def _errors(rows: tuple[RestingEquation, ...]) -> str:
    return "; ".join(dict.fromkeys(f"{row.see_kcal:g} kcal/day" for row in rows if row.see_kcal))


def _plain(text: str) -> str:
    """Take what is only markup out of a docstring's sentence."""
    words = (
        " ".join(text.split()).replace("``", "").removeprefix(".. [1] ").replace(" .. [2] ", "; ")
    )
    return words.replace(":func:", "").replace(":mod:", "").replace(":class:", "").replace("`", "")


def _is_source(part: docstring_parser.common.DocstringMeta) -> bool:
    return part.args[:1] == ["reference"] or part.args[:1] == ["references"]


def _rows(mark: EquationMark) -> tuple[RestingEquation, ...]:
    return tuple(
        row
        for key, row in resting_equations().items()
        if any(key.startswith(one) if one.endswith("_") else key == one for one in mark.rows)
    )


def _input(function: object, name: str, about: dict[str, str]) -> EquationInput:
    parameter = inspect.signature(function).parameters[name]  # type: ignore[arg-type]
    kind = get_type_hints(function)[name]
    needed = parameter.default is inspect.Parameter.empty
    default = "" if needed or parameter.default is None else str(parameter.default)
    choices = tuple(str(one) for one in get_args(kind)) if get_origin(kind) is Literal else ()
    return EquationInput(name, about.get(name, ""), choices, kind is str, needed, default)


def _formula(function: object) -> tuple[str, ...]:
    """Give the statements that compute, without docstring and checks, constants put in."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))  # type: ignore[arg-type]
    tree = _Numbers(inspect.getmodule(function)).visit(tree)
    body = tree.body[0].body
    lines: list[str] = []
    for part in body:
        checks = isinstance(part, ast.If) and any(isinstance(x, ast.Raise) for x in ast.walk(part))
        if not isinstance(part, ast.Expr) and not checks:
            lines.extend(ast.unparse(part).splitlines())
    return tuple(lines)


class _Numbers(ast.NodeTransformer):
    """Puts in the numbers a module keeps under names of its own."""

    def __init__(self, module: object) -> None:
        self._known = vars(module)

    def visit_Subscript(self, node: ast.Subscript) -> ast.AST:
        """Put in a constant read from a table by its key."""
        table = self._known.get(node.value.id) if isinstance(node.value, ast.Name) else None
        key = node.slice.value if isinstance(node.slice, ast.Constant) else None
        if isinstance(table, dict) and isinstance(table.get(key), int | float):
            return ast.Constant(table[key])
        return self.generic_visit(node)

    def visit_Name(self, node: ast.Name) -> ast.AST:
        """Put in a constant that has a name in capitals."""
        value = self._known.get(node.id) if node.id.isupper() else None
        return ast.Constant(value) if isinstance(value, int | float) else node


def _with_coefficients(row: RestingEquation) -> str:
    terms = [f"{row.intercept:g}"]
    for name in ("weight_kg", "height_cm", "age_years", "ffm_kg", "fm_kg"):
        factor = getattr(row, name)
        if factor:
            terms.append(f"{'−' if factor < 0 else '+'} {abs(factor):g} × {name}")
    if row.intercept == 0 and len(terms) > 1:
        terms = [terms[1].removeprefix("+ "), *terms[2:]]
    ages = f", {row.age_min:g} to {row.age_max:g} years" if row.age_max < 120 or row.age_min else ""
    return f"{row.sex}{ages}: {' '.join(terms)} [{row.unit}]"
