"""What a check-in proposes, as data: its terms, its answer, and the words a client reads."""

from __future__ import annotations

import datetime as dt

from pydantic import BaseModel, ConfigDict, Field

from mealplan.checkin.decide.decision import Verdict
from mealplan.checkin.log.entries import MassUnit
from mealplan.science.quantity import Quantity


class _Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Terms(_Record):
    """
    What the plan asks for now.

    ``floor_kcal`` is the lowest daily target that safety allows, with ``floor_reason`` in words; no
    proposal goes below it.
    """

    target_kcal: float = Field(gt=0, le=15000)
    rate_kg_per_week: float = Field(ge=-3, le=3)
    last_move: dt.date | None = None
    floor_kcal: float = Field(gt=0, le=15000)
    floor_reason: str = "the safety floor of this client's targets"
    unit: MassUnit = "kg"
    """Unit in which sentences speak of the rate; the working stays in kilograms."""


class RailKept(_Record):
    """One guard rail of the rule and whether it is kept."""

    key: str
    kept: bool
    text: str


class ExpenditureChange(_Record):
    """
    A change of expenditure that the log speaks for.

    Attributes
    ----------
    on : date
        About when.
    chance : float
        That there was one.
    kcal, low_kcal, high_kcal : float
        Its size and 90 % range. [kcal/day]
    """

    on: dt.date
    chance: float
    kcal: float
    low_kcal: float
    high_kcal: float


class Proposal(_Record):
    """
    A reasoned proposal for one client on one day.

    Attributes
    ----------
    verdict : {"move", "hold", "wait"}
    step_kcal, new_target_kcal : float
        [kcal/day]
    chance : float or None
        That the gap has the sign it seems to have; None when there is too little to tell.
    more_weigh_ins : int or None
        Until it can tell; None unless the verdict is to wait, or when it would take too long.
    summary : str
        One sentence for the top of the page.
    reasons : tuple of str
    working : tuple of Quantity
        Expenditure, density, needed intake, gap, step, each with inputs.
    rails : tuple of RailKept
    questions : tuple of str
        Readings the client should confirm.
    changed : ExpenditureChange or None
        None where the log speaks for no change of expenditure.
    """

    on: dt.date
    verdict: Verdict
    target_kcal: float
    step_kcal: float
    new_target_kcal: float
    floor_kcal: float
    chance: float | None
    more_weigh_ins: int | None
    summary: str
    reasons: tuple[str, ...]
    working: tuple[Quantity, ...] = ()
    rails: tuple[RailKept, ...] = ()
    questions: tuple[str, ...] = ()
    changed: ExpenditureChange | None = None


def clamp_step(step_kcal: float, terms: Terms) -> float:
    """
    Keep a step from leading below the floor.

    Parameters
    ----------
    step_kcal : float
        [kcal/day]
    terms : Terms

    Returns
    -------
    float
        A step down ends at the floor; from below the floor there is none. [kcal/day]
    """
    if step_kcal >= 0:
        return step_kcal
    return min(0.0, max(step_kcal, terms.floor_kcal - terms.target_kcal))


CLIENT_WORDS: dict[Verdict, str] = {
    "move": "Your plan changes a little from the next menu on; your coach has the details.",
    "hold": "Your plan stays as it is; it is doing what it should.",
    "wait": "Keep going as you are; there is nothing to change yet.",
}


def words_for_client(proposal: Proposal, *, hide: bool) -> str:
    """
    Return the sentence a client reads about a proposal.

    Parameters
    ----------
    proposal : Proposal
    hide : bool
        True for clients who should not see weights or calories.

    Returns
    -------
    str
    """
    return CLIENT_WORDS[proposal.verdict] if hide else proposal.summary
