"""Bodies of the JSON interface; targets and plans are the domain's own models."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any, Literal

from pydantic import Base64Bytes, BaseModel, ConfigDict, Field

from api.desk.error_shape import ErrorDetail
from foods.custom.food import OwnFood
from foods.dishes.model import Dish
from mealplan.checkin.decide.proposed import Proposal
from mealplan.checkin.decide.record import Action, DecisionRecord
from mealplan.checkin.log.entries import AnyEntry
from mealplan.client.intake import Date, Intake
from mealplan.demo.folders import demo_intake_text
from mealplan.plan import Plan, PlanDay
from mealplan.shopping.door import ShoppingList

EXAMPLE: dict[str, Any] = json.loads(demo_intake_text("club-lifter"))
"""The intake of a made-up client, shown in the description of the interface."""


class ClosedBody(BaseModel):
    """What is sent and answered: nothing beside the fields named."""

    model_config = ConfigDict(extra="forbid")


class ClientBody(ClosedBody):
    """A client as the roster shows it."""

    id: str = Field(examples=["5f0c2a9be1d84c37"])
    role: str = Field(examples=["club rower"])
    phase: str = Field(examples=["gain"])
    start: dt.date
    intake_number: int = Field(description="Number of the intake in force; the ETag carries it too")
    plan_number: int = Field(description="Number of the latest plan; 0 without one")
    planned_until: dt.date | None = None
    gravest: str = Field(description="Gravest severity among the notices", examples=["note"])
    needs: tuple[str, ...] = Field(
        default=(),
        description="What needs the coach's attention, gravest first; empty for anyone else",
        examples=[["plan ends Monday"]],
    )


class ClientList(ClosedBody):
    """A coach's clients."""

    clients: tuple[ClientBody, ...]


class NewClient(ClosedBody):
    """A client to take on."""

    intake: Intake = Field(examples=[EXAMPLE])
    reason: str = Field(default="first intake", max_length=400)


class Amendment(ClosedBody):
    """An intake to put in force; send ``If-Match`` with the number it changes."""

    intake: Intake = Field(examples=[EXAMPLE])
    reason: str = Field(min_length=1, max_length=400, examples=["new scan"])


class IntakeBody(ClosedBody):
    """An intake with its place in the history."""

    number: int
    made_at: dt.datetime
    by: str
    reason: str
    intake: Intake


class IntakeHistory(ClosedBody):
    """Every intake of a client, newest first."""

    versions: tuple[IntakeBody, ...]


class PlanWish(ClosedBody):
    """A plan to make."""

    first: Date | None = Field(
        default=None,
        description="First day; the intake's start when left out",
        examples=["2026-12-07"],
    )
    days: int = Field(default=7, ge=1, le=28)
    polish: bool = Field(
        default=False,
        description="Take longer and search further: some twenty times as long, never worse",
    )
    compare: bool = Field(
        default=False,
        description="Also plan from fewer and from more things, and say what each list costs",
    )


class EatenFood(ClosedBody):
    """A food that was eaten instead of a planned meal."""

    food: str = Field(
        min_length=1, max_length=80, description="Kitchen name or key", examples=["banana"]
    )
    grams: float = Field(gt=0, le=5000)


class EatenBody(ClosedBody):
    """Something else that was eaten at one meal."""

    slot: int = Field(ge=0, le=5)
    name: str = Field(default="Something else", min_length=1, max_length=80)
    foods: tuple[EatenFood, ...] = ()
    other_kcal: float = Field(
        default=0, ge=0, le=6000, description="Energy of what is not among the foods"
    )
    sd_kcal: float = Field(
        default=0,
        ge=0,
        le=6000,
        description="How far the energy may lie from this, one standard deviation",
    )


class DayWish(ClosedBody):
    """How one day should change; an empty body asks for another day."""

    another: tuple[int, ...] | None = Field(
        default=None, description="Meals that get another dish; every free one when left out"
    )
    keep: tuple[int, ...] = Field(default=(), description="Meals whose dish stays")
    settled: tuple[int, ...] = Field(default=(), description="Meals already eaten as planned")
    eaten: tuple[EatenBody, ...] = ()
    from_home: bool = Field(
        default=False, description="Make the day from what is at home, without shopping"
    )


class PlanBody(ClosedBody):
    """A plan with its place in the history."""

    number: int
    intake_number: int
    made_at: dt.datetime
    reason: str
    plan: Plan


class PlanChange(ClosedBody):
    """One change of a plan."""

    number: int
    made_at: dt.datetime
    by: str
    reason: str


class PlanChanges(ClosedBody):
    """What changed in a plan, newest first."""

    changes: tuple[PlanChange, ...]


class DayBody(ClosedBody):
    """One day of the latest plan."""

    plan_number: int
    day: PlanDay


class SolveBody(ClosedBody):
    """A plan in the making; ask again at its address until it is done."""

    id: str
    state: Literal["waiting", "working", "done", "failed", "stopped"]
    done: int
    total: int
    what: str
    error: ErrorDetail | None = None


class RosterPlanWish(ClosedBody):
    """Days to plan for every client of the coach."""

    first: dt.date = Field(examples=["2026-12-07"])
    days: int = Field(default=7, ge=1, le=28)


class RosterRefusal(ClosedBody):
    """A client for whom no plan was made, and why."""

    client_id: str
    what: str
    error: ErrorDetail


class RosterPlanBody(ClosedBody):
    """How far the planning of a whole roster is."""

    id: str
    what: str
    ended: bool
    clients: int
    done: int
    under_way: int
    stopped: int
    failed: int
    refused: tuple[RosterRefusal, ...] = Field(
        description="The first of those without a plan, each with why"
    )


class ListBody(ClosedBody):
    """The shopping list of the latest plan."""

    plan_number: int
    shopping: ShoppingList


class LogWish(ClosedBody):
    """Entries to log; each gets an identifier of its own."""

    entries: tuple[AnyEntry, ...] = Field(
        min_length=1,
        max_length=2000,
        examples=[[{"kind": "weigh-in", "on": "2026-11-24", "value": 80.2, "unit": "kg"}]],
    )


class RecordingWish(ClosedBody):
    """A file of a session, as a watch or bicycle computer recorded it."""

    file: Base64Bytes = Field(description="FIT, GPX 1.1 or TCX, in base 64", max_length=16_000_000)


class WithdrawWish(ClosedBody):
    """Why an entry is withdrawn."""

    why: str = Field(min_length=1, max_length=400, examples=["read the wrong scale"])


class TrendPoint(ClosedBody):
    """One day of the trend; the band holds the level nine times in ten."""

    on: dt.date
    reading_kg: float | None
    level_kg: float
    low_kg: float
    high_kg: float
    set_aside: bool


class WarningBody(ClosedBody):
    """Something in the log that should worry, and whom to see."""

    code: str = Field(examples=["low energy availability"])
    severity: Literal["refuse", "override", "warn", "note"]
    message: str
    reason: str
    see: str = Field(description="Whom to see; empty when a look at the log is enough")
    source: str


class CheckInBody(ClosedBody):
    """What the log can tell."""

    trend: tuple[TrendPoint, ...]
    slope_kg_per_week: float | None
    slope_low_kg_per_week: float | None
    slope_high_kg_per_week: float | None
    proposal: Proposal
    warnings: tuple[WarningBody, ...]
    bloods: tuple[str, ...] = ()
    """The course of each blood value tested more than once."""


class DecisionWish(ClosedBody):
    """The coach's decision; send ``If-Match`` with the number of the intake it changes."""

    action: Action
    reason: str = Field(default="", max_length=400)
    step_kcal: float | None = Field(default=None, ge=-2000, le=2000)
    seen_kcal: float | None = Field(
        default=None,
        ge=0,
        le=15000,
        description="New target as you saw it proposed; once it is another nothing is decided",
    )


class DecisionList(ClosedBody):
    """Decisions on proposals, oldest first."""

    decisions: tuple[DecisionRecord, ...]


class LinkWish(ClosedBody):
    """How long a client's link should last."""

    days: int = Field(default=28, ge=1, le=366)


class LinkBody(ClosedBody):
    """A link; its address is shown only when it is made."""

    id: str
    made_at: dt.datetime
    ends_at: dt.datetime
    revoked_at: dt.datetime | None
    address: str = ""


class LinkList(ClosedBody):
    """Every link handed out for a client."""

    links: tuple[LinkBody, ...]


class TrailLine(ClosedBody):
    """One line of the audit trail."""

    made_at: dt.datetime
    by: str
    what: str
    detail: str


class Trail(ClosedBody):
    """What was done to a client's file, newest first."""

    entries: tuple[TrailLine, ...]


class ObservationsTaken(ClosedBody):
    """What became of a clinic's file."""

    intake_number: int
    """Number of the intake that now holds it."""
    passed_over: tuple[str, ...]
    """What was not taken, each with why."""


class TastesWish(ClosedBody):
    """
    Words to put on a step of liking: foods, groups, dishes, traditions, textures, heat.

    A word leaves the step it stood on before; ``nothing`` takes it off all of them.
    """

    never: tuple[str, ...] = ()
    dislikes: tuple[str, ...] = ()
    seldom: tuple[str, ...] = ()
    likes: tuple[str, ...] = ()
    favourites: tuple[str, ...] = ()
    nothing: tuple[str, ...] = ()


class SignInWish(ClosedBody):
    """A coach's login and password."""

    login: str = Field(max_length=80)
    password: str = Field(max_length=400)
    code: str = Field(default="", max_length=20, description="One-time code, if one was set up")


class SignInBody(ClosedBody):
    """A token for the Authorization header, as ``Bearer`` and the token."""

    token: str
    ends_at: dt.datetime


class Export(ClosedBody):
    """Everything kept about a client."""

    data: dict[str, Any]


class OwnFoodWish(ClosedBody):
    """A food from a package label to keep, with every question answered."""

    food: OwnFood
    reason: str = Field(default="", max_length=400, description="Why it changes, for the history")


class OwnFoodBody(ClosedBody):
    """A food from a package label as it is kept."""

    number: int = Field(description="Number of its version; the ETag carries it too")
    made_at: dt.datetime
    food: OwnFood


class OwnDishWish(ClosedBody):
    """A dish to keep."""

    dish: Dish
    reason: str = Field(default="", max_length=400, description="Why it changes, for the history")


class OwnDishBody(ClosedBody):
    """A dish of a coach's own as it is kept."""

    number: int = Field(description="Number of its version; the ETag carries it too")
    made_at: dt.datetime
    dish: Dish


class OwnList(ClosedBody):
    """A coach's own foods and dishes."""

    foods: tuple[OwnFoodBody, ...]
    dishes: tuple[OwnDishBody, ...]


class RecipeWish(ClosedBody):
    """A recipe from elsewhere to be read."""

    recipe: dict[str, Any] = Field(
        description="A schema.org Recipe as JSON-LD, or a document that holds one",
        examples=[{"@type": "Recipe", "name": "Stew", "recipeIngredient": ["200 g carrots"]}],
    )


class RecipeLineBody(ClosedBody):
    """One line of a recipe as far as it was understood."""

    text: str
    food: str = Field(description="Key of the kitchen food; empty while it is not sure")
    grams: float | None = Field(description="For all portions, as the food is weighed [g]")
    question: str = Field(description="What has to be answered; empty when nothing")
    choices: tuple[str, ...] = Field(description="Foods it may mean, likeliest first")


class RecipeDraftBody(ClosedBody):
    """A recipe as the draft of a dish: to be completed and put under ``/api/own/dishes``."""

    dish: dict[str, Any] = Field(description="What is known, one portion's amounts")
    lines: tuple[RecipeLineBody, ...]
    questions: tuple[str, ...]
    notes: tuple[str, ...]


class LabelFindingBody(ClosedBody):
    """Something about a label that cannot be, or that has to be confirmed."""

    code: str = Field(description="What to write under a food's confirmed", examples=["energy"])
    weight: Literal["refuse", "ask"]
    text: str


class LabelReadingBody(ClosedBody):
    """A label as amounts per 100 g; what is not declared is absent."""

    basis_g: float = Field(description="Weight of what the label counts by, in grams")
    per_100g: dict[str, float]
    low_per_100g: dict[str, float] = Field(description="Least that rounding allows")
    high_per_100g: dict[str, float] = Field(description="Most that rounding allows")
    energy_of_parts_kcal: float = Field(description="Energy by the factors of its form, per 100 g")
    findings: tuple[LabelFindingBody, ...]
