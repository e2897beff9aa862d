"""Words of tables in a dozen languages, accents taken off: units, days, months, absences."""

from __future__ import annotations

import re
import unicodedata

LONGEST_CELL = 160
"""Longest cell that is looked at for a number, a day or a time. [characters]"""
_UNDECOMPOSED = str.maketrans(
    {"ß": "ss", "æ": "ae", "ø": "o", "ł": "l", "œ": "oe", "’": "'", "‘": "'", "′": "'", "″": '"',
     "−": "-", "‐": "-", "‑": "-", "–": "-", "—": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
     "\u200b": None, "\ufeff": None}
)  # fmt: skip
WORD = re.compile(r"[a-z]+")


def word_set(words: str) -> frozenset[str]:
    """
    Return words written with blanks between them.

    Parameters
    ----------
    words : str

    Returns
    -------
    frozenset of str
    """
    return frozenset(words.split())


def folded(text: str) -> str:
    """
    Lower the case, take accents off and make dashes, apostrophes and blanks plain.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
    """
    plain = unicodedata.normalize("NFKD", text[:LONGEST_CELL].lower().translate(_UNDECOMPOSED))
    return "".join(letter for letter in plain if not unicodedata.combining(letter))


def words_of(text: str) -> list[str]:
    """
    Return the words of a text, folded.

    Parameters
    ----------
    text : str

    Returns
    -------
    list of str
    """
    return WORD.findall(folded(text))


def _table(rows: dict[str, str]) -> dict[str, str]:
    return {word: key for key, words in rows.items() for word in words.split()}


UNIT_WORDS = _table(
    {
        "kg": "kg kgs kilo kilos kilogram kilograms kilogramm kilogrammes kilogrammi",
        "lb": "lb lbs pound pounds",
        "st": "st stone stones stn",
        "g": "g gr gram grams gramm grammes",
        "kcal": "kcal kcals cal cals calories kilocalories kilokalorien kalorien",
        "kj": "kj kilojoule kilojoules",
        "mj": "mj megajoule megajoules",
        "cm": "cm cms centimetre centimetres centimeter zentimeter",
        "mm": "mm millimetre millimeter",
        "in": "in inch inches zoll pouce pouces pollici pulgadas",
        "min": "min mins minute minutes minuten minutos minuti minuter minutter minut minuuttia",
        "h": "h hr hrs hour hours std stunde stunden heure heures hora horas ora ore uur timer "
        "timmar godz",
        "s": "sec secs second seconds sek",
        "steps": "step steps schritte pas pasos passi stappen steg skridt skritt passos kroki "
        "askelta",
        "km": "km kms kilometre kilometer",
        "mi": "mi mile miles",
        "k": "k",
        "bpm": "bpm",
        "cl": "ml cl",
    }
)
"""Word to unit."""
WEEKDAYS: dict[str, int] = {
    word: day
    for day, words in enumerate(
        (
            "mon monday mo montag lun lundi lunes lunedi ma maandag mandag man mandag maanantai "
            "pon "
            "poniedzialek segunda seg",
            "tue tues tuesday tu di dienstag die mar mardi martes martedi dinsdag tir tirsdag tis "
            "tisdag tiistai wto wtorek terca ter",
            "wed weds wednesday we mi mittwoch mit mer mercredi mie miercoles mercoledi woe "
            "woensdag "
            "wo ons onsdag keskiviikko sro sroda quarta qua",
            "thu thur thurs thursday th do donnerstag don jeu jeudi jue jueves gio giovedi don "
            "donderdag tor torsdag torstai czw czwartek quinta qui",
            "fri friday fr freitag fre ven vendredi vie viernes venerdi vrijdag vr fredag "
            "perjantai "
            "pia piatek sexta sex",
            "sat saturday sa samstag sam samedi sab sabado sabato zat zaterdag za lor lordag "
            "lauantai "
            "sob sobota sonnabend",
            "sun sunday su so sonntag son dim dimanche dom domingo domenica zon zondag zo sondag "
            "sunnuntai nie niedziela",
        )
    )
    for word in words.split()
}
"""Weekday's name or its beginning, to its number from Monday, 0."""
MONTHS: dict[int, tuple[str, ...]] = {
    number: tuple(names.split())
    for number, names in enumerate(
        (
            "january januar janvier enero ene gennaio gen januari janeiro tammikuu styczen "
            "stycznia",
            "february februar fevrier febrero febbraio februari fevereiro fev helmikuu luty lutego",
            "march mars marz mrz marzo maart mrt marco maerz maaliskuu marzec marca",
            "april avril avr abril abr aprile huhtikuu kwiecien kwietnia",
            "may mai mayo maggio mag mei maj maio toukokuu maja",
            "june juni juin junio giugno giu junho kesakuu czerwiec czerwca",
            "july juli juillet juil julio luglio lug julho heinakuu lipiec lipca",
            "august aout agosto ago augustus augusti elokuu sierpien sierpnia",
            "september septembre septiembre settembre set setembro syyskuu wrzesien wrzesnia sept",
            "october oktober octobre octubre ottobre ott outubro out lokakuu pazdziernik "
            "pazdziernika",
            "november novembre noviembre novembro marraskuu listopad listopada",
            "december dezember decembre diciembre dic dicembre dezembro desember joulukuu grudzien "
            "grudnia",
        ),
        start=1,
    )
}
"""Names of a month, and the short forms that are no beginning of one, by its number."""
MONTH_STARTS: dict[str, int] = {
    name[:length]: number
    for number, names in MONTHS.items()
    for name in names
    for length in range(3, len(name) + 1)
}
"""Every beginning of three letters or more to its month."""
ABOUT = word_set(
    "ca circa approx approximately about around roughly c env environ etwa ungefahr rund cca "
    "zirka aprox cerca ongeveer omkring noin okolo est estimated say maybe"
)
"""Words before a number that is not exact."""
NOTHING = word_set(
    "- -- --- _ . .. ... / x xx xxx ? n/a na n.a. nan null none nil nd #n/a #value! #div/0! "
    "#ref! no "
    "k.a. n.v.t. s.o."
) | {""}
"""Cells that say there is nothing."""
NO_READING = word_set(
    "missed miss missing skipped skip forgot forgotten holiday holidays vacation away travel "
    "travelling traveling ill sick rest off recovery unknown blank none nothing not didn "
    "scale scales vergessen urlaub ferien krank ruhetag pause frei keine kein oublie vacances "
    "repos malade rien olvidado vacaciones descanso enfermo dimenticato vacanze riposo malato "
    "vergeten vakantie rust ziek glomt semester sjuk vila glemt ferie syg syk hvile pominiete "
    "wakacje unterwegs reise battery broken conference wedding"
)
"""Words of a cell without digits that say there is no reading."""
SUMMARY = word_set(
    "average averages avg mean median total totals sum sums subtotal min max minimum maximum "
    "count lost gained change difference diff delta overall lowest highest range stdev sd "
    "goal target summe gesamt mittel mittelwert durchschnitt schnitt verlust differenz ziel "
    "moyenne moy somme ecart perte objectif media promedio suma perdida diferencia totale "
    "somma perso differenza obiettivo gemiddelde gem totaal som verschil doel medel "
    "medelvarde snitt summa gennemsnit gjennomsnitt keskiarvo yhteensa srednia razem ubytek "
    "strata"
)
"""Words of a row that sums other rows up."""
SUMMARY_BESIDE = word_set(
    "so far to date of the for week weekly wk month monthly all in kg lb lbs kcal cm min this "
    "last weight loss gain and this woche monat semaine mois semana mes der des pro per "
    "overall days day 7 values value since start period entries abgenommen bisher"
)
"""Words that may stand beside those."""
FED = word_set(
    "evening evenings eve night dinner supper lunch bedtime afternoon pm fed abend abends "
    "abendessen nachmittag nachmittags mittag nachts soir diner dejeuner noche tarde cena "
    "comida sera pomeriggio pranzo avond middag kvall aften kveld eftermiddag ilta wieczor "
    "wieczorem noite"
)
"""Words of a weigh-in that was not fasted."""
FED_AFTER = word_set(
    "eating food meal breakfast essen fruhstuck fruhstuck manger repas comer desayuno "
    "desayunar mangiato colazione eten ontbijt maten mat frukost mad sniadaniu jedzeniu"
)
"""Words that say so behind 'after'."""
AFTER = word_set("after post nach apres despues dopo na efter etter po past")
MORNING = word_set(
    "morning mornings am fasted waking wake morgens morgen fruh nuchtern matin jeun manana "
    "ayunas mattina mattino digiuno ochtend nuchter morgon morgenen aamu rano manha jejum"
)
FASTED = word_set("fasted nuchtern jeun ayunas digiuno nuchter fastande jejum czczo")
CLOTHED = word_set("clothed clothes dressed kleidung angezogen habille vestido vestito kleren")
OTHER_SCALE = word_set("hotel gym other another different friend friends andere fremde autre otra")
SCALE = word_set("scale scales waage balance bascula bilancia weegschaal vag vaegt vekt waga")


def is_nothing(cell: str) -> bool:
    """
    Say whether a cell says nothing, or says in words that there is no reading.

    Parameters
    ----------
    cell : str

    Returns
    -------
    bool
    """
    plain = folded(cell).strip()
    if plain.strip("()[]") in NOTHING or not plain.strip("-_./ "):
        return True
    if len(plain) > LONGEST_CELL or any(letter.isdigit() for letter in plain):
        return False
    return any(word in NO_READING for word in WORD.findall(plain))


def is_summary(cell: str) -> bool:
    """
    Say whether a cell only names a mean, a sum, a goal or a difference.

    Parameters
    ----------
    cell : str

    Returns
    -------
    bool
    """
    found = words_of(cell)
    if any(letter.isdigit() for letter in cell):
        found = [word for word in found if word not in UNIT_WORDS]
    if folded(cell).strip(" :().") in ("o", "ø", "σ", "\u2211", "+/-", "±"):
        return True
    return (
        0 < len(found) <= 6
        and any(word in SUMMARY for word in found)
        and all(word in SUMMARY or word in SUMMARY_BESIDE for word in found)
    )


def fed_in(text: str) -> bool | None:
    """
    Tell from words whether a weigh-in was after food.

    Parameters
    ----------
    text : str
        A remark, a heading or the word for a time of day.

    Returns
    -------
    bool or None
        None where nothing is said.
    """
    found = words_of(text)
    if any(word in FED for word in found):
        return True
    after = next((n for n, word in enumerate(found) if word in AFTER), None)
    if after is not None and any(word in FED_AFTER for word in found[after:]):
        return True
    if any(word in FASTED for word in found):
        return False
    return None


def month_of(word: str) -> int:
    """
    Return the number of the month a word names, 0 for none.

    Parameters
    ----------
    word : str
        Folded.

    Returns
    -------
    int
    """
    return MONTH_STARTS.get(word, 0)
