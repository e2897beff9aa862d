"""Training as people say it: "easy run", "intervals", "strength", found in the compendium."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from mealplan.client.typed import read_quantity
from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.exercise import find_activities
from mealplan.physiology.tables import activities

EARLIEST_H = 5
"""17h30 is a clock time; with fewer hours it is a length. [h]"""
LONGEST_LINE = 200
"""Longest line of one session. [characters]"""

WORDS: dict[str, str] = {
    "easy run": "12029", "recovery run": "12029", "slow run": "12029", "jog": "12020",
    "jogging": "12020", "run": "12030", "running": "12030", "steady run": "12050",
    "long run": "12050", "tempo run": "12070", "tempo": "12070", "threshold run": "12070",
    "fartlek": "12060", "intervals": "12090", "interval run": "12090", "track": "12090",
    "hill repeats": "12090", "hills": "12090", "race": "12080", "marathon": "12200",
    "trail run": "12140", "cross country run": "12140", "treadmill": "12030",
    "strength": "02054", "strength training": "02054", "weights": "02054", "gym": "02054",
    "lifting": "02054", "weight training": "02054", "upper body": "02054", "lower body": "02054",
    "push": "02054", "pull": "02054", "legs": "02052", "squats": "02052",
    "powerlifting": "02050", "bodybuilding": "02050", "heavy lifting": "02050",
    "olympic lifting": "02050", "core": "02022", "bodyweight": "02022", "calisthenics": "02022",
    "circuit": "02035", "circuits": "02035", "circuit training": "02035", "hiit": "02040",
    "kettlebells": "02040", "crossfit": "02040", "elliptical": "02048", "cross trainer": "02048",
    "skipping": "02068", "rope skipping": "02068", "jump rope": "02068", "stepper": "02065",
    "row": "02073", "rowing": "02073", "easy row": "02072", "erg": "02073",
    "rowing machine": "02073", "ergometer": "02073", "hard row": "02074",
    "cycling": "01015", "bike": "01015", "biking": "01015", "ride": "01015", "bike ride": "01015",
    "cycle": "01015", "easy ride": "01020", "easy bike": "01020", "long ride": "01030",
    "road ride": "01040", "road cycling": "01040", "commute by bike": "01020",
    "mountain bike": "01009", "mountain biking": "01009", "spin": "02019", "spinning": "02019",
    "spin class": "02019", "turbo": "02013", "turbo trainer": "02013", "indoor bike": "02013",
    "exercise bike": "02012", "stationary bike": "02012", "swim": "18240", "swimming": "18240",
    "easy swim": "18240", "laps": "18290", "swim training": "18290", "swim intervals": "18280",
    "hard swim": "18280", "yoga": "02150", "power yoga": "02160", "vinyasa": "02160",
    "pilates": "02105", "stretching": "02101", "mobility": "02101", "walk": "17190",
    "walking": "17190", "easy walk": "17170", "brisk walk": "17200", "fast walk": "17220",
    "hike": "17080", "hiking": "17080", "stairs": "17133", "football": "15610",
    "soccer": "15610", "football match": "15605", "soccer match": "15605",
    "football training": "15605", "basketball": "15055", "basketball game": "15040",
    "rugby": "15560", "tennis": "15675", "tennis match": "15690", "volleyball": "15711",
    "martial arts": "15430", "karate": "15430", "judo": "15430", "taekwondo": "15430",
    "bjj": "15430", "boxing": "15110", "bag work": "15110", "sparring": "15120",
    "climbing": "15537", "bouldering": "15537", "hard climbing": "15535", "ice hockey": "15362",
    "hockey": "15350", "field hockey": "15350", "cross-country skiing": "19090",
    "nordic skiing": "19090",
}  # fmt: skip
"""What people say to the compendium's code; plain running and football are taken at their easier
pace, so that energy is not overstated (common practice)."""

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_DAY_NAMES = (
    "mon mo monday mondays",
    "tue tu tues tuesday tuesdays",
    "wed we weds wednesday wednesdays",
    "thu th thur thurs thursday thursdays",
    "fri fr friday fridays",
    "sat sa saturday saturdays",
    "sun su sunday sundays",
)
DAYS = {word: day for day, names in zip(WEEK, _DAY_NAMES, strict=True) for word in names.split()}
"""How the days of a week are written."""
LOADS = {"light": "light", "easy": "light", "moderate": "moderate", "medium": "moderate",
         "hard": "hard", "very hard": "very hard", "max": "very hard"}  # fmt: skip


@dataclass(frozen=True)
class Sport:
    """An activity of the compendium that words name."""

    code: str
    activity: str
    """As the compendium calls it, to be shown back."""
    met: float
    """[MET]"""


@cache
def _known() -> dict[str, str]:
    return {
        " ".join(sorted(words.replace("-", " ").split())): code for words, code in WORDS.items()
    }


def find_sport(words: str) -> Sport | None:
    """
    Find what a session is called in the compendium of exercise costs.

    Parameters
    ----------
    words : str
        As people say it, in any order and case, or a code.

    Returns
    -------
    Sport or None
        None when the words name nothing, or several things that cost differently.
    """
    plain = " ".join(words[:LONGEST_LINE].lower().replace("-", " ").split()).strip(" .")
    if not plain:
        return None
    table = activities()
    code = plain.upper() if plain.upper() in table else ""
    code = code or _known().get(" ".join(sorted(plain.split())), "")
    if not code:
        kept = [word for word in plain.split() if word not in _SAID_BESIDE]
        code = _known().get(" ".join(sorted(kept)), "")
    if not code:
        found = find_activities(plain)
        code = found[0].code if len(found) == 1 else ""
    if not code:
        return None
    found_one = table[code]
    return Sport(code, found_one.activity, found_one.met)


_SAID_BESIDE = frozenset(
    """
    a an the of my session sessions training workout work class club with some group practice
    morning evening lunch outdoor indoor full body
    """.split()  # noqa: SIM905
)
_UNITS = frozenset(["min", "mins", "minutes", "h", "hr", "hour", "hours"])


def read_sessions(line: str) -> list[dict[str, object]]:
    """
    Read a line of the training week: one session, or the same one on several days.

    Parameters
    ----------
    line : str
        Day or days, clock time if known, sport, how long, how hard, in any order; commas between
        or not, such as ``mon, 17:30, easy run, 45 min``, ``Gym mon/wed/fri 1 h`` or
        ``boxing 18:00 90 min mon to fri``.

    Returns
    -------
    list of dict
        Fields of a session for each day; what was not understood as a sport is kept as typed.

    Raises
    ------
    IntakeError
        When no day, sport or length stands in it.
    """
    typed = " ".join(line.split())
    if len(typed) > LONGEST_LINE:
        raise IntakeError(f"“{typed[:30]}…” is longer than one session; write one a line")
    spaced = typed.lower()
    for mark in ",/+&()":
        spaced = spaced.replace(mark, f" {mark} ")
    days, rest = _days(spaced.split())
    if not days:
        raise IntakeError(f"“{typed}” does not say on which day; {EXAMPLE}")
    session = _session(rest, typed)
    return [{"day": day, **session} for day in days]


EXAMPLE = "write such as mon, 17:30, easy run, 45 min, hard"


def _days(words: list[str]) -> tuple[list[str], list[str]]:
    """Take the days out of a line: those named, ranges such as mon to fri, or every day."""
    days: list[str] = []
    rest: list[str] = []
    to = False
    for word in words:
        day = DAYS.get(word.strip(".;:"), "")
        if word in ("daily", "everyday"):
            days.extend(WEEK)
        elif day and to and days:
            first, last = WEEK.index(days[-1]), WEEK.index(day)
            days.extend(WEEK[first + 1 : last + 1])
        elif day:
            days.append(day)
        elif not (days and word in ("and", "/", "+", "&")) and word not in ("on", "(", ")"):
            rest.append(word)
        to = word in ("to", "-", "–", "until") and bool(days)
        if to and rest and rest[-1] == word:
            rest.pop()
    return list(dict.fromkeys(days)), rest


def _session(rest: list[str], typed: str) -> dict[str, object]:
    """Read clock time, length, load and sport out of the words that are left."""
    session: dict[str, object] = {}
    for place, word in enumerate(rest):
        clock = _clock(word)
        if clock and not (place + 1 < len(rest) and rest[place + 1] in _UNITS):
            session["time"] = clock
            rest = rest[:place] + rest[place + 1 :]
            break
    rest, minutes = _length(rest, typed)
    if minutes is not None:
        session["minutes"] = minutes
    for said in ("very hard", *LOADS):
        parts = said.split()
        if rest[-len(parts) :] == parts and len([w for w in rest if w != ","]) > len(parts):
            before = [w for w in rest[: -len(parts)] if w != ","]
            if said in ("easy",) and find_sport(" ".join(before)) is None:
                break
            session["load"] = LOADS[said]
            rest = rest[: -len(parts)]
            break
    name = " ".join(word for word in rest if word != ",")
    if not name:
        raise IntakeError(f"“{typed}” names no sport; {EXAMPLE}")
    if minutes is None:
        raise IntakeError(f"“{typed}” does not say how long; {EXAMPLE}")
    sport = find_sport(name)
    session["activity"] = sport.code if sport is not None else name
    return session


def _clock(word: str) -> str:
    """Read a clock time such as 17:30, 7.30, 17h30 or 6pm; empty when it is none."""
    half: int | None = None
    if word.endswith(("am", "pm")) and word[0].isdigit():
        half, word = (12 if word.endswith("pm") else 0), word[:-2]
        if word.isdigit():
            word += ":00"
    for mark in (":", ".", "h"):
        hour, found, minute = word.partition(mark)
        if found and hour.isdigit() and minute.isdigit() and len(hour) <= 2 and len(minute) == 2:
            at = int(hour) % 12 + half if half is not None else int(hour)
            if mark == "h" and at < EARLIEST_H:
                continue  # 1h30 is how long, not when
            if at < 24 and int(minute) < 60:
                return f"{at:02}:{minute}"
    return ""


def _length(words: list[str], typed: str) -> tuple[list[str], float | None]:
    """Take the length in minutes out of the words of a session."""
    for place in range(len(words) - 1, -1, -1):
        word = words[place]
        if not word[0].isdigit() or (len(word) == 5 and word.isdigit()):
            continue
        end = place + 1
        if end < len(words) and words[end] in _UNITS:
            end += 1
            if end < len(words) and words[end].isdigit() and words[end - 1][0] == "h":
                end += 1
        begin = place
        if place >= 2 and words[place - 1] in ("h", "hr", "hour", "hours"):
            begin = place - 2
        try:
            read = read_quantity("minutes", " ".join(words[begin:end]))
        except IntakeError as error:
            raise IntakeError(f"“{typed}”: {error}") from None
        return words[:begin] + words[end:], read.value
    return words, None
