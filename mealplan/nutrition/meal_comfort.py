"""How a meal sits before a session."""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.errors import TargetError
from mealplan.nutrition.fuel import Effort
from mealplan.references.tables import sport_range
from mealplan.science.equations import equation


@dataclass(frozen=True)
class MealComfort:
    """Soft ceilings for one meal near a session; None means no ceiling."""

    fibre_g: float | None
    fat_g: float | None
    why: str


@equation("fuel and fluid")
def meal_comfort(hours_before_session: float | None, effort: Effort = "hard") -> MealComfort:
    """
    Set how much fibre and fat sit well in a meal before training.

    Parameters
    ----------
    hours_before_session : float or None
        Hours from the meal to the next session; None when no session follows that day. [h]
    effort : {"easy", "moderate", "hard"}
        Easy sessions need no ceiling beyond the last hour.

    Returns
    -------
    MealComfort
        Common practice: the closer and harder the session, the less.
    """
    if hours_before_session is None or hours_before_session >= 3:
        return MealComfort(None, None, "no session within three hours")
    if hours_before_session < 0:
        raise TargetError(
            f"hours_before_session={hours_before_session:g} is negative; use None after the session"
        )
    _, usual, high = sport_range("fibre_before_session")
    if hours_before_session <= 1:
        return MealComfort(usual, 7.0, "within an hour of training: little fibre and fat")
    if effort == "easy":
        return MealComfort(None, None, "easy session more than an hour away")
    return MealComfort(high, 15.0, "one to three hours before training: moderate fibre and fat")
