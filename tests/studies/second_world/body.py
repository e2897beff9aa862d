"""The body: where energy goes, what tissue it makes, and the water that comes and goes with it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tests.studies.second_world import physics
from tests.studies.second_world.person import Person

FAT_COST = physics.FAT_KCAL_PER_KG + physics.FAT_SYNTHESIS_KCAL_PER_KG
LEAN_COST = physics.LEAN_KCAL_PER_KG + physics.LEAN_SYNTHESIS_KCAL_PER_KG
GLYCOGEN_DAYS = 1.5
BALANCE_DAYS = 10.0
"""Memory by which the body takes itself to be losing or gaining (from memory)."""
RESPONSE_DAYS = 10.0
"""Memory by which movement answers surplus or deficit (from memory)."""
SIGN_KCAL = 150.0
"""Balance at which tissue is mostly made, or lost, as in a steady gain or loss (from memory)."""


@dataclass(frozen=True)
class Day:
    """What a day brings a body. [kcal, kcal as usual carbohydrate share × eaten, mg, kcal]"""

    eaten_kcal: float
    carbohydrate: float = 1.0
    """Carbohydrate share of the food against the usual one."""
    sodium_mg: float = 0.0
    """Above or below what comes with a usual day."""
    fibre: float = 1.0
    """Residue of the food against the usual one."""
    training_kcal: float = 0.0
    """Real effect of training on the day's expenditure."""
    movement_kcal: float = 0.0
    """Everyday movement beyond the usual."""
    fever_kcal: float = 0.0


class Body:
    """State of one body on a morning."""

    def __init__(self, person: Person) -> None:
        self.person = person
        self.fat_kg, self.lean_kg = person.fat_kg, person.lean_kg
        self.glycogen_kg, self.gut_kg = person.glycogen_kg, person.gut_kg
        self.salt_water_kg = 0.0
        self.adaptive_kcal = 0.0
        self.response_kcal = 0.0
        self.balance_kcal = 0.0
        self.spent_kcal = person.habit_kcal
        self._resting_constant = (
            person.resting_kcal
            - physics.LEAN_RESTING_KCAL_PER_KG * person.lean_kg
            - physics.FAT_RESTING_KCAL_PER_KG * person.fat_kg
        )

    @property
    def tissue_kg(self) -> float:
        """Fat and lean tissue."""
        return self.fat_kg + self.lean_kg

    @property
    def pools_kg(self) -> float:
        """Glycogen with its water, gut content and salt water."""
        stored = self.glycogen_kg * (1 + self.person.water_per_glycogen)
        return stored + self.gut_kg + self.salt_water_kg

    @property
    def stored_kcal(self) -> float:
        """Energy held in tissue and glycogen."""
        return (
            self.fat_kg * physics.FAT_KCAL_PER_KG
            + self.lean_kg * physics.LEAN_KCAL_PER_KG
            + self.glycogen_kg * physics.GLYCOGEN_KCAL_PER_KG
        )

    @property
    def steady_kcal(self) -> float:
        """Rest and usual movement with what has been answered to intake; no food, no training."""
        person = self.person
        resting = (
            self._resting_constant
            + physics.LEAN_RESTING_KCAL_PER_KG * self.lean_kg
            + physics.FAT_RESTING_KCAL_PER_KG * self.fat_kg
        )
        carried = person.movement_kcal * (self.tissue_kg + self.pools_kg) / person.mass_kg
        return resting + carried + self.adaptive_kcal + self.response_kcal

    def lean_share(self, balance_kcal: float) -> float:
        """Return the share of lean in tissue made or lost at a balance. [0 to 1]"""
        forbes = physics.FORBES_KG / (physics.FORBES_KG + self.fat_kg)
        gaining = (1 + math.tanh(balance_kcal / SIGN_KCAL)) / 2
        person = self.person
        factor = gaining * person.building + (1 - gaining) * person.keeping
        return min(0.8, max(0.03, forbes * factor))

    def needed_kcal(self, rate_kg_per_week: float, steady_kcal: float) -> float:
        """
        Return what must be eaten on an average day for tissue to change at a rate.

        Parameters
        ----------
        rate_kg_per_week : float
            Wanted change of tissue. [kg/week]
        steady_kcal : float
            Expenditure of an average day but for the food's own cost. [kcal/day]
        """
        made = rate_kg_per_week / 7 - self.person.recomposition_kg * (1 - LEAN_COST / FAT_COST)
        share = self.lean_share(made * 7000)
        stored = made * ((1 - share) * FAT_COST + share * LEAN_COST)
        return (steady_kcal + stored) / (1 - physics.FOOD_EFFECT)

    def live(self, day: Day) -> None:
        """Live one day; energy eaten is what is spent and what is stored, to the last kcal."""
        person, eaten, habit = self.person, day.eaten_kcal, self.person.habit_kcal
        plain_kcal = self.steady_kcal + physics.FOOD_EFFECT * eaten
        plain_kcal += day.training_kcal + day.movement_kcal + day.fever_kcal
        carbohydrate = max(0.05, eaten / habit * day.carbohydrate)
        aim = person.glycogen_kg * min(1.7, carbohydrate**person.glycogen_power)
        laid_up = (aim - self.glycogen_kg) * (1 - math.exp(-1 / GLYCOGEN_DAYS))
        self.glycogen_kg += laid_up
        surplus = eaten - plain_kcal - laid_up * physics.GLYCOGEN_KCAL_PER_KG
        share = self.lean_share(self.balance_kcal)
        made = surplus / ((1 - share) * FAT_COST + share * LEAN_COST)
        fat = (1 - share) * made - person.recomposition_kg * LEAN_COST / FAT_COST
        lean = share * made + person.recomposition_kg
        self.fat_kg += fat
        self.lean_kg += lean
        making = fat * physics.FAT_SYNTHESIS_KCAL_PER_KG + lean * physics.LEAN_SYNTHESIS_KCAL_PER_KG
        self.spent_kcal = plain_kcal + making
        self._settle(day, carbohydrate, surplus)

    def _settle(self, day: Day, carbohydrate: float, surplus: float) -> None:
        """Let water, gut and the slow answers follow the day."""
        person, habit = self.person, self.person.habit_kcal
        sodium = day.sodium_mg - physics.CARBOHYDRATE_SODIUM_MG * (1 - min(1.5, carbohydrate))
        kept = math.exp(-physics.SODIUM_LOSS_MG_PER_KG_WATER / physics.SODIUM_MG_PER_KG_WATER)
        aim = sodium / physics.SODIUM_LOSS_MG_PER_KG_WATER
        self.salt_water_kg = kept * self.salt_water_kg + (1 - kept) * aim
        residue = person.gut_kg * day.fibre * day.eaten_kcal / habit
        self.gut_kg += (residue - self.gut_kg) * (1 - math.exp(-1 / physics.GUT_DAYS))
        self.balance_kcal += (surplus - self.balance_kcal) / BALANCE_DAYS
        self.adaptive_kcal += (
            person.adaptation * (day.eaten_kcal - habit) - self.adaptive_kcal
        ) / physics.ADAPTATION_DAYS
        # In deficit half the share in surplus: from memory.
        answer = person.movement_response * self.balance_kcal
        answer *= 1.0 if self.balance_kcal > 0 else 0.5
        self.response_kcal += (answer - self.response_kcal) / RESPONSE_DAYS
