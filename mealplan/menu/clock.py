"""When a client's meals and sessions are, and which meals lie near a session."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from mealplan.client.intake import Intake, clock_text, minute_of_day
from mealplan.rules import Slot

PAUSE_MIN = 15
"""Between the end of a session and a meal whose usual time falls into it. [min]"""
AHEAD_MIN = 60
"""Between a meal moved before a session and its beginning (common practice). [min]"""
EARLIEST_MIN = 4 * 60 + 30
"""No meal is moved to this hour or before it. [min after midnight]"""
BEFORE_MIN, AFTER_MIN = 240, 120
"""Meals this long before a session begins, or after it ends, belong to it (common practice)."""


@dataclass(frozen=True)
class Clock:
    """The times of a client's days."""

    intake: Intake
    slots: tuple[Slot, ...]

    def near_training(self, weekday: str) -> dict[int, Literal["before", "after"]]:
        """
        Say which meals of a weekday lie shortly before or after a session whose time is known.

        Parameters
        ----------
        weekday : str

        Returns
        -------
        dict of int to str
            By meal; a meal between two sessions counts as before the second.
        """
        found: dict[int, Literal["before", "after"]] = {}
        for begins, ends in self.sessions_on(weekday):
            for slot in self.slots:
                at = minute_of_day(self.time_on(slot, weekday))
                if 0 < begins - at <= BEFORE_MIN:
                    found[slot.index] = "before"
                elif 0 <= at - ends <= AFTER_MIN:
                    found.setdefault(slot.index, "after")
        return found

    def sessions_on(self, weekday: str) -> tuple[tuple[float, float], ...]:
        """
        Say when a weekday's sessions begin and end, where that is known.

        Parameters
        ----------
        weekday : str

        Returns
        -------
        tuple of (float, float)
            Minutes after midnight, in order. [min]
        """
        return tuple(
            sorted(
                (float(begins), begins + session.minutes)
                for session in getattr(self.intake.activity, "sessions", ())
                if session.day == weekday and session.time is not None
                for begins in (minute_of_day(session.time),)
            )
        )

    def time_on(self, slot: Slot, weekday: str) -> str:
        """
        Say when a meal is eaten: at its usual time, or off the session that time falls into.

        Parameters
        ----------
        slot : Slot
        weekday : str

        Returns
        -------
        str
            HH:MM; after the session, or before it where the next meal would be overtaken. The usual
            time where neither fits between the meals around it.
        """
        at = minute_of_day(slot.time)
        for begins, ends in self.sessions_on(weekday):
            if begins <= at < ends:
                later = 5 * math.ceil((ends + PAUSE_MIN) / 5)
                following = [minute_of_day(s.time) for s in self.slots if s.index > slot.index]
                if later < min([*following, 24 * 60]):
                    return clock_text(later)
                sooner = 5 * math.floor((begins - AHEAD_MIN) / 5)
                earlier = [minute_of_day(s.time) for s in self.slots if s.index < slot.index]
                if sooner > max([*earlier, EARLIEST_MIN]):
                    return clock_text(sooner)
        return slot.time
