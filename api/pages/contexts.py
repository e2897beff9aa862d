"""What each page is given: one frozen class a template, and nothing else reaches it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from api.pages.coach_contexts import (
    CheckInPage,
    ErasePage,
    FilePage,
    IntakePage,
    LinkOverPage,
    LinkPage,
    OwnDishPage,
    OwnFoodPage,
    OwnPage,
    ReviewPage,
    RosterPage,
    TastesPage,
)
from api.pages.page_context import PageContext
from api.pages.plan_contexts import (
    ChangesPage,
    CookingPage,
    DayPage,
    DishPage,
    ListPage,
    LookPage,
    OthersPage,
    PaperPage,
    RosterPlanPage,
    SolvePage,
    StovePage,
    TablePage,
    TodayPage,
    WeekPage,
    WeeksPage,
    WorksheetPage,
)
from mealplan.method.entries import Equation
from mealplan.rules.weights import Weight
from mealplan.store.records import (
    Entry,
)


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
    way: str = ""
    """Address of the page where it can be mended; empty without one."""


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
    TablePage,
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
