"""What one cell says of a day: its numbers, a month or weekday by name, a clock time beside it."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from mealplan.checkin.table.reading import DateOrder
from mealplan.checkin.table.words import LONGEST_CELL, WEEKDAYS, folded, month_of, word_set

SERIAL_BEGINS = dt.date(1899, 12, 30)
"""Day 0 of the day numbers that spreadsheets keep dates as."""
FIRST_SERIAL, LAST_SERIAL = 36526, 73050
"""1 January 2000 and 31 December 2099 as day numbers."""
CLOCK = re.compile(
    r"(?<![\d:.])(\d{1,2})(?:[:h](\d{2})(?:[:.](\d{2})(?:[.,]\d{1,9})?)?)?"
    r"\s{0,2}(am|pm|a\.m\.?|p\.m\.?|uhr|h)?(?:z|[+-]\d{2}:?\d{2})?(?![a-z\d:])"
)
PIECE = re.compile(r"[a-z]+|\d+")
IDLE = word_set(
    "de of den le la the th st nd rd er o um at on am der dem kw wk w c wc week weeks "
    "commencing beginning starting starts begin from woche semaine ab uke vecka uge t z el il "
    "del du week ending end ended we"
)
"""Words that may stand in a date and say no day."""
THREE = re.compile(r"(?<!\d)\d{1,4}(\D{1,3})\d{1,2}(\D{1,3})\d{1,4}(?!\d)")
BRIEF = re.compile(r"\d{1,4}\s{0,2}[-/.]\s{0,2}\d{1,2}\s{0,2}[-/.]?")
"""Two numbers alone that may be day and month."""


@dataclass(frozen=True)
class DayText:
    """
    What a cell says of a day.

    Attributes
    ----------
    numbers : tuple of int
        Day, month and year in the order they stand, as far as they are numbers.
    month : int
        Named by a word; 0 when it stands as a number.
    weekday : int or None
        From Monday, 0.
    at : time or None
    on : date or None
        Where only one day is possible: a spreadsheet's number.
    remark : str
        What stood in brackets.
    """

    numbers: tuple[int, ...] = ()
    month: int = 0
    weekday: int | None = None
    at: dt.time | None = None
    on: dt.date | None = None
    remark: str = ""
    weak: bool = False
    """True for a number alone, which may be anything else as well."""
    long_first: bool = False
    """True when the first number has four digits, so it is the year."""

    @property
    def is_full(self) -> bool:
        """True when year, month and day all stand."""
        return self.on is not None or len(self.numbers) + bool(self.month) == 3

    @property
    def is_brief(self) -> bool:
        """True when day and month stand without a year."""
        return len(self.numbers) + bool(self.month) == 2 and not self.is_month

    @property
    def is_month(self) -> bool:
        """True when a month stands with no day: November, or November 2026."""
        return bool(self.month) and (not self.numbers or self.numbers[0] > 1000)


def day_text(cell: str) -> DayText | None:
    """
    Take a cell apart that may name a day.

    Parameters
    ----------
    cell : str

    Returns
    -------
    DayText or None
        None where it holds anything that is no part of a date.
    """
    plain = folded(cell).strip()
    if not plain or len(plain) > LONGEST_CELL:
        return None
    remark = ""
    if "(" in plain:
        plain, _, remark = plain.partition("(")
        plain, remark = plain.strip(), remark.strip(" )")
    serial = _serial(plain)
    if serial is not None:
        return serial
    plain, at = _without_clock(plain)
    if (
        at is None
        and plain.replace(".", "", 1).replace(",", "", 1).isdigit()
        and not _compact(plain)
    ):
        return _bare_number(plain)
    return _pieced(plain, at, remark)


def _serial(plain: str) -> DayText | None:
    whole, _, part = plain.partition(".")
    if not (whole.isdigit() and len(whole) == 5 and (part.isdigit() or not part)):
        return None
    if not FIRST_SERIAL <= int(whole) <= LAST_SERIAL:
        return None
    on = SERIAL_BEGINS + dt.timedelta(days=int(whole))
    minutes = round(float(f"0.{part or 0}") * 1440)
    at = dt.time(minutes // 60, minutes % 60) if part and minutes < 1440 else None
    return DayText(on=on, at=at)


def _compact(plain: str) -> bool:
    return len(plain) == 8 and plain.isdigit() and plain[:2] in ("19", "20")


def _bare_number(plain: str) -> DayText | None:
    """Read a number alone: the day of a month named elsewhere, or day.month."""
    found = [piece for piece in re.split("[.,]", plain) if piece]
    if "," in plain or not 1 <= len(found) <= 2 or any(len(piece) > 2 for piece in found):
        return None
    numbers = tuple(int(piece) for piece in found)
    if not all(1 <= number <= 31 for number in numbers):
        return None
    return DayText(numbers, weak=not plain.endswith("."))


def _without_clock(plain: str) -> tuple[str, dt.time | None]:
    """Take a time of day out of a cell: the last thing that reads as one beside a date."""
    for found in CLOCK.finditer(plain):
        hour, minute, _, half = found.groups()
        if (minute is None and half is None) or (half == "h" and minute is not None):
            continue
        at = clock_of(int(hour), int(minute or 0), half or "")
        if at is not None:
            head = plain[: found.start()].rstrip(" ,t-@")
            return f"{head} {plain[found.end() :]}".strip(), at
    return plain, None


def clock_of(hour: int, minute: int, half: str) -> dt.time | None:
    """
    Make a time of day of its numbers.

    Parameters
    ----------
    hour : int
    minute : int
    half : str
        am or pm, as written.

    Returns
    -------
    time or None
        None where there is no such time.
    """
    if half.startswith("p") and hour < 12:
        hour += 12
    if half.startswith("a") and hour == 12:
        hour = 0
    return dt.time(hour, minute) if hour < 24 and minute < 60 else None


def _pieced(plain: str, at: dt.time | None, remark: str) -> DayText | None:
    if _compact(plain):
        return DayText((int(plain[:4]), int(plain[4:6]), int(plain[6:])), long_first=True)
    pieces = PIECE.findall(plain)
    if len(pieces) > 8 or any(mark in plain for mark in ":;%=<>?#\"'+*"):
        return None
    digits = [piece for piece in pieces if piece.isdigit()]
    if any(len(piece) > 4 for piece in digits) or len(digits) > 3:
        return None
    named = _names([piece for piece in pieces if piece.isalpha()], len(digits))
    if named is None:
        return None
    month, weekday = named
    numbers = tuple(int(piece) for piece in digits)
    if len(numbers) + bool(month) > 3 or (not numbers and not month and weekday is None):
        return None
    if len(numbers) == 2 and not month and not BRIEF.search(plain):
        return None
    if len(numbers) == 3 and not _marked_alike(plain, digits):
        return None
    if len(numbers) == 1 and not month and numbers[0] > 31:
        return None
    long_first = bool(digits) and len(digits[0]) == 4
    return DayText(numbers, month, weekday, at, remark=remark, long_first=long_first)


def _marked_alike(plain: str, digits: list[str]) -> bool:
    """Say whether one mark stands between all three numbers of a date."""
    found = THREE.search(plain)
    if found is None or found[1].strip() != found[2].strip():
        return False
    return bool(found[1].strip()) or len(digits[0]) == 4 or len(digits[2]) == 4


def _names(names: list[str], numbers: int) -> tuple[int, int | None] | None:
    """Give the month and the weekday that words name; None where one is neither."""
    month, weekday = 0, None
    either = []
    for word in names:
        is_month = month_of(word) if len(word) <= 10 else 0
        if word in WEEKDAYS and is_month and len(word) == 3:
            either.append(word)
        elif word in WEEKDAYS:
            weekday = WEEKDAYS[word]
        elif is_month and not month:
            month = is_month
        elif word not in IDLE:
            return None
    for word in either:  # mar: mardi or March
        if month or numbers == 3:
            weekday = WEEKDAYS[word]
        else:
            month = month_of(word)
    if month and weekday is None and numbers == 3:
        return None
    return month, weekday


def day_in(
    text: DayText, order: DateOrder, year: int | None = None, month: int | None = None
) -> dt.date | None:
    """
    Say which day a cell names.

    Parameters
    ----------
    text : DayText
    order : {"ymd", "dmy", "mdy"}
        Of three or two numbers; a year of four digits in front wins.
    year : int, optional
        Where the cell has none.
    month : int, optional
        Where the cell has only the number of the day.

    Returns
    -------
    date or None
        None where there is no such day, or too little is said.
    """
    if text.on is not None:
        return text.on
    parts = _ordered(text, order, year, month)
    if parts is None:
        return None
    year_, month_, day = parts
    try:
        return dt.date(year_ + 2000 if year_ < 100 else year_, month_, day)
    except ValueError:
        return None


def _ordered(
    text: DayText, order: DateOrder, year: int | None, month: int | None
) -> tuple[int, int, int] | None:
    """Give year, month and day."""
    n = text.numbers
    if text.month:
        if len(n) == 2:
            day, year = (n[1], n[0]) if text.long_first or n[0] > 31 else (n[0], n[1])
        elif len(n) == 1 and not text.is_month:
            day = n[0]
        else:
            return None
        return None if year is None else (year, text.month, day)
    if len(n) == 3:
        if text.long_first or order == "ymd":
            return n[0], n[1], n[2]
        return (n[2], n[1], n[0]) if order == "dmy" else (n[2], n[0], n[1])
    if len(n) == 2 and year is not None:
        return (year, n[0], n[1]) if order in ("mdy", "ymd") else (year, n[1], n[0])
    if len(n) == 1 and year is not None and month is not None:
        return year, month, n[0]
    return None


def time_text(cell: str) -> dt.time | None:
    """
    Read a cell that is only a time of day.

    Parameters
    ----------
    cell : str
        Such as 07:15, 7.15 am, 7h15, 19 Uhr, 0715 or a spreadsheet's part of a day.

    Returns
    -------
    time or None
    """
    plain = folded(cell).strip().replace("o'clock", "uhr")
    if not plain or len(plain) > 30:
        return None
    if plain.startswith("0.") and plain[2:].isdigit():
        minutes = round(float(plain) * 1440) % 1440
        return dt.time(minutes // 60, minutes % 60)
    if len(plain) == 4 and plain.isdigit():
        return clock_of(int(plain[:2]), int(plain[2:]), "")
    head, _, tail = plain.partition(".")
    if head.isdigit() and len(head) <= 2 and tail[:2].isdigit():
        plain = f"{head}:{tail}"
    found = CLOCK.fullmatch(plain)
    if not found or (found[2] is None and found[4] is None):
        return None
    return clock_of(int(found[1]), int(found[2] or 0), found[4] or "")
