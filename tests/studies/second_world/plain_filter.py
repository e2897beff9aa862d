"""
The plain filter: three unknowns, a Kalman filter and a fixed rule.

Its numbers are given, not fitted here: expenditure wanders 18 kcal a root day from a first guess
within 13 %; slow water has an SD of 0.25 kg and a fortnight's memory; a reading is within 0.5 kg;
a kilogram stores 5.6, 6.5 or 7.0 Mcal in gain, hold and cut, each within 15 %. It knows no events,
no conditions of a reading, no sessions and no steps.
"""

from __future__ import annotations

import math

import numpy as np

from tests.studies.second_world.protocol import Band, Facts, Plan, PublicLog, Verdict
from tests.studies.second_world.rule import BAND_90, Rule, normal_chance

KCAL_PER_KG = {"gain": 5600.0, "hold": 6500.0, "cut": 7000.0}


class PlainFilter:
    """
    Tissue mass, expenditure as logged, slow water.

    Parameters
    ----------
    rule : Rule, optional
        By which it moves.
    water_push_kg : float, optional
        What drives water each root day; as standard what keeps its SD at 0.25 kg. The words of the
        recipe can also be read as 0.25 itself, an SD of 0.67 kg. [kg]
    """

    def __init__(
        self,
        rule: Rule | None = None,
        name: str = "plain filter",
        water_push_kg: float = 0.25 * math.sqrt(1 - math.exp(-1 / 14) ** 2),
    ) -> None:
        self.name, self.rule, self.water_push_kg = name, rule or Rule(), water_push_kg

    def start(self, facts: Facts) -> None:
        self.facts = facts

    def look(self, log: PublicLog, plan: Plan) -> Verdict:
        density, memory = KCAL_PER_KG[plan.phase], math.exp(-1 / 14)
        readings, eaten = {}, {record.day: record.kcal for record in log.eaten}
        for reading in log.weigh_ins:
            readings.setdefault(reading.day, reading.kg)
        x = np.array([self.facts.mass_kg, self.facts.predicted_kcal, 0.0])
        p = np.diag([0.5**2, (0.13 * x[1]) ** 2, self.water_push_kg**2 / (1 - memory**2)])
        step = np.array([[1, -1 / density, 0], [0, 1, 0], [0, 0, memory]])
        noise = np.diag([0.0, 18.0**2, self.water_push_kg**2])
        see = np.array([1.0, 0.0, 1.0])
        for day in range(plan.day):
            if day in readings:
                gain = p @ see / (see @ p @ see + 0.5**2)
                x = x + gain * (readings[day] - see @ x)
                p = p - np.outer(gain, see @ p)
            x = step @ x + [eaten.get(day, log.planned_on(day)) / density, 0, 0]
            p = step @ p @ step.T + noise
        week = [eaten.get(day, log.planned_on(day)) for day in range(plan.day - 7, plan.day)]
        slope = 7 * (np.mean(week) - x[1]) / density
        wanted, spent = plan.rate_kg_per_week, math.sqrt(p[1, 1])
        gap = x[1] + density * wanted / 7 - plan.kcal
        gap_sd = math.hypot(spent, 0.15 * density * (wanted - slope) / 7)
        return Verdict(
            move_kcal=self.rule.move_kcal(gap, normal_chance(gap, gap_sd)),
            gap=_band(gap, gap_sd),
            level=_band(x[0], math.sqrt(p[0, 0])),
            slope=_band(slope, math.hypot(7 * spent / density, 0.15 * slope)),
            expenditure=_band(x[1], math.hypot(spent, 0.15 * density * slope / 7)),
        )


def _band(mean: float, sd: float) -> Band:
    return Band(float(mean), float(mean - BAND_90 * sd), float(mean + BAND_90 * sd))
