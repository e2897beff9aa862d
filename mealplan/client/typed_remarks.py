"""
What is said beside one clear number taken off it: "88 kg with clothes", "was 74, now 71.5 kg".

Where two numbers compete nothing is taken off; it is then asked.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from mealplan.client.typed_kinds import SECOND, TypedKind
from mealplan.client.typed_numbers import TypedToken, cut_up, each_word

_NOW = each_word("now today currently jetzt heute")
_LEADS = each_word("it's its is at i'm am im : it i weigh")
_OTHERWISE = each_word(
    """
    was were ago used former formerly last not lost gained without-child than goal target want
    wanted hope aim ideal ideally until till since previously earlier yesterday max min maximum
    minimum protein carbs water or
    """
)
"""Beside these a number may be another than the one asked for."""
_GLUE = frozenset("-.'/\":+")


def spaced_right(text: str, kind: TypedKind) -> str:
    """
    Mend how a number is spaced and shortened: ``66 .2 kg``, ``1.6k kcal``, ``27 y.o.``.

    Parameters
    ----------
    text : str
    kind : TypedKind

    Returns
    -------
    str
    """
    mended = re.sub(r"(?<=\d) \.(?=\d)", ".", text)
    mended = re.sub(r"\by\.? ?o\b\.?", "yo", mended, flags=re.IGNORECASE)
    if kind.unit == "kcal":
        mended = re.sub(r"(\d{1,2}(?:[.,]\d{1,2})?) ?k(?![a-zA-Z])", _thousands, mended)
    return mended


def _thousands(found: re.Match[str]) -> str:
    return f"{float(found[1].replace(',', '.')) * 1000:g}"


def clear_number(text: str, kind: TypedKind) -> str:
    """
    Find the one number that is meant, with its unit.

    Parameters
    ----------
    text : str
        What does not read as it stands.
    kind : TypedKind

    Returns
    -------
    str
        Empty where there is none, or more than one.
    """
    if kind.low < 0:
        return ""
    cuts = cut_up(text)
    current = _current(cuts, kind)
    if current:
        return current
    if _OTHERWISE & {cut.text for cut in cuts}:
        return ""
    runs = _runs(cuts, kind)
    if len(runs) != 1 or not any(cut.text in kind.units for cut in runs[0]):
        return ""
    return _written(runs[0])


def _current(cuts: Sequence[TypedToken], kind: TypedKind) -> str:
    """Find the number beside now or today: was 74, now 71.5 kg; 71.5 kg today, 74 in May."""
    places = [place for place, cut in enumerate(cuts) if cut.text in _NOW]
    if len(places) != 1:
        return ""
    at = places[0]
    after = at + 1
    while after < len(cuts) and cuts[after].text in _LEADS:
        after += 1
    behind = _run_from(cuts, after, kind)
    begin = at
    while begin > 0 and _belongs(cuts[begin - 1], kind):
        begin -= 1
    before = _run_from(cuts[:at], begin, kind)
    if behind and before:
        return ""
    return _written(behind or before)


def _belongs(cut: TypedToken, kind: TypedKind) -> bool:
    return (cut.kind == "number" and cut.digits) or cut.text in kind.units or cut.text in _GLUE


def _run_from(cuts: Sequence[TypedToken], place: int, kind: TypedKind) -> list[TypedToken]:
    run: list[TypedToken] = []
    while place < len(cuts) and _belongs(cuts[place], kind):
        run.append(cuts[place])
        place += 1
    return run if any(cut.kind == "number" for cut in run) else []


def _runs(cuts: Sequence[TypedToken], kind: TypedKind) -> list[list[TypedToken]]:
    """Give every number with what belongs to it; numbers in words compete as well."""
    runs: list[list[TypedToken]] = [[]]
    for cut in cuts:
        if _belongs(cut, kind):
            runs[-1].append(cut)
        else:
            runs.append([cut] if cut.kind == "number" and cut.text not in ("a", "an") else [])
            if runs[-1]:
                runs.append([])
    return [run for run in runs if any(cut.kind == "number" for cut in run)]


def _written(run: Sequence[TypedToken]) -> str:
    while run and run[-1].text in "-./:+":
        run = run[:-1]
    numbers = sum(cut.kind == "number" for cut in run)
    if numbers > 1 and not any(cut.text in SECOND and cut.text not in ("kg", "lb") for cut in run):
        return ""
    return " ".join(cut.text for cut in run)
