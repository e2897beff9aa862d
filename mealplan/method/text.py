"""Equations as plain text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from itertools import groupby

from mealplan.method.entries import Equation

WIDTH = 96
"""Characters a line. [1]"""
NO_SOURCE = "by definition, or from the sources of the tables it reads"


def listed(found: Iterable[Equation]) -> str:
    """
    List equations under their topics.

    Parameters
    ----------
    found : iterable of Equation
        Sorted by topic.

    Returns
    -------
    str
    """
    lines = []
    for topic, group in groupby(found, key=lambda one: one.topic):
        lines += ["", topic[0].upper() + topic[1:]]
        lines += [f"  {one.key:<34}{one.does}" for one in group]
    return "\n".join(lines).strip()


def opened(one: Equation) -> str:
    """
    Write one equation out.

    Parameters
    ----------
    one : Equation
        The equation.

    Returns
    -------
    str
    """
    lines = [one.key, *_wrapped(one.does), "", "Inputs"]
    for given in one.inputs:
        choices = f" One of: {', '.join(given.choices)}." if given.choices else ""
        default = f" Without it: {given.default}." if given.default else ""
        lines += _wrapped(f"{given.name}: {given.about}{choices}{default}")
    lines += ["", "Gives", *_wrapped(one.gives or one.does), "", "Formula"]
    lines += [f"  {line}" for line in (*one.formula, *one.coefficients)]
    for heading, text in (("Fitted on", one.population), ("Off by", one.error)):
        lines += ["", heading, *_wrapped(text)] if text else []
    lines += ["", "Source"]
    for source in one.sources or (NO_SOURCE,):
        lines += _wrapped(source)
    return "\n".join(lines)


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="  ")
