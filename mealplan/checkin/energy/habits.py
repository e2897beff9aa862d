"""
What is carried from day to day beside the filter: usual eating, training and steps.

Logged training and steps count by how they differ from the client's own first fortnight: what was
usual then is in the expenditure already. Days without a session are rest days only while sessions
are being logged at all; a log that goes silent says nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from mealplan.checkin.energy.states import ADAPTING_TIME_DAYS, FOOD_TIME_DAYS
from mealplan.checkin.log.days import Day

USUAL_DAYS = 14
"""Days without a record are taken as the mean of this many recorded days before them."""
RECENT_DAYS = 7
"""A week of training and steps is what a day costs on average. [days]"""
FIRST_DAYS = 14
"""What was usual is learnt over the first fortnight of a kind of entry. [days]"""
FEWEST_SESSION_DAYS = 2
"""In a fortnight; with fewer, sessions are not being logged (common practice)."""
OWN_WEIGHT_DAYS = 2.0
"""A fresh week counts as if these many days had gone as told before. [days]"""
STRIDE_OF_HEIGHT = 0.414
"""Length of a step as a share of height (common practice)."""
WALKING_KCAL_PER_KG_KM = 0.5
"""Net cost of level walking: 0.1 ml oxygen per kg and metre at 5 kcal a litre (ACSM)."""
USUAL_HEIGHT_M = 1.72


def kcal_per_step(mass_kg: float, height_m: float = USUAL_HEIGHT_M) -> float:
    """
    Give the net cost of one step on the level.

    Parameters
    ----------
    mass_kg : float
        [kg]
    height_m : float
        [m]

    Returns
    -------
    float
        [kcal]
    """
    return WALKING_KCAL_PER_KG_KM * mass_kg * STRIDE_OF_HEIGHT * height_m / 1000.0


@dataclass(frozen=True)
class Habits:
    """
    What was usual up to a morning.

    Attributes
    ----------
    eaten : tuple of float
        The last recorded days. [kcal]
    adapting_kcal : float
        How far eating has lately been from expenditure at the start. [kcal/day]
    food_mcal : float
        The same over a few days, which the gut and glycogen follow. [1,000 kcal]
    trained : tuple of float
        Net cost day by day of the last fortnight of logging; empty before the first session.
        [kcal]
    trained_first : tuple of float
        Of the first fortnight. [kcal]
    told_kcal : float
        Told changes of the training week added up. [kcal/day]
    told_days : int
        Since the last of them.
    walked, walked_first : tuple of int
        Steps of the last counted days and of the first.
    """

    eaten: tuple[float, ...] = ()
    adapting_kcal: float = 0.0
    food_mcal: float = 0.0
    trained: tuple[float, ...] = ()
    trained_first: tuple[float, ...] = ()
    told_kcal: float = 0.0
    told_days: int = FIRST_DAYS
    walked: tuple[int, ...] = ()
    walked_first: tuple[int, ...] = ()

    def usual_kcal(self, otherwise: float) -> float:
        """
        Give the mean of the last recorded days, in kcal/day.

        Parameters
        ----------
        otherwise : float
            Without any recorded day. [kcal/day]
        """
        return sum(self.eaten) / len(self.eaten) if self.eaten else otherwise

    def extra_training_kcal(self, planned_kcal: float | None) -> float:
        """
        Say how much more the training week costs than it did at first.

        Parameters
        ----------
        planned_kcal : float or None
            Of the training planned at the start. [kcal/day]

        Returns
        -------
        float
            [kcal/day]
        """
        if sum(cost > 0 for cost in self.trained) < FEWEST_SESSION_DAYS:
            return self.told_kcal
        known = 0.0 if planned_kcal is None else OWN_WEIGHT_DAYS
        usual = (sum(self.trained_first) + known * (planned_kcal or 0.0)) / (
            len(self.trained_first) + known
        )
        lately = self.trained[-min(RECENT_DAYS, max(self.told_days, 1)) :]
        expected = OWN_WEIGHT_DAYS * (usual + self.told_kcal)
        return (sum(lately) + expected) / (len(lately) + OWN_WEIGHT_DAYS) - usual

    def extra_steps(self) -> float:
        """Say by how many steps a day the last week differs from the first fortnight."""
        if len(self.walked_first) < FIRST_DAYS:
            return 0.0
        lately = self.walked[-RECENT_DAYS:]
        return sum(lately) / len(lately) - sum(self.walked_first) / len(self.walked_first)

    def during(self, day: Day) -> Habits:
        """
        Take in what a day's training and steps were, before its night.

        Parameters
        ----------
        day : Day
            What was logged of it.
        """
        trained, first = self.trained, self.trained_first
        if trained or day.training_kcal is not None:
            cost = day.training_kcal or 0.0
            if day.training_half_seen:
                cost = max(cost, _usual_session_kcal(trained))
            trained = (*trained, cost)[-FIRST_DAYS:]
            first = first if len(first) == FIRST_DAYS else (*first, cost)
        walked, walked_first = self.walked, self.walked_first
        if day.steps is not None:
            walked = (*walked, day.steps)[-RECENT_DAYS:]
            walked_first = (
                walked_first if len(walked_first) == FIRST_DAYS else (*walked_first, day.steps)
            )
        told = day.training_change_kcal
        eaten = self.eaten if day.intake_kcal is None else (*self.eaten, day.intake_kcal)
        return replace(
            self,
            eaten=eaten[-USUAL_DAYS:],
            trained=trained,
            trained_first=first,
            told_kcal=self.told_kcal + (told or 0.0),
            told_days=1 if told is not None else min(self.told_days + 1, FIRST_DAYS),
            walked=walked,
            walked_first=walked_first,
        )

    def after(self, intake_kcal: float, maintenance_kcal: float) -> Habits:
        """
        Let adaptation, glycogen and gut follow a day's eating.

        Parameters
        ----------
        intake_kcal : float
            Eaten that day. [kcal]
        maintenance_kcal : float
            Spent at rest in habits. [kcal/day]
        """
        usual = self.usual_kcal(intake_kcal)
        adapting = self.adapting_kcal
        adapting += (usual - maintenance_kcal - adapting) / ADAPTING_TIME_DAYS
        food = self.food_mcal
        food += ((intake_kcal - maintenance_kcal) / 1000.0 - food) / FOOD_TIME_DAYS
        return replace(self, adapting_kcal=adapting, food_mcal=food)


def _usual_session_kcal(trained: tuple[float, ...]) -> float:
    """Give what a day with training cost on average of late; a session unpriced is not a rest."""
    done = [cost for cost in trained if cost > 0]
    return sum(done) / len(done) if done else 0.0
