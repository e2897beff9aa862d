"""What pages of clients, their files and logs, and of own foods are given."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from markupsafe import Markup

from api.forms.custom_dishes import DISH_CHOICES, LineTyped
from api.forms.custom_foods import LABEL_FORMS, LABEL_NUMBERS, LABEL_PER, PLANT_ALLERGENS
from api.forms.custom_reading import DishRead, FoodRead, OwnDishLine, OwnFoodLine
from api.forms.intake_fields import FieldGroup
from api.forms.log_fields import LogForm
from api.pages.page_context import PageContext
from api.records.log import Import
from api.records.roster import RosterSlice
from api.records.set_aside import OnTheShelf
from foods.composition.catalogue import ALLERGENS
from foods.custom.daily_values import DailyValue, daily_values
from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.decide.status import Standing
from mealplan.checkin.phase import LookBack, PhaseSpan
from mealplan.checkin.table.reading import CsvReading
from mealplan.client.intake import Intake
from mealplan.kitchen.taste_words import TasteWord
from mealplan.physiology.guard.findings import Finding
from mealplan.plan import Meal
from mealplan.store.records import (
    Client,
    Entry,
    IntakeVersion,
    Link,
    Note,
    OwnVersion,
    SavedPlan,
)
from mealplan.targets.season import SeasonStep


@dataclass(frozen=True)
class RosterLine:
    """One client on the roster."""

    client: Client
    needs: tuple[str, ...]
    """What needs attention beside a proposed step, in words."""
    trend: str = ""
    """How body mass goes, with its range; empty where the log was not read today."""
    verdict: str = ""
    """What the log proposes: move, hold or wait; empty where it was not read today."""
    step_kcal: float = 0.0
    """Step that waits for the coach; 0 for none. [kcal/day]"""
    new_target_kcal: float = 0.0
    """Energy after it. [kcal/day]"""
    summary: str = ""
    reasons: tuple[str, ...] = ()
    questions: int = 0
    """Readings held out until the client confirms them."""
    warned: bool = False
    """True where a warning or a refusal asks to be read before anything is accepted."""
    behind: bool = False
    """True when the plan was made from older targets."""
    first: dt.date = dt.date.min
    """First day a new plan would have."""
    note: Note | None = None
    """The coach's last note."""


@dataclass(frozen=True)
class RosterResult:
    """What became of a decision taken on the roster."""

    client: Client
    said: str
    done: bool


@dataclass(frozen=True)
class RosterPage(PageContext):
    """A coach's clients, a page at a time."""

    template: ClassVar[str] = "roster.html"
    lines: tuple[RosterLine, ...]
    today: dt.date
    roster: RosterSlice
    words: str
    """What was looked for; empty for everyone."""
    demo_missing: bool
    """True while the demo clients are not on the roster."""
    outcomes: tuple[RosterResult, ...] = ()
    """What was just decided."""


@dataclass(frozen=True)
class IntakePage(PageContext):
    """The form for a new client or an amended intake; keeps what was typed."""

    template: ClassVar[str] = "intake.html"
    title: str
    client: Client | None
    groups: tuple[FieldGroup, ...]
    typed: Mapping[str, tuple[str, ...]]
    pasted: str
    """JSON text as pasted."""
    message: str
    """What to mend; empty at first."""
    faulty: frozenset[str]
    """Names of the fields the message is about."""
    action: str
    was: int
    """Number of the intake being amended; 0 for a new client."""
    faults: Mapping[str, str] = field(default_factory=dict)
    """Why a field does not read and how to write it, to stand beside it."""
    shown_tastes: Mapping[str, str] = field(default_factory=dict)
    """Likes and dislikes as the form first showed them: what is said meanwhile then stays."""


@dataclass(frozen=True)
class TastesPage(PageContext):
    """What a client likes, in five steps."""

    template: ClassVar[str] = "tastes.html"
    client: Client
    allergies: tuple[str, ...]
    steps: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...]
    """(field, words for it, (word, how it is shown)), from least to most wanted."""
    known: tuple[str, ...]
    """Names to choose from while typing."""
    accepted: Mapping[str, tuple[TasteWord, ...]]
    """Words that mean several foods or dishes, by what they speak of."""
    message: str
    """What to mend; empty at first."""
    word: str
    """What was typed, given back."""
    step: str
    said: str = ""
    """A word just said to be unwanted; empty without."""
    touched: tuple[tuple[dt.date, Meal], ...] = ()
    """Meals to come that hold it."""
    was: int = 0
    """Number of the last change of the plan."""


@dataclass(frozen=True)
class FilePage(PageContext):
    """One client's file."""

    template: ClassVar[str] = "file.html"
    client: Client
    intake: Intake
    energy: str
    """Energy to plan for with its range, or why there is none."""
    needs: tuple[str, ...]
    versions: tuple[IntakeVersion, ...]
    trail: tuple[Entry, ...]
    links: tuple[Link, ...]
    now: dt.datetime
    saved: SavedPlan | None
    first: dt.date
    """First day a new plan would have."""
    behind: bool
    """True when the plan was made from older targets."""
    season: tuple[SeasonStep, ...]
    """Phases laid out, when the intake has a season and targets may be shown."""
    warnings: tuple[Finding, ...]
    """What in the log should worry, gravest first."""
    notes: tuple[Note, ...]
    """The coach's notes, newest first."""
    set_aside: tuple[OnTheShelf, ...] = ()
    """Documents that are kept and cannot be read by this release."""


@dataclass(frozen=True)
class LoggedLine:
    """One entry of the log in words."""

    id: str
    on: dt.date
    kind: str
    words: str


@dataclass(frozen=True)
class CheckInPage(PageContext):
    """The log, what it can tell, and the proposal."""

    template: ClassVar[str] = "checkin.html"
    client: Client
    today: dt.date
    standing: Standing
    warnings: tuple[Finding, ...]
    """What should worry, in the words of whoever reads."""
    said: str
    """The proposal in the words of whoever reads."""
    plot: Markup
    unit: str
    """Unit the client reads masses in."""
    unit_kg: float
    """One of it. [kg]"""
    forms: tuple[LogForm, ...]
    entries: tuple[LoggedLine, ...]
    """Newest first, the newest alone when there are many."""
    logged: int
    unfolded: bool
    """True when older entries were asked for."""
    withdrawn: int
    imports: tuple[Import, ...]
    """What came in as tables and can be taken back as one, newest first."""
    notes: tuple[Note, ...]
    """What the coach wrote for the client to read, newest first; none on the coach's page."""
    decisions: tuple[DecisionRecord, ...]
    """Newest first."""
    message: str
    pasted: str
    reading: CsvReading | None
    reason: str
    typed: Mapping[str, str]
    """What was typed into the form that was not taken, with its name under ``form``."""


@dataclass(frozen=True)
class ReviewPage(PageContext):
    """A phase looked back on."""

    template: ClassVar[str] = "looking_back.html"
    client: Client
    found: LookBack
    spans: tuple[PhaseSpan, ...]
    """Phases to choose from, the latest first."""
    message: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)
    """Dates that were not taken, given back."""


@dataclass(frozen=True)
class LinkPage(PageContext):
    """A link just handed out; its secret is shown this once."""

    template: ClassVar[str] = "link.html"
    client: Client
    address: str
    ends_at: dt.datetime
    code: Markup
    """The address as a square to scan, an ``svg`` element."""


@dataclass(frozen=True)
class LinkOverPage(PageContext):
    """What the holder of a link sees once it has ended or was taken back."""

    template: ClassVar[str] = "link_over.html"


@dataclass(frozen=True)
class OwnPage(PageContext):
    """A coach's own foods and dishes."""

    template: ClassVar[str] = "own.html"
    foods: tuple[OwnFoodLine, ...]
    dishes: tuple[OwnDishLine, ...]
    all_dishes: tuple[str, ...]
    """Names of every dish, to choose one from."""
    clients: int
    """How many clients they are offered to."""
    message: str = ""
    """Why something could not be withdrawn or taken from a file; empty at first."""
    set_aside: tuple[OnTheShelf, ...] = ()
    """Foods and dishes that are kept and cannot be read by this release."""


@dataclass(frozen=True)
class OwnFoodPage(PageContext):
    """The form of a food from a package label, with what was understood."""

    template: ClassVar[str] = "own_food.html"
    title: str
    action: str
    groups: tuple[FieldGroup, ...]
    typed: Mapping[str, tuple[str, ...]]
    read: FoodRead | None
    """What the label says, once it can be read."""
    messages: tuple[str, ...]
    """What to mend; empty at first."""
    faulty: frozenset[str]
    proposed: tuple[str, ...]
    """Allergens ticked because the ingredients name them."""
    references: tuple[tuple[str, str], ...]
    """Foods whose amino acids can stand in: key and name."""
    was: int
    versions: tuple[OwnVersion, ...]
    forms: tuple[tuple[str, str], ...] = LABEL_FORMS
    pers: tuple[tuple[str, str], ...] = LABEL_PER
    numbers: tuple[tuple[str, str, str], ...] = LABEL_NUMBERS
    """Rows of the nutrition table: name, words, unit."""
    micros: tuple[DailyValue, ...] = field(default_factory=lambda: tuple(daily_values().values()))
    plant_allergens: tuple[str, ...] = PLANT_ALLERGENS
    all_allergens: tuple[str, ...] = ALLERGENS


@dataclass(frozen=True)
class OwnDishPage(PageContext):
    """The form of a dish of one's own, with what was understood."""

    template: ClassVar[str] = "own_dish.html"
    title: str
    action: str
    typed: Mapping[str, tuple[str, ...]]
    lines: tuple[LineTyped, ...]
    read: DishRead | None
    asked: tuple[str, ...]
    """What a recipe from elsewhere left open."""
    message: str
    foods: tuple[str, ...]
    """Names that may be chosen."""
    was: int
    versions: tuple[OwnVersion, ...]
    choices: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=lambda: DISH_CHOICES)


@dataclass(frozen=True)
class ErasePage(PageContext):
    """The question before a client is erased."""

    template: ClassVar[str] = "erase.html"
    client: Client
    message: str
