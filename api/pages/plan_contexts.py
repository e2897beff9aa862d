"""What pages of planned days are given."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from api.desk.planning import RosterRun
from api.desk.shared_table import SharedPots
from api.pages.page_context import PageContext, PlannedPage
from api.records.changes import Outlook
from mealplan.client.intake import Intake
from mealplan.cooking.models import StoveStep
from mealplan.cooking.sheet import BatchPlan, Cooking, Kept
from mealplan.menu.other_dishes import OtherDish
from mealplan.plan import Meal, Plan, PlanDay
from mealplan.shopping.door import ShoppingList
from mealplan.store.records import (
    Client,
    Job,
    Note,
    SavedPlan,
)
from mealplan.targets.ranges import Targets


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
    unsaid: MealNow | None = None
    """First meal of the day of which nothing was said yet."""


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
    said: Mapping[str, str] = field(default_factory=dict)
    """``bought`` or ``not found`` by line."""


@dataclass(frozen=True)
class PaperPage(PlannedPage):
    """The week and its list as two sheets."""

    template: ClassVar[str] = "paper.html"
    client: Client
    plan: Plan
    shopping: ShoppingList


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
class TablePage(PageContext):
    """A table shared with others: what is shared, its cooking and its list."""

    template: ClassVar[str] = "table.html"
    client: Client
    roles: tuple[str, ...]
    """Whose plates are filled, in their order; empty where nothing is shared."""
    guests: tuple[str, ...]
    """Who eats along, in words."""
    shared: tuple[str, ...]
    """Meals that are shared, in words."""
    meals: tuple[str, ...]
    """What became of each, in words."""
    pots: SharedPots | None
    others: tuple[Client, ...]
    """Clients of the same coach who could sit down too."""
    offer: str
    """A seat just offered, to be handed to another coach; shown once."""
    first: dt.date
    """Day planning would begin with."""
