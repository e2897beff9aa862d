"""How an error that ended a job is kept, whole, and becomes the same error again."""

from __future__ import annotations

from pydantic import TypeAdapter, ValidationError
from pydantic.dataclasses import dataclass

from foods.registry.errors import FoodError
from mealplan.errors import (
    CheckInError,
    IntakeError,
    MealPlanError,
    NoPlanError,
    SafetyRefusal,
    SolverError,
    StoreError,
    TargetError,
)
from mealplan.store.base import AlreadyThere, NotThere
from mealplan.targets.ranges import Notice

_KNOWN: dict[str, type[MealPlanError]] = {
    error.__name__: error
    for error in (
        AlreadyThere, CheckInError, IntakeError, MealPlanError, NoPlanError, NotThere,
        SafetyRefusal, SolverError, StoreError, TargetError,
    )
}  # fmt: skip


def know(*errors: type[MealPlanError]) -> None:
    """
    Let errors of a caller's own come back as what they are.

    Parameters
    ----------
    errors : type of MealPlanError
        Each made from its message alone.
    """
    _KNOWN.update({error.__name__: error for error in errors})


@dataclass(frozen=True)
class _Kept:
    name: str
    message: str
    clashing: tuple[str, ...] = ()
    findings: tuple[Notice, ...] = ()


_KEPT: TypeAdapter[_Kept] = TypeAdapter(_Kept)


def packed(error: MealPlanError | FoodError) -> str:
    """
    Turn an error into text.

    Parameters
    ----------
    error : MealPlanError or FoodError

    Returns
    -------
    str
        JSON with its nearest known kind, its message, clashing rules and findings.
    """
    name = next((one.__name__ for one in type(error).__mro__ if one.__name__ in _KNOWN), "")
    kept = _Kept(
        name=name or IntakeError.__name__,
        message=str(error),
        clashing=tuple(getattr(error, "clashing", ())),
        findings=tuple(getattr(error, "findings", ())),
    )
    return _KEPT.dump_json(kept).decode()


def error_of(text: str) -> MealPlanError | None:
    """
    Make the error again.

    Parameters
    ----------
    text : str
        What :func:`packed` wrote; empty for a job without an error.

    Returns
    -------
    MealPlanError or None
    """
    if not text:
        return None
    try:
        kept = _KEPT.validate_json(text)
    except ValidationError:
        return MealPlanError("planning failed; what was said then does not read any more")
    if kept.name == NoPlanError.__name__:
        return NoPlanError(kept.message, kept.clashing)
    if kept.name == SafetyRefusal.__name__:
        return SafetyRefusal(kept.message, kept.findings)
    return _KNOWN.get(kept.name, MealPlanError)(kept.message)
