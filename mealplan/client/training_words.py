"""Training as people say it: "easy run", "intervals", "strength", found in the compendium."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from mealplan.physiology.expenditure.exercise import find_activities
from mealplan.physiology.tables import activities

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
    "nordic skiing": "19090", "xc skiing": "19090",
    "s and c": "02054", "strength and conditioning": "02054", "weightlifting": "02050",
    "weight lifting": "02054", "resistance training": "02054", "pt": "02054",
    "personal training": "02054", "body pump": "02054", "squat day": "02052", "leg day": "02052",
    "push day": "02054", "pull day": "02054", "full body": "02054", "chest day": "02054",
    "squad swim": "18290", "swim squad": "18290", "squad": "18290", "masters swim": "18290",
    "speed work": "12090", "speedwork": "12090", "sprints": "12090", "track session": "12090",
    "parkrun": "12080", "half marathon": "12200", "run club": "12030", "trail running": "12140",
    "dog walk": "17190", "walk dog": "17190", "nordic walking": "17200", "power walk": "17220",
    "bootcamp": "02040", "boot camp": "02040", "functional training": "02040",
    "stair climber": "02065", "stairmaster": "02065", "5 a side": "15610", "five a side": "15610",
    "basketball practice": "15055", "rugby training": "15560", "mtb": "01009", "zwift": "02013",
    "indoor cycling": "02019", "ergo": "02073", "laufen": "12030", "joggen": "12020",
    "krafttraining": "02054", "schwimmen": "18240", "radfahren": "01015", "rad": "01015",
    "fitnessstudio": "02054", "spazieren": "17190", "wandern": "17080", "rudern": "02073",
    "klettern": "15537", "fussball": "15610", "course a pied": "12030", "course": "12030",
    "natation": "18240", "velo": "01015", "musculation": "02054", "muscu": "02054",
    "marche": "17190", "randonnee": "17080", "correr": "12030", "nadar": "18240",
    "natacion": "18240", "bici": "01015", "bicicleta": "01015", "pesas": "02054",
    "gimnasio": "02054", "caminar": "17190", "futbol": "15610", "hardlopen": "12030",
    "fietsen": "01015", "zwemmen": "18240", "sportschool": "02054", "wandelen": "17190",
    "voetbal": "15610", "muay thai": "15430", "kickboxing": "15430", "mma": "15430",
    "jiu jitsu": "15430", "boxing class": "15110",
}  # fmt: skip
"""What people say to the compendium's code; plain running and football are taken at their easier
pace, so that energy is not overstated (common practice)."""

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_DAY_NAMES = (
    "mon mo monday mondays montag montags lundi lunes maandag lunedi",
    "tue tu tues tuesday tuesdays dienstag dienstags mardi martes dinsdag martedi die",
    "wed we weds wednesday wednesdays mittwoch mittwochs mercredi miercoles woensdag mi",
    "thu th thur thurs thursday thursdays donnerstag donnerstags jeudi jueves donderdag do",
    "fri fr friday fridays freitag freitags vendredi viernes vrijdag",
    "sat sa saturday saturdays samstag samstags samedi sabado zaterdag",
    "sun su sunday sundays sonntag sonntags dimanche domingo zondag so",
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
