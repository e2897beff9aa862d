"""Dates as people write them: 3 Feb 2026, 3.2.2026, 13/2/26; 1/2/26 is asked about."""

from __future__ import annotations

import datetime as dt

from mealplan.client.typed_numbers import TypedToken, cut_up, each_word
from mealplan.errors import IntakeError

LONGEST_DATE = 40
"""Longest text of one date. [characters]"""
MONTHS: dict[str, int] = {
    start: number
    for number, starts in enumerate(
        (
            "jan ene gen janv tam sty", "feb fev fevr febb hel lut", "mar mars marz mrt maa mae",
            "apr avr abr huh kwi", "may mai mag mei maj tou", "jun juin giu kes cze",
            "jul juil lug hei lip", "aug aou ago elo sie", "sep set sept syy wrz",
            "oct okt ott out lok paz", "nov mrs lis", "dec dez dic des jou gru",
        ),
        start=1,
    )
    for start in starts.split()
}  # fmt: skip
"""First letters of a month's name, accents taken off, to its number."""
_EXAMPLE = "write it as 2026-02-03 or 3 Feb 2026"
_PASSES = each_word("of de the den le st nd rd th el den del am on d")
_CENTURY = 2000


def read_typed_date(text: str) -> dt.date:
    """
    Read a date as it was typed.

    Parameters
    ----------
    text : str
        Such as ``2026-02-03``, ``3 Feb 2026``, ``Feb 3rd, 2026``, ``3.2.2026`` or ``13/2/26``.

    Returns
    -------
    date

    Raises
    ------
    IntakeError
        When it is none, or could be two.
    """
    typed = " ".join(text.split())
    if not typed or len(typed) > LONGEST_DATE:
        raise IntakeError(f"“{typed[:LONGEST_DATE]}” is no date; {_EXAMPLE}")
    try:
        return dt.date.fromisoformat(typed)
    except ValueError:
        pass
    cuts = [
        cut
        for cut in cut_up(typed.replace(".", " . "))
        if cut.text not in _PASSES and not _is_weekday(cut)
    ]
    month = next((found for cut in cuts if (found := _month(cut))), 0)
    numbers = [cut.text for cut in cuts if cut.text.isdigit() and len(cut.text) <= 4]
    if month and len(numbers) == 2:
        day, year = numbers if len(numbers[0]) <= 2 else numbers[::-1]
        return _date(int(year), month, int(day), typed)
    if month or len(numbers) != 3:
        raise IntakeError(f"“{typed}” is no date with day, month and year; {_EXAMPLE}")
    return _three(numbers, typed)


def _is_weekday(cut: TypedToken) -> bool:
    return cut.kind == "word" and not _month(cut)


def _month(cut: TypedToken) -> int:
    if cut.kind != "word" or len(cut.text) < 3:
        return 0
    return next((MONTHS[cut.text[:n]] for n in (4, 3) if cut.text[:n] in MONTHS), 0)


def _three(numbers: list[str], typed: str) -> dt.date:
    first, second, third = (int(number) for number in numbers)
    if len(numbers[0]) == 4:
        return _date(first, second, third, typed)
    if first > 12 or ("." in typed and "/" not in typed):
        return _date(third, second, first, typed)
    if second > 12:
        return _date(third, first, second, typed)
    if first == second:
        return _date(third, first, second, typed)
    one, other = _date(third, second, first, typed), _date(third, first, second, typed)
    raise IntakeError(
        f"“{typed}” may be {one.day} {one:%B} or {other.day} {other:%B} {other.year}; write the "
        f"month as a word, such as {one.day} {one:%b} {one.year}"
    )


def _date(year: int, month: int, day: int, typed: str) -> dt.date:
    try:
        return dt.date(year + _CENTURY if year < 100 else year, month, day)
    except ValueError as error:
        raise IntakeError(f"“{typed}” is no day of the calendar ({error}); {_EXAMPLE}") from None
