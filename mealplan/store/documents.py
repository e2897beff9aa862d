"""
Documents as they are kept: JSON text that says which document it is and in which version.

A kept shape may differ from the model the program works with: whatever version a text is of, it is
brought to the newest one step at a time and then read. A text of an unknown version, or one that
does not read, is set aside (:class:`Unreadable`): it stays as it is, and whoever meets it is told.

To change the shape of a document, change its model and append a step to its ``steps`` that turns
the content of the last version into that of the new one; the number of the version follows.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from foods.custom.food import DRAFT, OwnFood
from foods.dishes.model import Dish
from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.log.entries import ENTRY, AnyEntry
from mealplan.client.intake import Intake
from mealplan.errors import StoreError
from mealplan.plan import Plan

T = TypeVar("T")
Content = dict[str, Any]
Step = Callable[[Content], Content]

_ENVELOPE = {"document", "version", "content"}


class Unreadable(StoreError):  # noqa: N818  (reads as what is wrong with it)
    """A kept document that this release cannot read; it stays where it is."""


@dataclass(frozen=True)
class Document(Generic[T]):
    """
    One kind of document.

    Parameters
    ----------
    name : str
        In words; stands in the text.
    adapter : TypeAdapter
        Reads the newest version.
    steps : tuple of callables
        Step ``i`` turns the content of version ``i + 1`` into that of version ``i + 2``.
    again : str
        What to do about one that does not read, as an imperative.
    context : mapping, optional
        Given to the model's validators.
    """

    name: str
    adapter: TypeAdapter[T]
    steps: tuple[Step, ...] = ()
    again: str = "enter it again"
    context: Mapping[str, object] | None = None

    @property
    def version(self) -> int:
        """Number of the newest version."""
        return len(self.steps) + 1

    @cached_property
    def _head(self) -> str:
        return f'{{"document":{json.dumps(self.name)},"version":{self.version},"content":'

    def write(self, model: BaseModel) -> str:
        """
        Turn a model into the text that is kept.

        Parameters
        ----------
        model : BaseModel

        Returns
        -------
        str
        """
        return f"{self._head}{model.model_dump_json()}}}"

    def read(self, text: str) -> T:
        """
        Read what was kept, whatever version it is of.

        Parameters
        ----------
        text : str
            As :meth:`write` gives it, or the content alone: that is version 1, kept before
            documents had versions.

        Returns
        -------
        T

        Raises
        ------
        Unreadable
            When the version is unknown or the text does not read.
        """
        content = text[len(self._head) : -1] if text.startswith(self._head) else self._newest(text)
        try:
            return self.adapter.validate_json(content, context=dict(self.context or {}) or None)
        except ValidationError as error:
            where = ".".join(str(part) for part in error.errors()[0]["loc"]) or "its first letter"
            raise self._unreadable(f"it does not read at {where[:80]}") from None

    def _newest(self, text: str) -> str:
        try:
            data = json.loads(text)
        except (ValueError, RecursionError):
            raise self._unreadable("it is not JSON") from None
        version = 1
        if isinstance(data, dict) and set(data) == _ENVELOPE:
            if data["document"] != self.name:
                raise self._unreadable(f"it says it is a {str(data['document'])[:40]}")
            version, data = data["version"], data["content"]
        if not isinstance(data, dict):
            raise self._unreadable("it holds no fields")
        if not isinstance(version, int) or not 1 <= version <= self.version:
            raise self._unreadable(
                f"it is of version {str(version)[:20]}, and this release knows 1 to {self.version}"
            )
        try:
            for step in self.steps[version - 1 :]:
                data = step(data)
        except (KeyError, TypeError, ValueError, AttributeError, IndexError):
            raise self._unreadable(f"it does not fit version {version}") from None
        return json.dumps(data)

    def _unreadable(self, why: str) -> Unreadable:
        return Unreadable(
            f"this {self.name} was kept by another release and cannot be read by this one: {why}. "
            f"It is set aside as it is; install the release that wrote it, or {self.again}"
        )


def _budget_as_it_was(content: Content) -> Content:
    """Count a budget as food eaten, as it was counted when it was given."""
    kitchen = content.get("kitchen", {})
    shop = kitchen.get("shop", {})
    if shop.get("budget_per_week") is None:
        return content
    counted = {"budget_counts": "eaten"} | shop
    return content | {"kitchen": kitchen | {"shop": counted}}


INTAKE: Document[Intake] = Document(
    "intake",
    TypeAdapter(Intake),
    steps=(_budget_as_it_was,),
    again="amend the intake anew",
)
PLAN: Document[Plan] = Document("plan", TypeAdapter(Plan), again="plan the week again")
LOG_ENTRY: Document[AnyEntry] = Document("log entry", ENTRY, again="log it again")
DECISION: Document[DecisionRecord] = Document(
    "decision", TypeAdapter(DecisionRecord), again="decide on the next proposal"
)
# Kept foods stay readable even if a later release asks more of a label; planning asks again.
OWN_FOOD: Document[OwnFood] = Document(
    "food of one's own", TypeAdapter(OwnFood), context=DRAFT, again="type the label again"
)
OWN_DISH: Document[Dish] = Document("dish of one's own", TypeAdapter(Dish))

DOCUMENTS: tuple[Document[Any], ...] = (INTAKE, PLAN, LOG_ENTRY, DECISION, OWN_FOOD, OWN_DISH)
"""Every kind there is."""


def opened(text: str) -> object:
    """
    Take a kept document out of its envelope, for an export.

    Parameters
    ----------
    text : str

    Returns
    -------
    object
        Its content as JSON holds it; the text itself when it is no JSON.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return text
    if isinstance(data, dict) and set(data) == _ENVELOPE:
        return data["content"]
    return data
