"""
The words of a dish: sentences for what is served this time, for one plate or for a pot.

Sentences come from the verbs' templates in ``verbs.csv``; amounts are put in where the hand needs
them: water always, shares of a line where it is used twice, and for a pot every line once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import Action, cuts, vessels
from foods.dishes.line import DishLine
from foods.dishes.minutes import rounds_of, step_minutes, water_of
from foods.dishes.model import Dish
from foods.dishes.process import line_start
from foods.dishes.taste import tastes_of
from foods.dishes.walk import MINOR, PLATE, Moment, Taken, pieces, role_of, served_lines, walk

Say = Callable[[str, float], str]
"""Gives the words for so many grams of a line, by the word the dish calls it."""

NAMED_AT_MOST = 3
HELD_AT_MOST = 5
"""What a vessel holds is named up to so many things, seasoning counted or not."""
MIXES = frozenset(
    {"blend", "blend in the pot", "knead", "mash", "rub", "shape", "stir together",
     "whisk"}
)  # fmt: skip
"""Verbs after which what went in is one thing, not to be named by its parts."""
SEASONS = 4.0
"""Up to so much of a spice, a sauce or a juice is sprinkled rather than laid or piled. [g]"""
LAYS = frozenset({"layer", "top", "fill", "wrap", "pile on"})
MIXED_IN = frozenset(
    {"bowl", "second bowl", "small bowl", "blender", "board", "jar", "box", "microwave bowl"}
)
"""Vessels whose contents are one mixture."""
_OPTIONAL = re.compile(r"\[([^\[\]]*)\]")
_SLOT = re.compile(r"\{(\w+)\}")
_SLOTS = re.compile(r"\{\w+\}")
_SHARES = {0.25: "a quarter of", 0.33: "a third of", 0.5: "half", 0.67: "two thirds of",
           0.75: "three quarters of"}  # fmt: skip


@dataclass(frozen=True)
class Handful:
    """One step by itself, for a cook who sees one at a time."""

    text: str
    wait_min: float = 0.0
    """What it goes on for while hands are free; 0 without waiting. [min]"""


@dataclass(frozen=True)
class Told:
    """The sentences of a dish, by where they belong."""

    evening: tuple[str, ...]
    """The evening before."""
    cook: tuple[str, ...]
    plate: tuple[str, ...]
    """What is done for each portion when it is eaten."""
    single: tuple[Handful, ...] = ()
    """The same from the day itself, one step at a time."""

    @property
    def all(self) -> tuple[str, ...]:
        """Every sentence in the order of work."""
        before = tuple(f"The evening before: {text[:1].lower()}{text[1:]}" for text in self.evening)
        return (*before, *self.cook, *self.plate)


def minutes_text(minutes: float) -> str:
    """
    Write minutes as a cook says them.

    Parameters
    ----------
    minutes : float
        [min]

    Returns
    -------
    str
    """
    if minutes <= 0:
        return ""
    if minutes < 1:
        return f"{60 * minutes:.0f} seconds"
    if minutes >= 120 and minutes % 60 == 0:
        return f"{minutes / 60:.0f} hours"
    return "1 minute" if minutes == 1 else f"{minutes:g} minutes"


def water_text(millilitres: float) -> str:
    """
    Write an amount of water.

    Parameters
    ----------
    millilitres : float
        [ml]

    Returns
    -------
    str
        To 10 ml, from a litre on to 100 ml.
    """
    if millilitres <= 0:
        return ""
    if millilitres >= 1000:
        litres = f"{millilitres / 1000:.1f}".removesuffix(".0")
        return f"{litres} litre{'' if litres == '1' else 's'}"
    return f"{max(10, round(millilitres / 10) * 10):.0f} ml"


def joined(names: Collection[str]) -> str:
    """
    Join names as a sentence does.

    Parameters
    ----------
    names : collection of str

    Returns
    -------
    str
    """
    listed = list(names)
    if len(listed) < 2:
        return "".join(listed)
    return ", ".join(listed[:-1]) + " and " + listed[-1]


class _Writer:
    """Writes one dish, remembering which amounts and vessels were already said."""

    def __init__(
        self,
        dish: Dish,
        grams: Mapping[str, float],
        portions: float,
        say: Say | None,
        every: bool,
        catalogue: Catalogue,
        kettle: bool,
    ) -> None:
        self.catalogue = catalogue
        self.kettle = kettle
        self.dish = dish
        self.lines = served_lines(dish.lines, grams)
        self.grams = {called: grams[line.food] for called, line in self.lines.items()}
        self.portions = portions
        self.say = say
        self.every = every
        self.minor = {name for name, line in self.lines.items() if role_of(line) in MINOR}
        self.clings = {
            name
            for name, line in self.lines.items()
            if role_of(line) == "fat" or line.food == "salt"
        }
        self.named: set[str] = set()
        self.used: set[str] = set()
        self.cut: set[str] = set()
        self.last = ""
        self.worked = ""
        self.mixed: set[str] = set()
        self.result: dict[str, str] = {}
        self.out: set[str] = set()

    def amount(self, name: str, share: float) -> str:
        """Give the amount in brackets where the hand needs it."""
        if self.say is None or name not in self.lines:
            return ""
        unsaid = name not in self.named and (self.every or self.dry(name))
        if not unsaid and share > 0.999:
            return ""
        self.named.add(name)
        words = self.say(name, self.grams[name] * share)
        return f" ({words})" if words else ""

    def dry(self, name: str) -> bool:
        """Say whether a line is weighed cooked and comes dry, so that its dry weight is needed."""
        line = self.lines[name]
        food = self.catalogue.food(line.food)
        return line_start(line, food) == "dried" and food.yield_factor > 1

    def portion(self, portion: Taken) -> str:
        """Name one thing a step takes, without its article."""
        if portion.name in vessels() and portion.name not in self.lines:
            if portion.name in self.result:
                return f"the {self.result[portion.name]}"
            if portion.name in self.mixed:
                return "the mixture"
            few = len(portion.lines) <= NAMED_AT_MOST
            unsaid = self.clings if few else self.minor
            things = [name for name, _ in portion.lines if name not in unsaid]
            if len(portion.lines) <= HELD_AT_MOST and 0 < len(things) <= NAMED_AT_MOST:
                return f"the {joined(things)}"
            if portion.name in MIXED_IN:
                return "the mixture"
            return f"what is in the {portion.name}"
        amount = self.amount(portion.name, portion.share)
        if portion.rest:
            return f"the rest of the {portion.name}{amount}"
        if portion.share < 0.999 and portion.lines[0][0] == portion.name:
            near = min(_SHARES, key=lambda share: abs(share - portion.share))
            return f"{_SHARES[near]} the {portion.name}{amount}"
        return f"{portion.name}{amount}"

    def listed(self, portions: Collection[Taken], water: str = "") -> str:
        """Name all a step takes, one article for the plain ones, water last."""
        plain = [p for p in portions if not p.rest and p.share > 0.999 and self._plain(p)]
        other = [p for p in portions if p not in plain]
        words = [self.portion(p) for p in plain]
        if words:
            words[0] = f"the {words[0]}"
        words += [self.portion(p) for p in other]
        return joined([*words, f"{water} of water"] if water else words)

    def _plain(self, portion: Taken) -> bool:
        return portion.name in self.lines or portion.name not in vessels()

    def place(self, moment: Moment) -> str:
        """Name the vessel when it is not the one just worked in."""
        if moment.vessel in (self.last, PLATE, "board") and not moment.fresh:
            return ""
        if moment.vessel in (PLATE, "board", "steamer", "blender"):
            return ""
        trays = rounds_of(moment, self.lines, self.portions) if moment.fresh else 1
        if trays > 1 and moment.verb.cooker == "oven":
            said = vessels()[moment.vessel].said.partition(" ")[2]
            return f" in {trays} {said.removesuffix('h')}{'hes' if said.endswith('h') else 's'}"
        return f" in {vessels()[moment.vessel].said if moment.fresh else f'the {moment.vessel}'}"

    def minutes(self, moment: Moment) -> str:
        """Give the minutes of a step, and the rounds a pan needs for what is in it."""
        each = minutes_text(step_minutes(moment, self.lines, self.portions))
        rounds = rounds_of(moment, self.lines, self.portions)
        if rounds < 2 or not each or moment.verb.cooker == "oven" or moment.step.do == "stir in":
            return each
        if moment.empty:
            return f"{each} in each of {rounds} rounds"
        return minutes_text(moment.step.min * rounds)

    def sentence(self, moment: Moment) -> str:
        """Write one step."""
        step = moment.step
        template = moment.verb.says if moment.empty else moment.verb.says_more
        water = water_text(self.water(moment))
        joint = "{takew}" in template
        laid, sprinkled = self.split(moment)
        slots = {
            "take": "" if joint else self.listed(laid),
            "takew": self.listed(moment.take, water) if joint else "",
            "with": self.listed(moment.with_),
            "on": self.listed(moment.on),
            "in": self.place(moment).strip(),
            "vessel": moment.vessel,
            "water": water,
            "min": self.minutes(moment),
            "heat": step.heat or moment.verb.heat,
            "temp": oven_text(step.temp_c) if step.temp_c else "",
            "until": step.until,
        }

        def keep(found: re.Match[str]) -> str:
            inner = found[1]
            return inner if all(slots[slot] for slot in _SLOT.findall(inner)) else ""

        text = _OPTIONAL.sub(keep, template)
        text = _SLOT.sub(lambda found: slots[found[1]], text)
        text = re.sub(r"\s+", " ", text).replace(" ,", ",").replace(" .", ".").replace(" ;", ";")
        if step.makes and step.makes not in text:
            text = f"{text.removesuffix('.')}: the {step.makes}."
        back = moment.vessel not in (self.last, PLATE) and not moment.empty
        if back and step.at == "cook" and not {"{in}", "{vessel}"} & set(_SLOTS.findall(template)):
            text = f"back in the {moment.vessel}, {text[:1].lower()}{text[1:]}"
        if self.kettle and water and moment.empty and moment.way in ("boil", "hard boil"):
            text = text.replace(f"{water} of water", f"{water} of water from the kettle")
        if sprinkled:
            verb = "season" if self.dish.savoury else "sprinkle"
            text = f"{text.removesuffix('.')}; {verb} with {self.listed(sprinkled)}."
        text = _around(step, text)
        if moment.verb.key == "spoon over" and moment.sources and self.worked:
            main = moment.sources[-1]
            if main != self.worked:
                text = text.replace("poon it over", f"poon what is in the {main} over")
        self.last = moment.vessel
        self.worked = moment.vessel if step.at == "cook" else self.worked
        self._mix(moment)
        return text[:1].upper() + text[1:]

    def taken_out(self, moment: Moment, here: Collection[Moment]) -> tuple[str, str]:
        """Say to take out whole leaves: before a pot is blended, or once it is done."""
        names = [
            name
            for name in moment.holds
            if name in self.lines
            and name not in self.out
            and "taken out" in tastes_of().get(self.lines[name].food, frozenset())
        ]
        blends = moment.verb.key == "blend in the pot"
        last = [m for m in here if set(names) & set(m.holds)][-1:] == [moment]
        if not names or moment.step.at != "cook" or not (blends or last):
            return "", ""
        self.out |= set(names)
        text = f"Take out the {joined(names)}."
        return (f"{text} ", "") if blends else ("", f" {text}")

    def split(self, moment: Moment) -> tuple[tuple[Taken, ...], tuple[Taken, ...]]:
        """Part what is laid from the spices and juices that are sprinkled on it."""
        if moment.verb.key not in LAYS:
            return moment.take, ()
        sprinkled = tuple(p for p in moment.take if self._sprinkles(p))
        laid = tuple(p for p in moment.take if p not in sprinkled)
        return (laid, sprinkled) if laid else (moment.take, ())

    def _sprinkles(self, portion: Taken) -> bool:
        line = self.lines.get(portion.name)
        if line is None or role_of(line) not in MINOR:
            return False
        food = self.catalogue.food(line.food)
        brings = tastes_of().get(food.key, frozenset())
        return "sprinkled" in brings or (line.typical_g < SEASONS and food.state == "dried")

    def _mix(self, moment: Moment) -> None:
        """Remember which vessels hold one mixture, or one result, after a step."""
        taken = (*moment.take, *moment.with_, *moment.on)
        solid = [p for p in taken if p.name not in self.minor]
        one = solid[0].name if len(solid) == 1 else ""
        moved = bool(moment.sources) and all(p.name in self.mixed for p in solid)
        carried = self.result.get(one, one) if self._is_result(one) else ""
        for source in moment.sources:
            self.mixed.discard(source)
            self.result.pop(source, None)
        if moment.verb.key in MIXES or (moment.empty and moved):
            self.mixed.add(moment.vessel)
        elif solid and moment.way in ("boil", "hard boil"):
            self.mixed.discard(moment.vessel)
        if moment.empty and carried:
            self.result[moment.vessel] = carried
        elif solid or moment.step.makes:
            self.result.pop(moment.vessel, None)
        if moment.step.makes:
            self.mixed.discard(moment.vessel)

    def _is_result(self, name: str) -> bool:
        """Say whether a name is one a step gave, or a vessel that holds such a thing."""
        return (
            bool(name) and name not in self.lines and (name in self.result or name not in vessels())
        )

    def water(self, moment: Moment) -> float:
        """Scale the water to what is served."""
        typical = sum(line.typical_g for name, line in self.lines.items() if name in moment.holds)
        served = sum(self.grams[name] for name in self.lines if name in moment.holds)
        factor = served / typical / self.portions if typical else 1.0
        return water_of(moment, self.lines, self.portions) * factor

    def prepare(self, moments: Collection[Moment]) -> str:
        """Write the cutting these steps need, one clause a way of cutting."""
        ways: dict[str, list[str]] = {}
        for moment in moments:
            for portion in (*moment.take, *moment.with_, *moment.on):
                line: DishLine | None = self.lines.get(portion.name)
                if line is None or not line.cut or portion.name in self.cut:
                    continue
                self.cut.add(portion.name)
                amount = self.amount(portion.name, 1.0) if self.every else ""
                ways.setdefault(cuts()[line.cut].says, []).append(f"{portion.name}{amount}")
        clauses = []
        for says, names in ways.items():
            verb, _, rest = says.partition(" into ") if " into " in says else (says, "", "")
            into = f" into {rest}" if rest else ""
            clauses.append(f"{verb} the {joined(names)}{into}")
        text = "; ".join(clauses)
        return f"{text[:1].upper()}{text[1:]}." if text else ""


def _heated_first(moments: Collection[Moment]) -> tuple[str, ...]:
    """Say to heat the oven or the grill before anything else."""
    baked = next((m for m in moments if m.verb.cooker == "oven" and m.step.temp_c), None)
    if baked is not None:
        return (f"Heat the oven to {oven_text(baked.step.temp_c)}.",)
    return ("Heat the grill.",) if any(m.verb.cooker == "grill" for m in moments) else ()


def oven_text(temp_c: int) -> str:
    """
    Write the heat of an oven.

    Parameters
    ----------
    temp_c : int
        [°C]

    Returns
    -------
    str
        With degrees Fahrenheit to the 25 degrees of a dial.
    """
    return f"{temp_c} °C ({round((temp_c * 1.8 + 32) / 25) * 25} °F)"


def _around(step: Action, text: str) -> str:
    """Put what is done first before a step's sentence, and what follows it after."""
    first = f"{step.first[:1].upper()}{step.first[1:]}. " if step.first else ""
    then = f" {step.then[:1].upper()}{step.then[1:]}." if step.then else ""
    return f"{first}{text[:1].upper()}{text[1:]}{then}"


def tell(
    dish: Dish,
    grams: Mapping[str, float],
    portions: float = 1,
    say: Say | None = None,
    every: bool = False,
    catalogue: Catalogue | None = None,
    kettle: bool = False,
) -> Told:
    """
    Write a dish for what is served.

    Parameters
    ----------
    dish : Dish
        With steps.
    grams : mapping of str to float
        Catalogue key to grams in all; what is not there is left out and never mentioned. [g]
    portions : float
        Portions in the pot.
    say : callable, optional
        Gives an amount its words; without it no amount but water is said.
    every : bool
        Say the amount of every line once, for a pot; else only of shares and of what comes dry.
    catalogue : Catalogue, optional
        With foods of one's own; those that ship when left out.
    kettle : bool
        Water to boil in comes from a kettle.

    Returns
    -------
    Told
    """
    catalogue = catalogue or Catalogue.load()
    writer = _Writer(dish, grams, portions, say, every, catalogue, kettle)
    moments = walk(dish.lines, dish.steps, grams)
    found: dict[str, tuple[str, ...]] = {}
    single: list[Handful] = []
    for at in ("evening before", "cook", "plate"):
        here = tuple(pieces(moments, at))
        texts = [*_heated_first(here), writer.prepare(here)]
        single += [Handful(text) for text in texts[:-1]]
        if texts[-1] and at != "evening before":
            single.append(Handful(texts[-1]))
        runs: list[list[str]] = []
        vessel = ""
        for moment in here:
            before, after = writer.taken_out(moment, here)
            sentence = f"{before}{writer.sentence(moment)}{after}"
            if at != "evening before":
                single.append(Handful(sentence, waiting(moment, writer.lines, portions)))
            if runs and (moment.vessel == vessel or at == "plate"):
                runs[-1].append(sentence)
            else:
                runs.append([sentence])
            vessel = moment.vessel
        texts += [" ".join(run) for run in runs]
        found[at] = tuple(text for text in texts if text)
    return Told(found["evening before"], found["cook"], found["plate"], tuple(single))


def waiting(moment: Moment, lines: Mapping[str, DishLine], portions: float) -> float:
    """
    Give the minutes a step goes on by itself, for a timer.

    Parameters
    ----------
    moment : Moment
    lines : mapping of str to DishLine
        At typical amounts.
    portions : float

    Returns
    -------
    float
        0 where hands are at it all the time. [min]
    """
    if moment.verb.hands_share >= 1:
        return 0.0
    minutes = step_minutes(moment, lines, portions)
    return minutes * (portions if moment.step.each else 1.0)
