"""
A line of the training week as people write it: "swim 3x/week, 45 min", "gym mon wed fri".

What a line leaves out is taken as usual and marked as such: an hour, and days spread over the week.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from mealplan.client.training_words import DAYS, LOADS, LONGEST_LINE, WEEK, find_sport
from mealplan.client.typed_numbers import TypedToken, cut_up, each_word
from mealplan.client.typed_times import EARLY, LATE, clock_at
from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.exercise import find_activities

USUAL_MINUTES = 60.0
"""Length of a session that was not said (common practice). [min]"""
LEAST_MINUTES, MOST_MINUTES = 5.0, 600.0
"""What one session may last. [min]"""
EXAMPLE = "write such as mon, 17:30, easy run, 45 min, hard"
SPREAD: dict[int, tuple[str, ...]] = {
    1: ("wed",), 2: ("tue", "fri"), 3: ("mon", "wed", "fri"), 4: ("mon", "tue", "thu", "sat"),
    5: ("mon", "tue", "wed", "fri", "sat"), 6: ("mon", "tue", "wed", "thu", "fri", "sat"),
    7: WEEK,
}  # fmt: skip
"""Days of so many sessions a week whose days were not said (common practice)."""
_GROUPS: dict[str, tuple[str, ...]] = {
    "daily": WEEK, "everyday": WEEK, "weekdays": WEEK[:5], "weekday": WEEK[:5],
    "weekend": WEEK[5:], "weekends": WEEK[5:], "taglich": WEEK, "mwf": ("mon", "wed", "fri"),
    "workdays": WEEK[:5], "wochenende": WEEK[5:],
}  # fmt: skip
_LETTERS = {"m": "mon", "t": "tue", "tu": "tue", "w": "wed", "th": "thu", "r": "thu", "f": "fri",
            "s": "sat", "sa": "sat", "su": "sun"}  # fmt: skip
_HOURS = each_word("h hr hrs hour hours std stunde stunden heure heures uur hora horas")
_MINUTES = each_word("min mins minute minutes minuten m mn minutos ' minuts")
_METRES = {"km": 1.0, "k": 1.0, "kilometres": 1.0, "kilometers": 1.0, "kms": 1.0, "mi": 1.609,
           "mile": 1.609, "miles": 1.609, "miler": 1.609}  # fmt: skip
"""[km]"""
_MIN_PER_KM = (("swim", 25.0), ("walk", 12.0), ("hik", 15.0), ("row", 5.0), ("erg", 5.0),
               ("rid", 2.6), ("cycl", 2.6), ("bik", 2.6), ("run", 6.5), ("jog", 7.0))  # fmt: skip
"""Usual pace by sport, for a session of which only the distance is said (common practice)."""
_FILLER = each_word("""
    on the a an of for at in with my i do go and then then, some usually mostly most per each every
    week weekly weeks x times time day days session sessions about around ca approx roughly or & +
    / , ( ) : . ; - – ; evening evenings morning mornings afternoon afternoons night nights after
    before work class lesson long's practice ~ @ am pm from to until till lasting duration length
    minute is are total one it's its roughly normally typically 'd we sometimes start starts plus
    as well also lunch break lunchtime tonight club coach both training both'd once twice thrice
    either = * ! " ' intensity effort rpe zone z pace level o clock oclock uhr um am nach vor der
    and/or morgens abends soir matin tarde noche jeden each alternate alternating
    """)
_OFTEN = frozenset({"weekly", "daily"})
_METRE = frozenset({"m", "metre", "metres", "meter", "meters", "mtr"})
LEAST_METRES = 200.0
"""A number from here on before ``m`` is a distance, below it minutes. [m]"""
_HARD = {"rpe": {range(1, 5): "light", range(5, 7): "moderate", range(7, 9): "hard",
                 range(9, 11): "very hard"}}  # fmt: skip
_LOAD_WORDS = LOADS | {
    "intense": "hard", "vigorous": "hard", "tough": "hard", "gentle": "light", "relaxed": "light",
    "locker": "light", "leicht": "light", "hart": "hard", "moderat": "moderate", "mod": "moderate",
    "recovery": "light", "facile": "light", "dur": "hard", "suave": "light", "intensiv": "hard",
}  # fmt: skip


def read_sessions(line: str) -> list[dict[str, object]]:
    """
    Read a line of the training week: one session, or the same one on several days.

    Parameters
    ----------
    line : str
        Sport with days, clock time, how long and how hard, in any order, such as
        ``mon, 17:30, easy run, 45 min``, ``gym mon/wed/fri``, ``swim 3x/week 1h30`` or
        ``boxing mon-fri 18:00-19:30``; several sessions with a day each between commas.

    Returns
    -------
    list of dict
        Fields of a session for each day; ``assumed`` names what was not said and taken as usual.
        What was not understood as a sport is kept as typed.

    Raises
    ------
    IntakeError
        When it names no sport, or a length or time nobody trains.
    """
    typed = " ".join(line.split())
    if len(typed) > LONGEST_LINE:
        raise IntakeError(f"“{typed[:30]}…” is longer than one session; write one a line")
    found: list[dict[str, object]] = []
    for part in _several(typed):
        reading = _Line(part, cut_up(part))
        found += reading.sessions()
    return found


def says_when(text: str) -> bool:
    """
    Say whether words name days of the week, or how often in it, and nothing else.

    Parameters
    ----------
    text : str

    Returns
    -------
    bool
    """
    typed = text[:LONGEST_LINE]
    line = _Line(typed, cut_up(typed))
    return line.days_said and not line.words


def says_how_long(text: str) -> bool:
    """
    Say whether words name a length of time and nothing else.

    Parameters
    ----------
    text : str

    Returns
    -------
    bool
    """
    typed = text[:LONGEST_LINE]
    line = _Line(typed, cut_up(typed))
    return line.minutes is not None and not line.words


def _several(typed: str) -> list[str]:
    """Split a line that holds several sessions with a day and a sport each."""
    parts = [part.strip() for part in typed.replace(";", ",").split(",") if part.strip()]
    if len(parts) < 2:
        return [typed]
    whole = [_Line(part, cut_up(part)) for part in parts]
    if all(reading.days_said and reading.name() for reading in whole):
        return parts
    return [typed]


@dataclass
class _Line:
    """What a line says, taken out of it piece by piece."""

    typed: str
    cuts: Sequence[TypedToken]
    days: list[str] = field(default_factory=list)
    often: float = 0.0
    """Sessions a week where days are not named."""
    clock: int | None = None
    minutes: float | None = None
    km: float = 0.0
    load: str = ""
    words: list[str] = field(default_factory=list)
    late: bool = False
    assumed: list[str] = field(default_factory=list)
    worded: list[str] = field(default_factory=list)
    """Words that say how hard, unless they are part of the sport's own name."""
    a_day: int = 1
    """Sessions on each of the days."""
    repeats: bool = False
    """True when a distance was said several times over: 8 x 500 m."""
    last: str = ""
    """What was read last, for a question mark behind it."""

    def __post_init__(self) -> None:
        """Read the line once."""
        texts = [cut.text for cut in self.cuts]
        self.late = bool(LATE & set(texts)) and not EARLY & set(texts)
        place = 0
        while place < len(self.cuts):
            place += self._take(place) or 1

    @property
    def days_said(self) -> bool:
        """Whether the line says when in the week."""
        return bool(self.days or self.often)

    def name(self) -> str:
        """Give the words that name the sport."""
        return " ".join(self.words)

    def _text(self, place: int) -> str:
        return self.cuts[place].text if 0 <= place < len(self.cuts) else ""

    def _take(self, place: int) -> int:
        """Take what begins at a place; give how many cuts it is."""
        if self._text(place) == "?" and self.last:
            self.assumed.append(self.last)
            return 1
        for read in (self._frequency, self._day, self._span, self._length, self._effort):
            used = read(place)
            if used:
                return used
        cut = self.cuts[place]
        named = cut.text not in _FILLER or (cut.text in ("training", "class") and self.words)
        if cut.kind == "word" and named:
            self.words.append(cut.text)
        elif cut.text == "&" and self._text(place - 1) in ("s", "r"):
            self.words.append("and")
        elif cut.kind == "number" and cut.digits and cut.text.isdigit() and len(cut.text) == 5:
            self.words.append(cut.text)
        return 1

    def _day(self, place: int) -> int:
        text = self._text(place)
        if text in ("except", "not") and DAYS.get(self._text(place + 1)):
            gone = DAYS[self._text(place + 1)]
            self.days = [day for day in self.days if day != gone]
            return 2
        letters = self._letters(place)
        if letters:
            return letters
        day = DAYS.get(text, "")
        if day and not self._is_only_word(text):
            to = self._text(place + 1) in ("to", "-", "until", "through", "thru", "bis")
            last = DAYS.get(self._text(place + 2), "")
            if to and last:
                first, end = WEEK.index(day), WEEK.index(last)
                run = WEEK[first : end + 1] if end >= first else WEEK[first:] + WEEK[: end + 1]
                self.days += run
                return 3
            self.days.append(day)
            self.last = "day"
            return 1
        if text in _GROUPS:
            self.days += _GROUPS[text]
            return 1
        return 0

    def _letters(self, place: int) -> int:
        """Read days as single letters with strokes between: M/W/F, T/Th."""
        found: list[str] = []
        at = place
        while self._text(at) in _LETTERS and (not found or self._text(at - 1) == "/"):
            found.append(_LETTERS[self._text(at)])
            at += 2 if self._text(at + 1) == "/" else 1
        if len(found) < 2:
            return 0
        self.days += found
        return at - place

    def _is_only_word(self, text: str) -> bool:
        """Say whether a short day name is more likely another word here: we, do, so, mo."""
        return text in ("we", "do", "so", "sa") and len(self.cuts) > 3 and not self.days

    def _frequency(self, place: int) -> int:
        cut, after, then = self.cuts[place], self._text(place + 1), self._text(place + 2)
        if cut.text in ("every", "each", "most", "jeden") and after in (
            "day", "days", "morning", "mornings", "evening", "evenings", "night", "tag",
        ):  # fmt: skip
            self.often = 5 if cut.text == "most" else 7
            return 2
        if (cut.text == "every" and after in ("other", "second", "2nd")) or (
            cut.text in ("alternate", "alternating") and after == "days"
        ):
            self.often = 3.5
            return 3 if cut.text == "every" else 2
        if cut.text in ("once", "twice", "thrice") and cut.kind == "number":
            many = cut.values[0]
            daily = then == "day" or after == "daily"
            self.often = 7 if daily else many
            self.a_day = int(many) if daily else 1
            return 3 if after in ("a", "per", "/", "each") else 2 if after in _OFTEN else 1
        return self._times(place) if cut.kind == "number" and cut.values else 0

    def _times(self, place: int) -> int:
        """Read 3x/week, 3-4 times a week, 3 days per week, 3/week."""
        many, used = self.cuts[place].values[0], 1
        if self._text(place + 1) in ("-", "to", "or") and place + 2 < len(self.cuts):
            upper = self.cuts[place + 2]
            if upper.kind == "number" and upper.values and upper.values[0] <= 14:
                many, used = float(int((many + upper.values[0]) / 2)), 3
        word = self._text(place + used)
        if not 0 < many <= 21:
            return 0
        if word in ("x", "times", "days", "sessions", "fois", "mal", "veces", "keer", "time",
                    "day", "session", "workouts", "evenings", "mornings", "nights"):  # fmt: skip
            behind = self._text(place + used + 1)
            counted = self._text(place + used + 1).isdigit()
            if word == "x" and counted:
                return 0  # 2 x 45 min
            used += 1
            per_day = behind in ("/", "a", "per", "each", "every") and many <= 4
            if per_day and self._text(place + used + 1) in ("day", "d"):
                self.often, self.a_day = 7, int(many)
                return used + 2
            if behind in ("/", "a", "per", "each", "every", "pro", "par", "por", "die", "la"):
                used += 2
            elif behind in ("week", "weekly", "wk", "woche"):
                used += 1
            self.often = many
            return used
        if word in ("/", "per", "a") and self._text(place + used + 1) in ("week", "wk", "w"):
            self.often = many
            return used + 2
        return 0

    def _span(self, place: int) -> int:
        if self.clock is not None or self._text(place + 1) in _METRE:
            return 0
        found = clock_at(self.cuts, place, late=self.late)
        if found is None:
            return 0
        self.clock = found.begin_min
        if found.end_min is not None:
            lasted = (found.end_min - found.begin_min) % 720
            if LEAST_MINUTES <= lasted <= MOST_MINUTES:
                self.minutes = float(lasted)
        return found.used

    def _length(self, place: int) -> int:
        cut = self.cuts[place]
        if cut.kind != "number" or not cut.values:
            if cut.text in ("hour", "hr") and self.minutes is None:
                self.minutes = 60.0
                return 1
            return 0
        value, used = cut.values[0], 1
        times = 1.0
        if self._text(place + 1) in ("x", "*") and place + 2 < len(self.cuts):
            after = self.cuts[place + 2]
            if after.kind == "number" and after.values:
                times, value, used = value, after.values[0], 3
        if self._text(place + used) in ("-", "to") and place + used + 1 < len(self.cuts):
            upper = self.cuts[place + used + 1]
            if upper.kind == "number" and upper.values and upper.values[0] > value:
                value, used = (value + upper.values[0]) / 2, used + 2
        if self._text(place + used) in ("-", "more") and self._text(place + used + 1):
            used += 1 if self._text(place + used + 1) in _HOURS | _MINUTES else 0
        if self._text(place + used) in _METRE and (
            value >= LEAST_METRES or (times > 1 and value >= LEAST_METRES / 4)
        ):
            self.km = value * times / 1000
            self.repeats = self.repeats or times > 1
            return used + 1
        return self._unit(place, used, value * times, cut)

    def _unit(self, place: int, used: int, value: float, cut: TypedToken) -> int:
        unit = self._text(place + used)
        if unit == "h" and value > MOST_MINUTES / 60:
            raise IntakeError(f"“{self.typed}”: is {value:g} h a clock time or how long? {EXAMPLE}")
        if unit in _HOURS or (unit == ":" and value < 5):
            minutes, more = self._minutes_behind(place + used + 1)
            if unit == ":" and more == 0:
                return 0
            return self._lasts(value * 60 + minutes, used + 1 + more)
        if unit in _MINUTES:
            return self._lasts(value, used + 1)
        if unit in _METRES:
            self.km = value * _METRES[unit]
            return used + 1
        bare = cut.digits and cut.text.isdigit() and len(cut.text) <= 3
        if bare and 10 <= value <= 300 and self.minutes is None:
            return self._lasts(value, used)
        return 0

    def _minutes_behind(self, place: int) -> tuple[float, int]:
        """Read the minutes behind hours: 1 h 15 min, 1h30, an hour and a half."""
        cut = self.cuts[place] if place < len(self.cuts) else TypedToken("mark", "")
        if cut.text == "and" and place + 1 < len(self.cuts):
            after = self.cuts[place + 1]
            if after.kind == "number" and after.values and after.values[0] < 1:
                return after.values[0] * 60, 2
            if after.kind == "number" and self._text(place + 2) in _MINUTES:
                return after.values[0], 3
        if cut.kind == "number" and cut.digits and cut.values and cut.text.isdigit():
            unit = self._text(place + 1)
            small = cut.values[0] < 60 and unit not in ("x", "times", ":", "km", "k", "am", "pm")
            if small and (unit in _MINUTES or len(cut.text) == 2):
                return cut.values[0], 2 if unit in _MINUTES else 1
        return 0.0, 0

    def _lasts(self, minutes: float, used: int) -> int:
        if not LEAST_MINUTES <= minutes <= MOST_MINUTES:
            raise IntakeError(
                f"“{self.typed}”: a session of {minutes:g} min is outside {LEAST_MINUTES:g} to "
                f"{MOST_MINUTES:g}; {EXAMPLE}"
            )
        self.minutes = minutes
        self.last = "minutes"
        return used

    def _effort(self, place: int) -> int:
        text, after = self._text(place), self._text(place + 1)
        if text == "very" and after == "hard":
            self.load = "very hard"
            return 2
        if text == "all" and after == "out":
            self.load = "very hard"
            return 2
        if text == "rpe" and after.isdigit():
            self.load = next((w for r, w in _HARD["rpe"].items() if int(after[:3]) in r), "")
            return 2
        if text in ("zone", "z") and after in ("1", "2", "3", "4", "5"):
            self.load = ("light", "light", "moderate", "hard", "very hard")[int(after) - 1]
            return 2
        if text in _LOAD_WORDS and text not in ("easy", "recovery"):
            self.load = _LOAD_WORDS[text]
            self.worded.append(text)
            return 1
        return 0

    def sessions(self) -> list[dict[str, object]]:
        """Give the sessions of the line."""
        name = self.name()
        if name in ("rest", "off", "rest day", "nothing", "day off"):
            if self.days_said:
                return []
            raise IntakeError(
                f"“{self.typed}”: days without a session are days of rest; leave the line out, or "
                "write such as sun rest"
            )
        name = self._settled(self._with_its_load(name))
        if not name:
            raise IntakeError(f"“{self.typed}” names no sport; {EXAMPLE}")
        sport = find_sport(name)
        self._ask(name, known=sport is not None or bool(find_activities(name)))
        session: dict[str, object] = {}
        if self.clock is not None:
            session["time"] = f"{self.clock // 60 % 24:02}:{self.clock % 60:02}"
        session["minutes"] = self._lasting(name)
        if self.load:
            session["load"] = self.load
        session["activity"] = sport.code if sport is not None else name
        if not self.days:
            self.days = list(self._spread())
            self.assumed.append("day")
        if self.assumed:
            session["assumed"] = self.assumed
        again = {name: value for name, value in session.items() if name != "time"}
        return [
            {"day": day, **(again if turn else session)}
            for day in dict.fromkeys(self.days)
            for turn in range(self.a_day)
        ]

    def _ask(self, name: str, *, known: bool) -> None:
        """Refuse a line that leaves too much to guess."""
        first, after = self._text(0), self._text(1)
        if first in ("t", "s") and after not in ("&", "and", "/", "-", "+", "'"):
            one, other = ("Tuesday", "Thursday") if first == "t" else ("Saturday", "Sunday")
            raise IntakeError(f"“{self.typed}”: is {first.upper()} {one} or {other}? {EXAMPLE}")
        lasts = self.minutes is not None or self.km
        if not self.days_said and not (known and lasts):
            why = "says neither the day nor how long" if known else "names no sport known here"
            raise IntakeError(f"“{self.typed}” {why}; {EXAMPLE}")
        if self.repeats and self.minutes is None:
            raise IntakeError(
                f"“{self.typed}” says how far; how long is it with its rests? {EXAMPLE}"
            )

    def _with_its_load(self, name: str) -> str:
        """Give a sport whose own name says how hard it is: hard row, hard climbing."""
        whole = find_sport(" ".join((*self.worded, name))) if self.worded and name else None
        plain = find_sport(name) if whole is not None else None
        if whole is None or (plain is not None and plain.code == whole.code):
            return name
        self.load = ""
        return " ".join((*self.worded, name))

    def _settled(self, name: str) -> str:
        """Take "easy" for how hard where it is not part of the sport's own name."""
        words = name.split()
        for word in ("easy", "recovery"):
            if word in words and len(words) > 1:
                rest = " ".join(other for other in words if other != word)
                own = find_sport(name)
                plain = find_sport(rest)
                if plain is not None and (own is None or own.code == plain.code):
                    self.load = self.load or "light"
                    return rest
        return name

    def _lasting(self, name: str) -> float:
        if self.minutes is not None:
            return int(self.minutes) if self.minutes == int(self.minutes) else self.minutes
        self.assumed.append("minutes")
        if self.km:
            pace = next((pace for word, pace in _MIN_PER_KM if word in name), 0.0)
            guess = round(self.km * pace / 5) * 5
            if pace and LEAST_MINUTES <= guess <= MOST_MINUTES:
                return guess
        return USUAL_MINUTES

    def _spread(self) -> tuple[str, ...]:
        """Spread sessions whose days are not said over the week."""
        if self.often == 3.5:
            return ("mon", "wed", "fri", "sun")
        if self.often > 7 or self.a_day > 1:
            raise IntakeError(
                f"“{self.typed}” is more than one a day; write a line for each session with its day"
            )
        return SPREAD[max(1, int(self.often + 0.5))]
