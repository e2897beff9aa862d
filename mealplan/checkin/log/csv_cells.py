"""
Reading single cells of somebody else's table: masses, numbers, dates, times, and column headings.

Each function returns what it understood or raises :class:`CellError` with why and how to mend it.
"""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

from mealplan.checkin.log.entries import MassUnit
from mealplan.units import LB_PER_STONE

DateOrder = Literal["ymd", "dmy", "mdy"]
Field = Literal[
    "date", "time", "mass", "energy", "adherence", "note", "cycle day",
    "waist", "abdomen", "hip", "neck", "chest", "thigh", "calf", "upper arm",
]  # fmt: skip

HEADINGS: dict[str, Field] = {
    "date": "date", "day": "date", "datum": "date", "when": "date", "datetime": "date",
    "timestamp": "date", "date time": "date",
    "time": "time", "clock": "time", "hour": "time",
    "weight": "mass", "mass": "mass", "body weight": "mass", "bodyweight": "mass",
    "body mass": "mass", "bw": "mass", "scale": "mass", "weigh in": "mass", "gewicht": "mass",
    "energy": "energy", "calories": "energy", "intake": "energy", "kcal": "energy",
    "kj": "energy", "cal": "energy", "cals": "energy", "eaten": "energy",
    "adherence": "adherence", "as planned": "adherence",
    "note": "note", "notes": "note", "comment": "note", "comments": "note", "remarks": "note",
    "cycle day": "cycle day", "cycle": "cycle day",
    "waist": "waist", "abdomen": "abdomen", "belly": "abdomen", "navel": "abdomen", "hip": "hip",
    "hips": "hip", "neck": "neck", "chest": "chest", "thigh": "thigh", "calf": "calf",
    "upper arm": "upper arm", "arm": "upper arm",
}  # fmt: skip
ELSEWHERE: dict[Field, str] = {
    "date": "tag jour fecha dia data giorno dag dato paiva dzien",
    "time": "uhrzeit zeit heure hora ora tijd tid klokkeslett aika godzina",
    "mass": "korpergewicht poids peso vikt vaegt vekt paino waga masa kroppsvikt lichaamsgewicht",
    "energy": "kalorien energie energia calorias calorie kalorie kalorier calorieen energi",
    "note": "notiz bemerkung kommentar remarque commentaire nota opmerking anteckning merknad "
            "notatka osservazioni",
    "waist": "taille taillenumfang cintura vita midja talje midje talia",
    "abdomen": "bauch bauchumfang ventre abdomen buik mage",
    "hip": "hufte hanches hanche cadera fianchi heup quadril anca hoft hofte biodra",
    "neck": "hals cou cuello collo nek pescoco szyja",
    "chest": "brust poitrine pecho petto borst peito brost bryst",
    "thigh": "oberschenkel cuisse muslo coscia dij coxa lar udo",
    "calf": "wade mollet pantorrilla polpaccio kuit panturrilha vad lydka",
    "upper arm": "oberarm bras brazo braccio bovenarm braco overarm ramie",
}  # fmt: skip
"""Headings in German, French, Spanish, Italian, Dutch, Portuguese, Swedish, Danish, Norwegian,
Finnish and Polish, accents taken off."""
HEADINGS |= {word: field for field, words in ELSEWHERE.items() for word in words.split()}
_UNDECOMPOSED = str.maketrans({"ß": "ss", "æ": "ae", "ø": "o", "å": "a", "ł": "l", "œ": "oe"})
MONTHS: dict[str, int] = {
    start: number
    for number, starts in enumerate(
        (
            "jan ene gen janv tam sty",
            "feb fev fevr febb hel lut",
            "mar mars marz mrt maa mae",
            "apr avr abr huh kwi",
            "may mai mag mei maj tou",
            "jun juin giu kes cze",
            "jul juil lug hei lip",
            "aug aou ago elo sie",
            "sep set sept syy wrz",
            "oct okt ott out lok paz",
            "nov mrs lis",
            "dec dez dic des jou gru",
        ),
        start=1,
    )
    for start in starts.split()
}
"""First letters of a month's name, accents taken off, to its number."""


def _folded(text: str) -> str:
    """Lower the case and take accents off."""
    plain = unicodedata.normalize("NFKD", text.lower().translate(_UNDECOMPOSED))
    return "".join(letter for letter in plain if not unicodedata.combining(letter))


"""Words a heading may be, units and punctuation taken off."""

UNIT_WORDS: dict[str, str] = {
    "kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "kilograms": "kg", "kilogram": "kg",
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
    "st": "st", "stone": "st", "stones": "st",
    "kcal": "kcal", "cal": "kcal", "cals": "kcal", "calories": "kcal", "kj": "kj",
    "cm": "cm", "in": "in", "inch": "in", "inches": "in",
}  # fmt: skip

LONGEST_CELL = 60
"""Longest cell that can hold a number, a date or a time. [characters]"""
STONES = re.compile(
    r"^(?P<st>\d+)\s*(?:st|stone|stones)\.?\s*,?\s*(?:(?P<lb>\d+(?:[.,]\d+)?)\s*(?:lb|lbs|pounds)?)?$",
    re.IGNORECASE,
)
NUMBER = re.compile(r"^(?P<sign>[-+−]?)(?P<digits>[\d.,  ' ]*\d)\s*(?P<unit>[A-Za-z]+\.?)?$")
NOT_GIVEN = frozenset({"", "-", "–", "—", "n/a", "na", "nan", "null", "none", "."})


class CellError(ValueError):
    """One cell cannot be read."""

    def __init__(self, why: str, mend: str) -> None:
        super().__init__(f"{why}; {mend}")
        self.why = why
        self.mend = mend


@dataclass(frozen=True)
class Heading:
    """What a heading says: field, and unit if it names one."""

    field: Field | None
    unit: str | None


def _short(cell: str) -> str:
    """Return a cell without the blanks around it, refused when it is longer than any number."""
    cell = cell.strip()
    if len(cell) > LONGEST_CELL:
        raise CellError(
            f"{cell[:20]!r}… has {len(cell):,} characters, more than a number, date or time has",
            "keep one of them a cell",
        )
    return cell


def read_heading(text: str) -> Heading:
    """
    Return what a column heading means, as far as it can be told.

    Parameters
    ----------
    text : str
        Heading of a column.
    """
    words = re.sub(r"[^a-z]+", " ", _folded(text[:LONGEST_CELL])).split()
    units = [UNIT_WORDS[w] for w in words if w in UNIT_WORDS]
    bare = " ".join(w for w in words if w not in UNIT_WORDS)
    whole = " ".join(words)
    field = HEADINGS.get(bare) or HEADINGS.get(whole)
    if field is None and words:
        field = next((HEADINGS[w] for w in words if w in HEADINGS), None)
        # one known word among others is a hint for masses and energy only when it leads
        if field is not None and HEADINGS.get(words[0]) != field:
            field = None
    return Heading(field, units[0] if units else None)


def is_blank(cell: str) -> bool:
    """
    Return whether a cell says nothing.

    Parameters
    ----------
    cell : str
        As it stands in the file.
    """
    return cell.strip().lower() in NOT_GIVEN


def _is_decimal(digits: str, mark: str) -> bool:
    """Say whether a number's only mark stands where no mark of thousands can."""
    whole, found, behind = digits.partition(mark)
    other = "," if mark == "." else "."
    return bool(found) and behind.isdigit() and other not in whole and len(behind) != 3


def read_number(cell: str, *, decimal_comma: bool) -> tuple[float, str | None]:
    """
    Read a number with an optional unit behind it.

    Parameters
    ----------
    cell : str
    decimal_comma : bool
        True reads 80,5 as eighty and a half and 1.234 as a thousand odd.

    Returns
    -------
    value : float
    unit : str or None
        As in ``UNIT_WORDS``.
    """
    cell = _bare(_short(cell))
    found = NUMBER.match(cell)
    if not found or _loose(found["digits"]):
        raise CellError(f"{cell.strip()!r} is not a number", "write digits, such as 80.5")
    digits = re.sub(r"[\s' ]", "", found["digits"])
    if _is_decimal(digits, "," if decimal_comma else "."):
        digits = digits.replace("," if decimal_comma else ".", ".")
    elif _is_decimal(digits, "." if decimal_comma else ","):
        # This cell has the other mark, and not before three digits: it says so itself.
        digits = digits.replace(",", ".")
    elif decimal_comma:
        digits = digits.replace(".", "").replace(",", ".")
    elif re.fullmatch(r"\d{1,3}(,\d{3})+(\.\d+)?", digits):
        digits = digits.replace(",", "")
    elif "," in digits:
        raise CellError(
            f"{cell.strip()!r} has a comma where a point is the decimal mark",
            "write 80.5, or say that this file uses decimal commas",
        )
    try:
        value = float(digits)
    except ValueError as error:
        raise CellError(f"{cell.strip()!r} is not one number", "keep one number a cell") from error
    word = (found["unit"] or "").rstrip(".").lower()
    if word and word not in UNIT_WORDS:
        raise CellError(f"the unit {found['unit']!r} is not known", "use kg, lb or st; kcal or kJ")
    negative = found["sign"] in ("-", "−")
    return (-value if negative else value), (UNIT_WORDS[word] if word else None)


def _bare(cell: str) -> str:
    """Leave out what people put around a number: ~80.5, 80.5*, 80.5 (after training)."""
    plain = cell.strip()
    if plain.endswith(")") and plain[:1].isdigit():
        plain = plain.partition("(")[0]
    return plain.lstrip("~≈ ").rstrip("*†? ")


def _loose(digits: str) -> bool:
    """Say whether blanks stand between digits where no thousands do: 80 5."""
    groups = digits.split(" ")
    return any(len(group.partition(",")[0].partition(".")[0]) != 3 for group in groups[1:])


def read_mass(cell: str, unit: MassUnit, *, decimal_comma: bool) -> tuple[float, MassUnit]:
    """
    Read a body mass.

    Parameters
    ----------
    cell : str
        Such as 80.5, 177.5 lb or 12 st 7.5.
    unit : {"kg", "lb", "st"}
        Unit of a bare number.
    decimal_comma : bool

    Returns
    -------
    value : float
    unit : {"kg", "lb", "st"}
    """
    cell = _bare(_short(cell))
    stones = STONES.match(cell)
    if stones:
        pounds = float((stones["lb"] or "0").replace(",", "."))
        if pounds >= LB_PER_STONE:
            raise CellError(
                f"{cell.strip()!r} has {pounds:g} pounds beside the stones",
                "a stone is 14 pounds: write fewer than 14 or raise the stones",
            )
        return float(stones["st"]) + pounds / LB_PER_STONE, "st"
    value, named = read_number(cell, decimal_comma=decimal_comma)
    if named == "kg":
        return value, "kg"
    if named == "lb":
        return value, "lb"
    if named is not None:
        raise CellError(f"{named!r} is not a unit of body mass", "use kg, lb or st")
    return value, unit


DATE = re.compile(
    r"^(?P<a>\d{1,4})[-/. ](?P<b>\d{1,2})[-/. ](?P<c>\d{1,4})\.?(?:[T ,]+(?P<rest>.+))?$"
)
TIME = re.compile(
    r"^(?P<h>\d{1,2})[:.](?P<m>\d{2})(?:[:.](?P<s>\d{2})(?:\.\d+)?)?\s*(?P<half>[ap]\.?m\.?)?"
    r"(?:Z|[+-]\d{2}:?\d{2})?$",
    re.IGNORECASE,
)


SERIAL_BEGINS = dt.date(1899, 12, 30)
"""Day 0 of the day numbers that spreadsheets keep dates as."""
FIRST_SERIAL, LAST_SERIAL = 36526, 73050
"""1 January 2000 and 31 December 2099 as day numbers."""


def date_parts(cell: str) -> tuple[int, int, int] | None:
    """
    Return the three numbers of a date in the order they stand, or None.

    Parameters
    ----------
    cell : str
        As it stands in the file.
    """
    found = DATE.match(cell.strip()) if len(cell) <= LONGEST_CELL else None
    return (int(found["a"]), int(found["b"]), int(found["c"])) if found else None


def _named_date(cell: str) -> dt.date | None:
    """Read a date whose month stands as a word: 14 Nov 2026, Nov 14, 2026, 14. November 2026."""
    words = _folded(cell).replace(",", " ").replace(".", " ").replace("-", " ").split()
    words = [word for word in words if word not in ("de", "of", "den", "le", "the")]
    if len(words) == 4 and words[0].isalpha() and words[0][:3] not in MONTHS:
        words = words[1:]  # a weekday in front
    numbers = [word.rstrip("stndrho") or word for word in words if word[0].isdigit()]
    names = [word for word in words if word.isalpha()]
    if len(words) != 3 or len(names) != 1 or len(numbers) != 2:
        return None
    month = next((MONTHS[names[0][:n]] for n in (4, 3) if names[0][:n] in MONTHS), 0)
    if not month or not all(number.isdigit() and len(number) <= 4 for number in numbers):
        return None
    day, year = (int(n) for n in (numbers if len(numbers[0]) <= 2 else numbers[::-1]))
    try:
        return dt.date(year + 2000 if year < 100 else year, month, day)
    except ValueError as error:
        raise CellError(
            f"{cell.strip()!r} is no day of the calendar ({error})", "check day and month"
        ) from error


def read_date(cell: str, order: DateOrder) -> tuple[dt.date, dt.time | None]:
    """
    Read a date, and the time if it stands behind it.

    Parameters
    ----------
    cell : str
        Three numbers; a year of four digits in front wins over ``order``.
    order : {"ymd", "dmy", "mdy"}

    Returns
    -------
    date
    time or None
    """
    cell = _short(cell)
    if len(cell) == 5 and cell.isdigit() and FIRST_SERIAL <= int(cell) <= LAST_SERIAL:
        return SERIAL_BEGINS + dt.timedelta(days=int(cell)), None
    named = _named_date(cell)
    if named is not None:
        return named, None
    found = DATE.match(cell)
    if not found:
        raise CellError(
            f"{cell.strip()!r} is not a date", "write year-month-day, such as 2026-03-09"
        )
    a, b, c = int(found["a"]), int(found["b"]), int(found["c"])
    if len(found["a"]) == 4:
        year, month, day = a, b, c
    elif order == "dmy":
        year, month, day = c, b, a
    elif order == "mdy":
        year, month, day = c, a, b
    else:
        year, month, day = a, b, c
    if year < 100:
        year += 2000
    try:
        date = dt.date(year, month, day)
    except ValueError as error:
        raise CellError(
            f"{cell.strip()!r} read as {order} is no day of the calendar ({error})",
            "check day and month, or say in which order they stand",
        ) from error
    return date, (read_time(found["rest"]) if found["rest"] else None)


def read_time(cell: str) -> dt.time:
    """
    Return a clock time; seconds and time zone are dropped.

    Parameters
    ----------
    cell : str
        As it stands in the file.
    """
    cell = _short(cell)
    found = TIME.match(cell)
    if not found:
        raise CellError(f"{cell.strip()!r} is not a clock time", "write hours:minutes, as 07:15")
    hour, minute = int(found["h"]), int(found["m"])
    half = (found["half"] or "").lower().replace(".", "")
    if half == "pm" and hour < 12:
        hour += 12
    if half == "am" and hour == 12:
        hour = 0
    try:
        return dt.time(hour, minute)
    except ValueError as error:
        raise CellError(
            f"{cell.strip()!r} is no time of day", "hours go to 23, minutes to 59"
        ) from error
