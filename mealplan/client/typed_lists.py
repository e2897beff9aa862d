"""Lists as people write them: foods not eaten, minutes by day, clock times of meals."""

from __future__ import annotations

from mealplan.client.training_words import DAYS, WEEK
from mealplan.client.typed import read_quantity
from mealplan.client.typed_numbers import cut_up, each_word
from mealplan.client.typed_times import clock_at
from mealplan.errors import IntakeError

LONGEST_LIST = 4000
"""Longest list that is read. [characters]"""
_BETWEEN = (",", ";", "\n", "/", "|", "•", " or ", " and ", " & ", " nor ", " und ", " oder ",
            " et ", " ou ", " y ", " o ", " en ", " of ", "+", ".", "(", ":")  # fmt: skip
_AROUND = each_word("""
    no not any all i my me we hate hates dislike dislikes like likes love loves don't dont do cant
    can't cannot stand eat eating please pls plz thanks thank you the a some really very much too
    never ever anything with is am are allergic allergy to intolerant intolerance for but except
    keine kein nichts mit pas de sin sans ohne geen niet also just prefer rather avoid avoiding
    without have having it them fan big not-so into enjoy enjoys most especially lots more want
    """)
_SAID_OTHERWISE = {"celiac": "gluten", "coeliac": "gluten", "celiac disease": "gluten",
                   "coeliac disease": "gluten", "gluten free": "gluten",
                   "gluten-free": "gluten"}  # fmt: skip
_FROM_ANIMALS = each_word(
    "lactose dairy milk cheese egg eggs meat fish seafood shellfish chicken beef pork honey"
)
"""Nothing of these is ever served, so a wish to leave them out is met."""
_DAY_GROUPS = {"weekday": WEEK[:5], "weekdays": WEEK[:5], "workdays": WEEK[:5],
               "weekend": WEEK[5:], "weekends": WEEK[5:], "daily": WEEK, "day": WEEK,
               "always": WEEK, "otherwise": WEEK, "else": WEEK, "rest": WEEK}  # fmt: skip


_DAY_FILLER = each_word(
    "on the at : / + & and every each a per = other days during for only max up to -"
)


def read_food_words(text: str, *, keep_animals: bool = False) -> list[str]:
    """
    Read foods as they are listed in a sentence.

    Parameters
    ----------
    text : str
        Such as ``no mushrooms or aubergine pls``.
    keep_animals : bool
        False leaves out foods from animals, which are never served in any case.

    Returns
    -------
    list of str
        ``["mushrooms", "aubergine"]``.
    """
    plain = " ".join(text[:LONGEST_LIST].replace("\n", ",").split())
    lowered = f"{plain} "
    for mark in _BETWEEN:
        lowered = lowered.replace(mark, "\n")
    found: list[str] = []
    for part in lowered.split("\n"):
        words = part.strip(" !()-").split()
        while words and words[0].lower().strip("!?:") in _AROUND:
            words = words[1:]
        while words and words[-1].lower().strip("!?:") in _AROUND:
            words = words[:-1]
        name = " ".join(words)
        name = _SAID_OTHERWISE.get(name.lower(), name)
        if name and (keep_animals or name.lower() not in _FROM_ANIMALS) and name not in found:
            found.append(name)
    return found


def read_days(text: str) -> list[str]:
    """
    Read days of the week as they are listed.

    Parameters
    ----------
    text : str
        Such as ``Sunday and Wednesday`` or ``weekends``.

    Returns
    -------
    list of str

    Raises
    ------
    IntakeError
        When something else stands in it.
    """
    days: list[str] = []
    for part in text[:LONGEST_LIST].replace(" and ", ",").replace(";", ",").split(","):
        if not part.strip():
            continue
        found, rest = _days_of(part)
        if rest or not found:
            raise IntakeError(f"“{part.strip()[:40]}” is no day; write such as sun, wed")
        days += [day for day in found if day not in days]
    return days


_COELIAC = ("celiac", "coeliac", "celiaque", "zoliakie", "celiaca")
_ALLERGIC = ("allerg", "anaphyla")


def tells_allergy(text: str) -> tuple[bool, bool]:
    """
    Say whether a list of foods not eaten tells of coeliac disease or of an allergy.

    Parameters
    ----------
    text : str

    Returns
    -------
    coeliac, allergic : bool
    """
    words = {cut.text for cut in cut_up(text[:LONGEST_LIST])}
    coeliac = any(word.startswith(_COELIAC) for word in words)
    return coeliac, any(word.startswith(_ALLERGIC) for word in words)


def read_minutes_by_day(text: str) -> dict[str, int]:
    """
    Read how long one may cook on which day.

    Parameters
    ----------
    text : str
        Such as ``mon 30, sat 90``, ``weekdays 20 min, weekend 1 h`` or ``30`` for every day.

    Returns
    -------
    dict
        Day to minutes. [min]

    Raises
    ------
    IntakeError
        When a part does not read.
    """
    found: dict[str, int] = {}
    waiting: list[str] = []
    general: int | None = None
    for part in text[:LONGEST_LIST].replace(";", ",").replace("\n", ",").split(","):
        if not part.strip():
            continue
        days, rest = _days_of(part)
        if not rest:
            waiting += days
            continue
        minutes = int(read_quantity("minutes", rest).value + 0.5)
        if not days and not waiting:
            general = minutes
        for day in (*waiting, *days):
            found[day] = minutes
        waiting = []
    if waiting:
        raise IntakeError(f"“{', '.join(waiting)}” has no minutes; write such as mon 30, sat 90")
    if general is not None:
        found = dict.fromkeys(WEEK, general) | found
    return {day: found[day] for day in WEEK if day in found}


def _days_of(part: str) -> tuple[list[str], str]:
    """Take the days out of one part: mon-fri 30, sat/sun 90, 20 min on weekdays."""
    days: list[str] = []
    rest: list[str] = []
    cuts = cut_up(part)
    place = 0
    while place < len(cuts):
        text = cuts[place].text
        after = cuts[place + 2].text if place + 2 < len(cuts) else ""
        to = place + 1 < len(cuts) and cuts[place + 1].text in ("-", "to", "bis")
        if text in DAYS and to and after in DAYS:
            first, last = WEEK.index(DAYS[text]), WEEK.index(DAYS[after])
            days += WEEK[first : last + 1] if last >= first else (*WEEK[first:], *WEEK[: last + 1])
            place += 3
            continue
        if text in DAYS:
            days.append(DAYS[text])
        elif text in _DAY_GROUPS:
            days += [day for day in _DAY_GROUPS[text] if day not in days]
        elif text not in _DAY_FILLER:
            rest.append(text)
        place += 1
    return days, " ".join(rest)


def read_clock_times(text: str) -> list[str]:
    """
    Read the clock times of meals.

    Parameters
    ----------
    text : str
        Such as ``7:30, 12.30, 4pm and 19h``.

    Returns
    -------
    list of str
        HH:MM.

    Raises
    ------
    IntakeError
        When a part is no clock time.
    """
    found: list[str] = []
    for part in text[:LONGEST_LIST].replace(" and ", ",").replace(";", ",").split(","):
        if not part.strip():
            continue
        found.append(read_clock_time(part))
    return found


def read_clock_time(text: str) -> str:
    """
    Read one clock time.

    Parameters
    ----------
    text : str
        Such as ``6pm``, ``18h30``, ``half six pm`` or ``7``.

    Returns
    -------
    str
        HH:MM.

    Raises
    ------
    IntakeError
        When it is none.
    """
    typed = " ".join(text.split())[:40]
    cuts = cut_up(f"at {typed}")
    late = any(cut.text in ("pm", "evening", "afternoon", "abends", "soir") for cut in cuts)
    span = clock_at(cuts, 0, late=late) if len(cuts) > 1 else None
    if span is None:
        raise IntakeError(f"“{typed}” is no clock time; write such as 07:30 or 6 pm")
    return f"{span.begin_min // 60 % 24:02}:{span.begin_min % 60:02}"
