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
_OLDEST = 130
"""Oldest age that is read. [years]"""


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


def age_on(text: str, start: dt.date) -> int | None:
    """
    Work out the age on a day from a birth date, which is not kept.

    Parameters
    ----------
    text : str
        Such as ``12 March 1990``, ``born 5 Jun 2001`` or ``1988-12-24``.
    start : date
        First day of the plan.

    Returns
    -------
    int or None
        Whole years; None when the text is no date.

    Raises
    ------
    IntakeError
        When it could be two dates, a year alone, or a day to come.
    """
    typed = " ".join(text.split())[:LONGEST_DATE]
    numbers, month = _parts_of_date(typed)
    years = [number for number in numbers if len(number) == 4 and number[:2] in ("19", "20")]
    if len(numbers) == 1 and years and not month:
        older = start.year - int(years[0])
        raise IntakeError(
            f"“{typed}” is a year: {older - 1} or {older} years? Write the age, or the whole date"
        )
    if not says_date(typed):
        return None
    born = read_typed_date(typed)
    if born > start and not years:
        born = born.replace(year=born.year - 100)
    age = start.year - born.year - ((start.month, start.day) < (born.month, born.day))
    if not 0 <= age <= _OLDEST:
        raise IntakeError(f"“{typed}” would be {age} years on {start}; check the year")
    return age


def says_date(text: str) -> bool:
    """
    Say whether a text has the parts of a date: day, month and year.

    Parameters
    ----------
    text : str

    Returns
    -------
    bool
    """
    numbers, month = _parts_of_date(" ".join(text.split())[:LONGEST_DATE])
    return len(numbers) == 3 or (month and len(numbers) == 2)


def _parts_of_date(typed: str) -> tuple[list[str], bool]:
    """Give the numbers of a text, and whether it names a month."""
    cuts = cut_up(typed.replace(".", " . "))
    return [cut.text for cut in cuts if cut.text.isdigit()], any(_month(cut) for cut in cuts)


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
