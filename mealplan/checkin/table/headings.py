"""What a heading says: the kind of reading, its unit, side and time of day, or that it is none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rapidfuzz import fuzz, process

from mealplan.checkin.log.entries import LIMBS, Side
from mealplan.checkin.table.words import (
    FED,
    MORNING,
    UNIT_WORDS,
    WEEKDAYS,
    fed_in,
    folded,
    word_set,
    words_of,
)

Field = Literal[
    "date", "time", "weekday", "mass", "energy", "adherence", "note", "cycle day", "training",
    "session", "steps",
    "waist", "abdomen", "hip", "neck", "chest", "thigh", "calf", "upper arm",
]  # fmt: skip
NAMES: dict[Field, str] = {
    "date": "date dates day datum when datetime timestamp measured tag jour fecha dia data "
    "giorno dag "
    "dato paiva dzien wann quand pvm paivamaara",
    "time": "time clock hour uhrzeit zeit heure hora ora tijd tid klokkeslett klockslag aika "
    "godzina "
    "kello uhr",
    "weekday": "weekday wochentag dow veckodag ukedag ugedag viikonpaiva",
    "mass": "weight weights mass bodyweight bw wt wgt weigh scale scales gewicht korpergewicht "
    "poids "
    "peso vikt vaegt vekt paino waga masa kroppsvikt lichaamsgewicht pesée pesee waage weighed "
    "kropsvaegt "
    "morgengewicht nuchterngewicht pese pesata pesaje",
    "energy": "energy calories intake kcal kj cal cals eaten food kalorien energie energia "
    "calorias "
    "calorie kalorie kalorier calorieen energi consumed diet essen gegessen mange apport eten "
    "comido "
    "ingesta mangiato kaloreja kaloria spist atit zjedzone jedzenie caloriesin calorien "
    "kilokalorien "
    "kilojoules nahrung nutrition",
    "adherence": "adherence",
    "note": "note notes comment comments remark remarks notiz notizen bemerkung bemerkungen "
    "kommentar "
    "kommentare remarque remarques commentaire nota notas opmerking opmerkingen anteckning "
    "anteckningar "
    "merknad notatka osservazioni huomio bemerkninger noter uwagi anmerkung comentario comentarios",
    "steps": "steps schritte pas pasos passi stappen steg skridt skritt passos kroki askeleet "
    "askelta",
    "waist": "waist taille taillenumfang cintura vita midja talje midje talia waistline vyotaro "
    "vyotaronymparys tour",
    "abdomen": "abdomen belly navel bauch bauchumfang ventre buik mage brzuch",
    "hip": "hip hips hufte hanches hanche cadera fianchi heup quadril anca hoft hofte biodra po "
    "heupen "
    "lantio huftumfang",
    "neck": "neck hals cou cuello collo nek pescoco szyja kaula",
    "chest": "chest brust poitrine pecho petto borst peito brost bryst bust klatka rinta "
    "brustumfang",
    "thigh": "thigh thighs oberschenkel cuisse muslo coscia dij coxa lar udo reisi",
    "calf": "calf calves wade mollet pantorrilla polpaccio kuit panturrilha vad lydka pohje",
    "upper arm": "arm arms oberarm bras brazo braccio bovenarm braco overarm ramie biceps bicep "
    "overarm hauis",
    "training": "training trained workout workouts exercise exercising session sessions gym lift "
    "lifting run running jog jogging ride riding bike biking cycle cycling cardio swim swimming "
    "row "
    "rowing erg walk walking yoga sport sports climb climbing hike hiking ski skiing football "
    "tennis "
    "pilates spin conditioning strength resistance intervals laufen lauf rad radfahren schwimmen "
    "krafttraining kraft rudern wandern entrainement course velo natation muscu musculation marche "
    "aviron entrenamiento ejercicio correr bici natacion pesas caminar gimnasio entreno "
    "allenamento "
    "corsa nuoto palestra camminata hardlopen lopen fietsen zwemmen wandelen sporten trening "
    "traning "
    "lob loping cykling simning svomning styrka styrke lopning trenink bieganie rower silownia "
    "treeni "
    "duration dauer duree duracion durata duur varighet varighed juoksu pyoraily liikunta uinti "
    "treino exercicio corrida kettlebell boxing dance dancing tempo",
    "cycle day": "",
}  # fmt: skip
HEADINGS: dict[str, Field] = {
    word: field for field, words in NAMES.items() for word in words.split()
}
WHOLE: dict[str, Field] = {
    "date time": "date", "as planned": "adherence", "on plan": "adherence",
    "cycle day": "cycle day",
    "cycle": "cycle day", "body weight": "mass", "body mass": "mass", "weigh in": "mass",
    "upper arm": "upper arm", "calories in": "energy", "energy in": "energy",
    "day of week": "weekday",
    "tour de taille": "waist", "tour de hanches": "hip", "day of cycle": "cycle day",
    "zyklustag": "cycle day", "day of the week": "weekday",
}  # fmt: skip
MAYBE: dict[str, tuple[Field, ...]] = {
    "belt": ("waist", "abdomen"), "beltline": ("waist", "abdomen"), "tummy": ("abdomen", "waist"),
    "stomach": ("abdomen", "waist"), "gut": ("abdomen", "waist"), "middle": ("waist", "abdomen"),
    "girth": ("waist", "abdomen"), "midriff": ("waist", "abdomen"), "trousers": ("waist",
    "abdomen"),
    "gurtel": ("waist", "abdomen"), "ceinture": ("waist", "abdomen"), "umfang": ("waist",
    "abdomen"),
    "tape": ("waist", "abdomen"), "bum": ("hip",), "glutes": ("hip",), "butt": ("hip",),
    "seat": ("hip",), "leg": ("thigh", "calf"), "legs": ("thigh", "calf"), "bein": ("thigh",
    "calf"),
    "omtrek": ("waist", "abdomen"), "circumference": ("waist", "abdomen"),
    "tourdetaille": ("waist",), "torso": ("chest", "waist"),
}  # fmt: skip
"""Words that leave open which girth is meant, the likeliest first."""
MEAN = word_set(
    "avg average mean moving rolling trend smoothed schnitt durchschnitt mittel mittelwert "
    "moyenne moy media promedio gemiddelde gem snitt medel medelvarde gennemsnit gjennomsnitt "
    "keskiarvo srednia median avge ave total sum summe gesamt somme totale totaal"
)
AIMED = word_set(
    "goal target aim plan planned budget allowance ziel soll objectif objetivo obiettivo doel "
    "mal plannad cel tavoite limit"
)
OTHER = word_set(
    "change diff difference delta loss lost gain gained bmi fat fett grasa graisse grasso vet "
    "muscle muskel muscles muscolo lean water wasser eau agua bone knochen protein eiweiss "
    "carbs carb carbohydrate carbohydrates kohlenhydrate fibre fiber sugar salt burned burnt "
    "burn active verbraucht verbrauch tdee bmr rmr maintenance deficit surplus balance heart "
    "hr rhr puls pulse pouls pulso sleep slept schlaf sommeil sueno sonno slaap somn sovn bed "
    "bedtime screen work sitting standing mood stimmung humeur hunger energie-level height "
    "grosse taille-cm temperature temp veranderung differenz verlust abnahme perte ecart "
    "perdida cambio variazione verschil forandring remaining left fasting caffeine coffee "
    "alcohol drinks price cost money bp systolic diastolic week kw semaine semana vecka uke "
    "uge no nr number index rpe pain stress visceral age distance km miles pace speed watts "
    "power elevation ratio whr score rating"
)
"""Words of columns that a log has no entry for, or that hold no reading of their own."""
SIDES: dict[str, Side] = {
    "left": "left", "l": "left", "links": "left", "linker": "left", "gauche": "left",
    "izquierdo": "left", "sinistra": "left", "sinistro": "left", "vanster": "left",
    "venstre": "left",
    "right": "right", "r": "right", "rechts": "right", "rechter": "right", "droite": "right",
    "droit": "right", "derecho": "right", "destra": "right", "destro": "right", "hoger": "right",
    "hojre": "right", "hoyre": "right",
}  # fmt: skip
MEALS = word_set(
    "breakfast lunch dinner supper snack snacks fruhstuck mittagessen abendessen dejeuner "
    "diner cena desayuno almuerzo comida colazione pranzo ontbijt frukost middag"
)
LIKE = 83
"""Likeness from which a longer word is a known one with a slip of the pen. [0 to 100]"""
LONG = [word for word in HEADINGS if len(word) >= 5]


@dataclass(frozen=True)
class Heading:
    """
    What a heading says.

    Attributes
    ----------
    field : Field or None
    units : tuple of str
    none : str
        Why the column holds no reading; empty where it may.
    maybe : tuple of Field
        Girths it may be, where it leaves that open.
    exact : bool
        True when every word of it is known.
    fed : bool or None
        True for evening, False for fasted.
    what : str
        Words of it, for the name of a session.
    """

    field: Field | None = None
    units: tuple[str, ...] = ()
    none: str = ""
    maybe: tuple[Field, ...] = ()
    exact: bool = False
    side: Side | None = None
    fed: bool | None = None
    morning: bool = False
    what: str = ""


BY_UNIT: dict[str, Field] = {
    "kg": "mass", "lb": "mass", "st": "mass", "kcal": "energy", "kj": "energy", "mj": "energy",
    "steps": "steps", "min": "training",
}  # fmt: skip


def read_heading(text: str) -> Heading:
    """
    Say what a heading means, as far as it can be told by its words.

    Parameters
    ----------
    text : str

    Returns
    -------
    Heading
    """
    found = words_of(text)
    fed = fed_in(text)
    morning = any(word in MORNING for word in found)
    units = tuple(UNIT_WORDS[word] for word in found if word in UNIT_WORDS)
    if '"' in text or "″" in text:
        units += ("in",)
    bare = [word for word in found if word not in UNIT_WORDS]
    whole = WHOLE.get(" ".join(bare)) or WHOLE.get(" ".join(found))
    side = next((SIDES[word] for word in bare if word in SIDES), None)
    plain = [word for word in bare if word not in SIDES]
    if whole is not None:
        return Heading(whole, units, exact=True, fed=fed, morning=morning, what=" ".join(plain))
    none = _none(plain, folded(text))
    field, exact = _field(plain, found, units)
    maybe = next((MAYBE[word] for word in plain if word in MAYBE), ())
    if field in ("date", "time", "note") and none.startswith("no kind"):
        none = ""
    return Heading(
        field=None if none or (maybe and not exact) else field,
        units=units,
        none=none,
        maybe=() if none else maybe,
        exact=exact,
        side=side if field in LIMBS or maybe else None,
        fed=fed,
        morning=morning,
        what=" ".join(plain),
    )


def _none(plain: list[str], text: str) -> str:
    """Say why a heading's column holds no reading of its own."""
    if any(word in MEAN for word in plain) or text.strip() in ("ø", "o", "∅") or "7d" in text:
        return "a mean or a sum of others"
    if any(word in AIMED for word in plain) and plain != ["plan"]:
        return "what was aimed at, not what was measured"
    if "%" in text or "+/-" in text or any(word in OTHER for word in plain):
        return "no kind of reading a log has"
    if any(word in MEALS for word in plain) and len(plain) <= 2:
        return "a part of the day's eating"
    return ""


def _field(plain: list[str], found: list[str], units: tuple[str, ...]) -> tuple[Field | None, bool]:
    """Give the kind a heading names and whether all its words are known."""
    known = [HEADINGS[word] for word in plain if word in HEADINGS]
    rest = [word for word in plain if word not in HEADINGS and word not in WEEKDAYS]
    rest = [word for word in rest if word not in IDLE and word not in FED and word not in MORNING]
    if known:
        return _chosen(known, units), not rest and len(set(known)) == 1
    for word in plain:
        if len(word) >= 5:
            like = process.extractOne(word, LONG, scorer=fuzz.ratio, score_cutoff=LIKE)
            if like is not None:
                return HEADINGS[like[0]], False
    bare_unit = next((BY_UNIT[unit] for unit in units if unit in BY_UNIT), None)
    if bare_unit is not None:
        return bare_unit, not rest
    named = next((HEADINGS[word] for word in found if word in HEADINGS), None)
    return named, False


def _chosen(known: list[Field], units: tuple[str, ...]) -> Field:
    """Choose among the kinds that words of one heading name: by the unit, then the last word."""
    by_unit = next((BY_UNIT[unit] for unit in units if unit in BY_UNIT), None)
    if by_unit in known:
        return by_unit
    lengths = [field for field in known if field in GIRTHS]
    if lengths and (not units or units[0] in ("cm", "in", "mm")):
        return lengths[0]
    if known[0] in ("training", "time") and any(unit in ("min", "h") for unit in units):
        return "training"
    firm = [field for field in known if field not in ("date", "time")]
    return (firm or known)[0]


GIRTHS = frozenset(("waist", "abdomen", "hip", "neck", "chest", "thigh", "calf", "upper arm"))
IDLE = word_set(
    "my the of in at on that this a an mein meine mon ma mi mio mia min daily per today body "
    "per day log first thing reading readings value before after up for done did morning's "
    "total's wrist um and und et e y o i around round size measurement measure the de du des "
    "la le les del der das am pm en al au"
)
