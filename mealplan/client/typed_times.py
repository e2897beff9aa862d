"""Clock times and spans as people write them: 6am, 18h30, half six, noon, 18:00-19:30."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mealplan.client.typed_numbers import TypedToken, each_word

EARLIEST_H = 5
"""17h30 is a clock time; with fewer hours it is a length. [h]"""
_NAMED = {"noon": 720, "midday": 720, "midnight": 0, "lunchtime": 750, "mittags": 720,
          "midi": 720, "mediodia": 720, "lunch": 750}  # fmt: skip
"""[minutes after midnight]"""
_HOURS_IN_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_NOT_HOURS = each_word(
    "min mins minutes h hr hrs hour hours km k miles m x times ' days mi / - to sets laps reps %"
)
"""Behind a bare number, these say that it is no hour of the day."""
LATE = frozenset({"pm", "evening", "evenings", "afternoon", "afternoons", "night", "nights",
                  "abends", "soir", "tarde", "noche", "tonight", "avond", "dinner"})  # fmt: skip
EARLY = frozenset({"am", "morning", "mornings", "morgens", "fruh", "matin", "manana", "ochtend",
                   "breakfast", "dawn"})  # fmt: skip
_AT = frozenset({"at", "from", "around", "um", "a", "om", "@", "starts", "start", "starting",
                 "begins", "ab"})  # fmt: skip


@dataclass(frozen=True)
class ClockSpan:
    """A clock time, with the end where one is said."""

    begin_min: int
    """[minutes after midnight]"""
    end_min: int | None
    used: int
    """Cuts it takes."""


def clock_at(cuts: Sequence[TypedToken], place: int, *, late: bool) -> ClockSpan | None:
    """
    Read a clock time that begins at a place.

    Parameters
    ----------
    cuts : sequence of TypedToken
    place : int
    late : bool
        True where the text speaks of the evening, so that 7 is 19:00.

    Returns
    -------
    ClockSpan or None
        None where no clock time stands.
    """
    at = 1 if cuts[place].text in _AT and place + 1 < len(cuts) else 0
    begin = _one(cuts, place + at, bare=bool(at) and cuts[place].text != "a")
    if begin is None:
        return _bare_span(cuts, place + at, late=late, at=at)
    minute, used, half = begin
    used += at
    end: tuple[int, int, str] | None = None
    behind = cuts[place + used].text if place + used < len(cuts) else ""
    if behind in ("-", "to", "until", "till", "bis") and place + used + 1 < len(cuts):
        end = _one(cuts, place + used + 1, bare=True)
    if end is not None:
        end_min, more, end_half = end
        used += 1 + more
        half = half or (end_half if minute % 720 <= end_min % 720 else "")
        finish = _of_half(end_min, end_half or half, late=late and not half)
        return ClockSpan(_of_half(minute, half, late=late), finish, used)
    return ClockSpan(_of_half(minute, half, late=late), None, used)


def _bare_span(cuts: Sequence[TypedToken], place: int, *, late: bool, at: int) -> ClockSpan | None:
    """Read 6-7am, where only the end says that it is a time."""
    if place + 2 >= len(cuts) or cuts[place + 1].text not in ("-", "to"):
        return None
    hour, end = _hour(cuts, place), _one(cuts, place + 2, bare=False)
    if not hour or end is None or not end[2]:
        return None
    begin_min = _of_half(hour * 60, end[2], late=False)
    end_min = _of_half(end[0], end[2], late=False)
    if begin_min > end_min:
        begin_min -= 720
    return ClockSpan(begin_min % 1440, end_min, at + 2 + end[1])


def _of_half(minute: int, half: str, *, late: bool) -> int:
    if half == "pm" or (not half and late and minute < 720):
        return minute % 720 + 720
    return minute % 720 if half == "am" else minute


def _one(cuts: Sequence[TypedToken], place: int, *, bare: bool) -> tuple[int, int, str] | None:
    """Read one clock time: minutes after midnight, cuts used, half of the day if said."""
    if place >= len(cuts):
        return None
    cut = cuts[place]
    texts = [other.text for other in cuts[place : place + 5]]
    if cut.text in _NAMED:
        return _NAMED[cut.text], 1, "set"
    if cut.text == "half" and len(texts) > 1:
        past = 2 if texts[1] == "past" else 1
        hour = _hour(cuts, place + past)
        if hour and (past == 2 or texts[1] in _HOURS_IN_WORDS or bare):
            more, half = _half(cuts, place + past + 1)
            return hour * 60 + 30, past + 1 + more, half
        return None
    if cut.kind != "number":
        return None
    if not cut.digits:
        hour = _hour(cuts, place)
        more, half = _half(cuts, place + 1)
        if hour and (half or texts[1:3] == ["o", "'"] or texts[1:2] == ["oclock"]):
            return hour * 60, 1 + more, half
        return None
    return _digits(cuts, place, texts, bare=bare)


def _hour(cuts: Sequence[TypedToken], place: int) -> int:
    if place >= len(cuts):
        return 0
    cut = cuts[place]
    if cut.text in _HOURS_IN_WORDS:
        return _HOURS_IN_WORDS[cut.text]
    return int(cut.text) if cut.text.isdigit() and 0 < int(cut.text[:3]) <= 12 else 0


def _half(cuts: Sequence[TypedToken], place: int) -> tuple[int, str]:
    """Read am or pm, with points or without."""
    texts = [cut.text for cut in cuts[place : place + 4]]
    if texts[:1] and texts[0] in ("am", "pm"):
        return 1, texts[0]
    if texts[:2] in (["a", "m"], ["p", "m"]):
        return 2, texts[0] + "m"
    if texts[:1] == ["uhr"]:
        return 1, ""
    return 0, ""


def _digits(
    cuts: Sequence[TypedToken], place: int, texts: Sequence[str], *, bare: bool
) -> tuple[int, int, str] | None:
    """Read 17:30, 17.30, 17h30, 18h, 0630, 6am or, where a time is expected, 7."""
    text = texts[0]
    if text.count(".") == 1:
        whole, _, behind = text.partition(".")
        more, half = _half(cuts, place + 1)
        follows = texts[1] if len(texts) > 1 else ""
        timed = follows in ("h", "hr", "hrs", "hour", "hours", "min", "km", "k", "miles")
        clock = whole.isdigit() and len(behind) == 2 and int(whole[:2]) < 24 and int(behind) < 60
        if clock and not timed and (half or int(whole) >= EARLIEST_H):
            return int(whole) * 60 + int(behind), 1 + more, half
        return None
    if not text.isdigit() or len(text) > 4:
        return None
    value = int(text)
    if len(text) == 4:
        more, half = _half(cuts, place + 1)
        fits = value % 100 < 60 and value // 100 < 24
        return (value // 100 * 60 + value % 100, 1 + more, half) if fits else None
    if value > 24:
        return None
    return _hour_first(cuts, place, texts, value, bare=bare)


def _hour_first(
    cuts: Sequence[TypedToken], place: int, texts: Sequence[str], hour: int, *, bare: bool
) -> tuple[int, int, str] | None:
    minute = texts[2] if len(texts) > 2 else ""
    written = len(minute) == 2 and minute.isdigit() and int(minute) < 60
    if texts[1:2] == [":"] and written:
        more, half = _half(cuts, place + 3)
        units = texts[3 + more] if len(texts) > 3 + more else ""
        if units in ("h", "hr", "hour", "hours", "min") and not half and units != "h":
            return None
        if hour < EARLIEST_H and units in ("h", "hr", "hour", "hours"):
            return None
        return hour * 60 + int(minute), 3 + more, half
    if texts[1:2] == ["h"] and hour >= EARLIEST_H:
        return (hour * 60 + int(minute), 3, "") if written else (hour * 60, 2, "")
    more, half = _half(cuts, place + 1)
    if half or texts[1:2] == ["uhr"]:
        return hour * 60, 1 + max(more, 1 if texts[1:2] == ["uhr"] else 0), half
    follows = texts[1] if len(texts) > 1 else ""
    if bare and 0 < hour <= 24 and follows not in _NOT_HOURS:
        return hour % 24 * 60, 1, ""
    return None
