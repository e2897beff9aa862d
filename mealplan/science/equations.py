"""
Pieces of science by name: what marks a function as an equation that a reader may open.

An equation's formula is its function, its inputs and sources are the function's docstring, and whom
it was fitted on and how far it is off stand in the mark: one entry, in one place. Reading and
working them out is in :mod:`mealplan.method`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Answer = TypeVar("Answer")


@dataclass(frozen=True)
class EquationMark:
    """
    What is said of an equation beside its function.

    Attributes
    ----------
    topic : str
        What it is about, in the words of the list's headings.
    function : callable
        The equation.
    population : str
        Whom or what it was fitted on; empty where it holds by definition.
    error : str
        How far it is off; empty where no source says so.
    rows : tuple of str
        Ids of the coefficients it reads, where they are in a table; one that ends in ``_`` stands
        for all that begin so.
    does, gives : str
        What it gives, in a sentence, and its unit, where it is data and has no docstring.
    inputs : mapping of str to str
        Meaning and unit of each input, where it is data.
    """

    topic: str
    function: Callable[..., object]
    population: str = ""
    error: str = ""
    rows: tuple[str, ...] = ()
    does: str = ""
    inputs: Mapping[str, str] = field(default_factory=dict)
    gives: str = ""

    @property
    def name(self) -> str:
        """Name of the equation."""
        return str(self.function.__name__)


_MARKS: dict[str, EquationMark] = {}
MARKS: Mapping[str, EquationMark] = MappingProxyType(_MARKS)
"""Every equation marked in a module that has been imported, by its function's name."""


def register(mark: EquationMark) -> None:
    """
    Put an equation on the list.

    Parameters
    ----------
    mark : EquationMark
        What is said of it.

    Raises
    ------
    ValueError
        Two equations have one name.
    """
    if mark.name in _MARKS:
        raise ValueError(f"two equations are called {mark.name}; give one another name")
    _MARKS[mark.name] = mark


def equation(
    topic: str, *, population: str = "", error: str = "", rows: tuple[str, ...] = ()
) -> Callable[[Callable[Given, Answer]], Callable[Given, Answer]]:
    """
    EquationMark a function as an equation.

    Parameters
    ----------
    topic, population, error : str
        As for :class:`EquationMark`.
    rows : tuple of str
        As for :class:`EquationMark`.

    Returns
    -------
    callable
        Puts the function on the list and hands it back unchanged.

    Raises
    ------
    ValueError
        Two equations have one name.
    """

    def mark(function: Callable[Given, Answer]) -> Callable[Given, Answer]:
        register(EquationMark(topic, function, population, error, rows))
        return function

    return mark
