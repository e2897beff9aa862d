"""What the coach decided about a proposal: accepted, amended or declined, and why."""

from __future__ import annotations

import datetime as dt
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from mealplan.checkin.decide import decision as rule
from mealplan.checkin.decide.decision import Verdict
from mealplan.checkin.decide.proposed import Proposal
from mealplan.errors import CheckInError

Action = Literal["accept", "amend", "decline"]


class DecisionRecord(BaseModel):
    """What the coach decided about a proposal, by role and never by name."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    on: dt.date
    by: str = Field(min_length=3, max_length=80)
    action: Action
    reason: str = Field(default="", max_length=1000)
    proposed_verdict: Verdict
    proposed_step_kcal: float
    step_kcal: float
    old_target_kcal: float
    new_target_kcal: float
    past_rails: tuple[str, ...] = ()
    """Guard rails that the coach went past knowingly."""

    @model_validator(mode="after")
    def _reasoned(self) -> Self:
        if self.action != "accept" and len(self.reason.strip()) < 5:
            raise ValueError(f"to {self.action} a proposal takes a reason of a few words")
        return self


def record_decision(
    proposal: Proposal,
    action: Action,
    *,
    by: str,
    on: dt.date,
    reason: str = "",
    step_kcal: float | None = None,
) -> DecisionRecord:
    """
    Put the coach's decision on record.

    Parameters
    ----------
    proposal : Proposal
    action : {"accept", "amend", "decline"}
    by : str
        Role of who decides.
    on : date
    reason : str
        Needed to amend or decline.
    step_kcal : float, optional
        The coach's own step, to amend. [kcal/day]

    Returns
    -------
    DecisionRecord
        Its ``new_target_kcal`` is what the next plan follows.

    Raises
    ------
    CheckInError
        Without a needed reason or step, or when the step leads below the floor.
    """
    if action == "amend" and step_kcal is None:
        raise CheckInError("to amend a proposal, say your own step in kcal a day, such as -80")
    if action != "amend" and step_kcal is not None:
        raise CheckInError(f"to {action} takes no step of your own; amend the proposal instead")
    if action != "accept" and len(reason.strip()) < 5:
        raise CheckInError(
            f"to {action} a proposal takes a reason of a few words; the next reader needs it"
        )
    step = {"accept": proposal.step_kcal, "decline": 0.0}.get(action, step_kcal or 0.0)
    target = proposal.target_kcal + step
    if step < 0 and target < proposal.floor_kcal:
        raise CheckInError(
            f"a step of {step:+.0f} kcal leads to {target:,.0f} kcal, below the floor of "
            f"{proposal.floor_kcal:,.0f} kcal; a smaller step or a slower goal keeps above it, and "
            "a physician or registered dietitian may set another floor in the targets"
        )
    past = [rail.text for rail in proposal.rails if not rail.kept] if step else []
    if abs(step) > rule.LARGEST_STEP_KCAL:
        past.append(f"a step of {step:+.0f} kcal; {rule.LARGEST_STEP_KCAL:.0f} at most at once")
    return DecisionRecord(
        on=on,
        by=by,
        action=action,
        reason=reason,
        proposed_verdict=proposal.verdict,
        proposed_step_kcal=proposal.step_kcal,
        step_kcal=step,
        old_target_kcal=proposal.target_kcal,
        new_target_kcal=target,
        past_rails=tuple(past),
    )
