"""When a client's meals and sessions are, and which meals lie near a session."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mealplan.client.day_times import sessions_on
from mealplan.client.intake import Intake, minute_of_day
from mealplan.rules import Slot
from mealplan.targets.ranges import DayTargets

BEFORE_MIN, AFTER_MIN = 240, 120
"""Meals this long before a session begins, or after it ends, belong to it (common practice)."""


@dataclass(frozen=True)
class Clock:
    """The times of a client's days."""

    intake: Intake
    slots: tuple[Slot, ...]

    def near_training(self, asked: DayTargets) -> dict[int, Literal["before", "after"]]:
        """
        Say which meals of a day lie shortly before or after a session whose time is known.

        Parameters
        ----------
        asked : DayTargets

        Returns
        -------
        dict of int to str
            By meal; a meal between two sessions counts as before the second.
        """
        found: dict[int, Literal["before", "after"]] = {}
        for one in sessions_on(self.intake, asked.weekday):
            for slot in self.slots:
                at = minute_of_day(self.time_on(slot, asked))
                if 0 < one.begins - at <= BEFORE_MIN:
                    found[slot.index] = "before"
                elif 0 <= at - one.ends <= AFTER_MIN:
                    found.setdefault(slot.index, "after")
        return found

    def time_on(self, slot: Slot, asked: DayTargets) -> str:
        """
        Say when a meal of a day is eaten, HH:MM.

        Parameters
        ----------
        slot : Slot
        asked : DayTargets

        Returns
        -------
        str
            As the day's targets place it about the sessions; else its usual time.
        """
        return asked.meal_times[slot.index] if asked.meal_times else slot.time
