"""Two rules of thumb on means of a week's readings; neither has a band."""

from __future__ import annotations

import numpy as np

from tests.studies.second_world.protocol import Facts, Plan, PublicLog, Verdict

KCAL_PER_KG = 7700.0
"""The old rule of thumb for a kilogram of body mass, 3500 kcal a pound (common practice)."""
LEAST_KCAL = 75.0
MOST_KCAL = 150.0
"""A step of 100 to 150 kcal a week is what coaches make (common practice)."""
FEWEST_READINGS = 3


def mean_of_week(log: PublicLog, end_day: int) -> float | None:
    """Return the mean of readings on the seven days before a day, or None for too few. [kg]"""
    readings = [w.kg for w in log.weigh_ins if end_day - 7 <= w.day < end_day]
    return float(np.mean(readings)) if len(readings) >= FEWEST_READINGS else None


def _gap(log: PublicLog, plan: Plan, weeks: int) -> float | None:
    now, then = mean_of_week(log, plan.day), mean_of_week(log, plan.day - 7 * weeks)
    if now is None or then is None:
        return None
    return (plan.rate_kg_per_week - (now - then) / weeks) * KCAL_PER_KG / 7


class WeeklyMeans:
    """Every week: this week's mean against last week's; the gap is moved, 150 kcal at the most."""

    name = "weekly means"

    def start(self, facts: Facts) -> None:
        """Nothing to forget."""

    def look(self, log: PublicLog, plan: Plan) -> Verdict:
        gap = _gap(log, plan, weeks=1)
        if gap is None or abs(gap) < LEAST_KCAL:
            return Verdict()
        return Verdict(move_kcal=5.0 * round(max(-MOST_KCAL, min(MOST_KCAL, gap)) / 5))


class Careful:
    """Two weekly means three weeks apart, half the gap moved, then three weeks of waiting."""

    name = "careful rule"

    def start(self, facts: Facts) -> None:
        self.moved_on = 0

    def look(self, log: PublicLog, plan: Plan) -> Verdict:
        gap = _gap(log, plan, weeks=3)
        if gap is None or abs(gap) < LEAST_KCAL or plan.day - self.moved_on < 21:
            return Verdict()
        self.moved_on = plan.day
        return Verdict(move_kcal=5.0 * round(gap / 2 / 5))
