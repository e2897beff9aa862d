"""What each page is given: one frozen class a template, and nothing else reaches it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from markupsafe import Markup

from api.forms.custom_foods import (
    DISH_CHOICES,
    LABEL_FORMS,
    LABEL_NUMBERS,
    LABEL_PER,
    PLANT_ALLERGENS,
    LineTyped,
)
from api.forms.custom_reading import DishRead, FoodRead, OwnDishLine, OwnFoodLine
from api.forms.intake import FieldGroup
from api.forms.log import LogForm
from api.planning import RosterRun
from api.records.log import Import
from api.records.plans import Outlook, PlanStatus
from api.records.reading import OnTheShelf
from api.records.roster import RosterSlice
from foods.catalogue import ALLERGENS
from foods.custom.label import DailyValue, daily_values
from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.decide.status import Standing
from mealplan.checkin.log.csv_import import CsvReading
from mealplan.checkin.phase import LookBack, PhaseSpan
from mealplan.client.intake import Intake
from mealplan.cooking.models import StoveStep
from mealplan.cooking.sheet import BatchPlan, Cooking, Kept
from mealplan.kitchen.taste_words import TasteWord
from mealplan.menu.other_dishes import OtherDish
from mealplan.method.entries import Equation
from mealplan.physiology.guard.findings import Finding
from mealplan.plan import Meal, Plan, PlanDay
from mealplan.rules.weights import Weight
from mealplan.shopping.door import ShoppingList
from mealplan.store.records import (
    Client,
    Entry,
    IntakeVersion,
    Job,
    Link,
    Note,
    OwnVersion,
    SavedPlan,
)
from mealplan.targets.ranges import Targets
from mealplan.targets.season import SeasonStep


@dataclass(frozen=True)
class PageContext:
    """Base of all; the template it fills."""

    template: ClassVar[str] = ""


@dataclass(frozen=True)
class PlannedPage(PageContext):
    """Base of what shows planned days."""

    status: PlanStatus = field(default_factory=PlanStatus, kw_only=True)
    """Whether they are from older targets, or nothing to act on any more."""


@dataclass(frozen=True)
class MethodPage(PageContext):
    """Equations found, by topic."""

    template: ClassVar[str] = "method.html"
    words: str
    found: tuple[Equation, ...]


@dataclass(frozen=True)
class EquationPage(PageContext):
    """One equation, and what it gave for what was typed."""

    template: ClassVar[str] = "equation.html"
    equation: Equation
    typed: Mapping[str, str] = field(default_factory=dict)
    answer: tuple[str, ...] = ()
    message: str = ""


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
class WorksheetPage(PageContext):
    """Targets with their working."""

    template: ClassVar[str] = "targets.html"
    client: Client
    intake: Intake
    targets: Targets
    number: int


@dataclass(frozen=True)
class WeekPage(PlannedPage):
    """The grid of a plan."""

    template: ClassVar[str] = "week.html"
    client: Client
    plan: Plan
    saved: SavedPlan
    today: dt.date
    sheets: tuple[tuple[dt.date, dt.date], ...]
    """First and last day of everything planned together, in order."""
    earlier: bool
    """True when the plan is shown as it stood before later changes."""


@dataclass(frozen=True)
class WeeksPage(PlannedPage):
    """The weeks that run or are planned ahead, side by side."""

    template: ClassVar[str] = "weeks.html"
    client: Client
    plans: tuple[Plan, ...]
    """One for what is planned together; none when nothing is planned from today on."""
    today: dt.date


@dataclass(frozen=True)
class ChangesPage(PageContext):
    """What changed in the plan, newest first."""

    template: ClassVar[str] = "changes.html"
    client: Client
    changes: tuple[SavedPlan, ...]


@dataclass(frozen=True)
class MealView:
    """A meal with what was said about it."""

    meal: Meal
    kept: bool
    ate: str
    """What was eaten instead, in the client's words."""
    eaten: bool = False
    """True once it was eaten as planned."""
    settled: bool = False
    """True when its hour has passed or it was logged: it does not move."""


@dataclass(frozen=True)
class DayPage(PlannedPage):
    """One day as a cooking sheet."""

    template: ClassVar[str] = "day.html"
    client: Client
    day: PlanDay
    meals: tuple[MealView, ...]
    saved: SavedPlan
    before: dt.date | None
    after: dt.date | None
    said: str
    """What the last change did to this day; empty without one."""
    soak: tuple[str, ...]
    """Dishes of the next day to soak for tonight."""
    heading: str
    """Today, Tomorrow or the weekday."""
    message: str = ""
    """What to mend in what was typed; empty at first."""
    typed_slot: int = -1
    typed: str = ""
    """What was typed as eaten at that meal, given back."""
    read_back: str = ""
    """What was understood of it, to be looked at before it is kept."""
    warning: str = ""
    """Allergens of the client that it holds; empty without any."""


@dataclass(frozen=True)
class MealNow:
    """A meal of today with what is at the stove for it and what was said about it."""

    meal: Meal
    ate: bool
    """True once it is said to have been eaten as planned."""
    instead: str
    """What was eaten instead, in the client's words; empty when nothing was."""
    cooking: Cooking | None
    """What goes into the pot for it; None when nothing is cooked."""
    kept: Kept | None
    """The box it comes from; None when it is cooked."""


@dataclass(frozen=True)
class Said:
    """A sentence on what was eaten that nobody has read back yet."""

    date: dt.date
    slot: int
    label: str
    """Of the meal in whose place it was eaten."""
    text: str


@dataclass(frozen=True)
class TodayPage(PlannedPage):
    """Today at a glance."""

    template: ClassVar[str] = "today.html"
    client: Client
    day: PlanDay
    saved: SavedPlan
    when: str
    """Today, or why another day is shown."""
    next: MealNow | None
    """None when every meal is eaten or past."""
    meals: tuple[MealNow, ...]
    tonight: tuple[str, ...]
    """What this evening has to begin."""
    weighed: str
    """Today's weigh-in in words; empty without one."""
    unit: str
    today: dt.date
    after: dt.date | None
    """The day after, when it is planned."""
    notes: tuple[Note, ...]
    """What the coach last wrote for the client to read; none on the coach's page."""
    said: tuple[Said, ...] = ()
    """What was said to have been eaten without signal, to be read back."""


@dataclass(frozen=True)
class StovePage(PlannedPage):
    """The work of a day, one step after another."""

    template: ClassVar[str] = "stove.html"
    client: Client
    day: PlanDay
    serve: str
    """Clock time of the one meal cooked for; empty for the whole day."""
    steps: tuple[StoveStep, ...]


@dataclass(frozen=True)
class OthersPage(PlannedPage):
    """Dishes to choose from for one meal."""

    template: ClassVar[str] = "others.html"
    client: Client
    day: PlanDay
    meal: Meal
    saved: SavedPlan
    offers: tuple[OtherDish, ...]


@dataclass(frozen=True)
class DishPage(PlannedPage):
    """One planned dish as a recipe."""

    template: ClassVar[str] = "dish.html"
    client: Client
    day: PlanDay
    meal: Meal
    linked_data: str
    """schema.org Recipe as JSON, safe inside a script element."""
    gives: tuple[tuple[str, str], ...]
    """Nutrient and amount of the portion."""
    why: tuple[str, ...]


@dataclass(frozen=True)
class CookingPage(PlannedPage):
    """What is cooked when, with boxes and soaking."""

    template: ClassVar[str] = "cooking.html"
    client: Client
    plan: Plan
    batch: BatchPlan


@dataclass(frozen=True)
class ListPage(PlannedPage):
    """The shopping list."""

    template: ClassVar[str] = "shopping.html"
    client: Client
    plan: Plan
    shopping: ShoppingList
    costs: tuple[str, ...] = ()
    """Sentences on what it costs; none without prices."""


@dataclass(frozen=True)
class PaperPage(PlannedPage):
    """The week and its list as two sheets."""

    template: ClassVar[str] = "paper.html"
    client: Client
    plan: Plan
    shopping: ShoppingList


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
class SolvePage(PageContext):
    """A plan in the making."""

    template: ClassVar[str] = "solve.html"
    id: str
    what: str
    state: str
    done: int
    total: int
    message: str
    back_to: str
    details: tuple[str, ...] = ()
    """Wishes that clash."""
    before: int = 0
    """Plans that are waited for before this one begins."""
    seconds: int = 0
    """How long ago it was asked for. [s]"""


@dataclass(frozen=True)
class LookPage(PageContext):
    """A change of the plan before it is kept."""

    template: ClassVar[str] = "look.html"
    client: Client
    job: Job
    outlook: Outlook


@dataclass(frozen=True)
class RosterPlanPage(PageContext):
    """How far the planning of a whole roster is."""

    template: ClassVar[str] = "roster_plan.html"
    run: RosterRun
    refused: tuple[tuple[str, str, str], ...]
    """Those without a plan: the client, what was asked for, and why there is none."""


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


@dataclass(frozen=True)
class SignInLine:
    """One browser or program that is signed in."""

    handle: str
    device: str
    since: dt.datetime
    this_one: bool


@dataclass(frozen=True)
class AccountPage(PageContext):
    """A coach's own account."""

    template: ClassVar[str] = "account.html"
    login: str
    sign_ins: tuple[SignInLine, ...]
    entries: tuple[Entry, ...]
    """What was done to the account and signed in, newest first."""
    second_factor: bool
    secret: str
    """Of a second factor being set up; empty else."""
    for_device: str
    message: str


@dataclass(frozen=True)
class SignInPage(PageContext):
    """The sign-in form."""

    template: ClassVar[str] = "sign_in.html"
    login: str
    message: str


@dataclass(frozen=True)
class ErrorPage(PageContext):
    """A refusal."""

    template: ClassVar[str] = "error.html"
    title: str
    message: str
    mend: str
    details: tuple[str, ...]


@dataclass(frozen=True)
class ForgottenPage(PageContext):
    """What is shown on a device that was forgotten."""

    template: ClassVar[str] = "forgotten.html"


@dataclass(frozen=True)
class WeightsPage(PageContext):
    """What the programme wants, and how much."""

    template: ClassVar[str] = "weights.html"
    families: tuple[tuple[str, tuple[Weight, ...]], ...]


@dataclass(frozen=True)
class OfflinePage(PageContext):
    """What is shown when a page was never loaded and there is no signal."""

    template: ClassVar[str] = "offline.html"


PAGES: tuple[type[PageContext], ...] = (
    ForgottenPage,
    RosterPage,
    MethodPage,
    EquationPage,
    IntakePage,
    FilePage,
    WorksheetPage,
    WeekPage,
    TodayPage,
    OthersPage,
    StovePage,
    WeeksPage,
    ChangesPage,
    DayPage,
    DishPage,
    CookingPage,
    ListPage,
    PaperPage,
    OwnPage,
    OwnFoodPage,
    OwnDishPage,
    TastesPage,
    CheckInPage,
    ReviewPage,
    SolvePage,
    LookPage,
    RosterPlanPage,
    LinkPage,
    LinkOverPage,
    ErasePage,
    AccountPage,
    SignInPage,
    ErrorPage,
    WeightsPage,
    OfflinePage,
)
"""Every page there is."""
