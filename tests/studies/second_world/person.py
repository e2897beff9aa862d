"""Who a client is: everything hidden about one person that does not change from day to day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.studies.second_world import physics
from tests.studies.second_world.protocol import Phase
from tests.studies.second_world.worlds import World


@dataclass(frozen=True)
class Person:
    """
    One person, hidden; energies are true ones, not as logged. [kg, kcal/day unless said]

    ``keeping`` and ``building`` multiply the share of lean in tissue lost and gained that Forbes's
    curve gives; ``recomposition_kg`` is lean gained each day at the cost of fat, in energy balance.
    """

    female: bool
    age_years: float
    height_cm: float
    fat_kg: float
    lean_kg: float
    trained: bool
    lifts: bool
    protein_g_per_kg: float
    resting_kcal: float
    movement_kcal: float
    training_gross_kcal: float
    sessions_a_week: int
    compensation: float
    adaptation: float
    movement_response: float
    keeping: float
    building: float
    recomposition_kg: float
    glycogen_kg: float
    water_per_glycogen: float
    glycogen_power: float
    gut_kg: float
    hydration_sd_kg: float
    cycle_days: float
    cycle_kg: float
    cycle_offset: float
    phase: Phase
    rate_kg_per_week: float
    steps: float

    @property
    def mass_kg(self) -> float:
        """Body mass on a usual fasted morning."""
        return (
            self.fat_kg
            + self.lean_kg
            + self.gut_kg
            + self.glycogen_kg * (1 + self.water_per_glycogen)
        )

    @property
    def habit_kcal(self) -> float:
        """What is eaten before the plan: what is spent, food's own cost within."""
        training = self.training_gross_kcal * (1 - self.compensation)
        return (self.resting_kcal + self.movement_kcal + training) / (1 - physics.FOOD_EFFECT)


def draw_person(world: World, rng: np.random.Generator) -> Person:
    """Draw one person of a world; sizes and fatness as common among clients of coaches."""
    female = bool(rng.random() < 0.5)
    phase: Phase = str(rng.choice(["cut", "hold", "gain"], p=[0.45, 0.2, 0.35]))  # type: ignore[assignment]
    height = rng.normal(166 if female else 179, 6.5)
    trained = bool(rng.random() < (0.75 if phase == "gain" else 0.5))
    lifts = trained or bool(rng.random() < 0.4)
    fat_share = rng.normal(0.28 if female else 0.19, 0.05)
    fat_share += {"cut": 0.05, "hold": 0.0, "gain": -0.05}[phase]
    fat_share = float(np.clip(fat_share, 0.14 if female else 0.08, 0.45))
    # Fat-free mass index, 15.5 and 19.5 kg/m2 with 1.3: from memory, Kyle 2003; trained: more.
    lean_index = rng.normal(15.5 if female else 19.5, 1.3) + (1.0 if trained else 0.0)
    free = lean_index * (height / 100) ** 2
    glycogen = physics.GLYCOGEN_KG_PER_KG_LEAN * free * rng.uniform(0.8, 1.2)
    water = rng.uniform(*physics.WATER_PER_GLYCOGEN)
    gut = rng.uniform(*physics.GUT_KG)
    lean = free - glycogen * (1 + water) - gut
    fat = free * fat_share / (1 - fat_share)
    # Cunningham 1991: 370 + 21.6 × fat-free mass; spread of 7 %: from memory.
    resting = (370 + 21.6 * free) * np.exp(rng.normal(0, 0.07))
    movement = resting * rng.uniform(0.15, 0.5)
    training = rng.uniform(80, 500)
    protein = rng.uniform(1.0, 2.2)
    keeping, building, recomposition = _partition(lifts, trained, protein, rng)
    cycles = female and world.cycle and bool(rng.random() < 0.6)
    rate = {"cut": -rng.uniform(0.3, 0.9), "hold": 0.0, "gain": rng.uniform(0.1, 0.35)}[phase] / 100
    return Person(
        female=female,
        age_years=float(rng.uniform(19, 55)),
        height_cm=float(height),
        fat_kg=fat,
        lean_kg=lean,
        trained=trained,
        lifts=lifts,
        protein_g_per_kg=protein,
        resting_kcal=resting,
        movement_kcal=movement,
        training_gross_kcal=training,
        sessions_a_week=int(rng.integers(2, 7)),
        compensation=float(np.clip(rng.normal(*world.compensation), 0, 0.6)),
        adaptation=max(0.0, rng.normal(*world.adaptation)),
        movement_response=max(0.0, rng.normal(*world.movement_response)),
        keeping=keeping,
        building=building,
        recomposition_kg=recomposition,
        glycogen_kg=glycogen,
        water_per_glycogen=water,
        glycogen_power=rng.uniform(0.5, 1.0),
        gut_kg=gut,
        hydration_sd_kg=max(0.12, rng.normal(*world.hydration_sd_kg)),
        cycle_days=float(rng.normal(28.5, 2.0)),
        cycle_kg=float(rng.gamma(2.5, 0.45 / 2.5)) if cycles else 0.0,
        cycle_offset=float(rng.uniform(0, 28)),
        phase=phase,
        rate_kg_per_week=rate * (fat + free),
        steps=float(rng.uniform(4000, 13000)),
    )


def _partition(
    lifts: bool, trained: bool, protein: float, rng: np.random.Generator
) -> tuple[float, float, float]:
    """
    Draw how a person departs from Forbes's curve.

    In deficit, athletes on 2.3 g/kg lost 0.3 of 1.5 kg as lean, on 1.0 g/kg 1.6 of 3.0 kg (Mettler
    2010, doi:10.1249/MSS.0b013e3181b2ef8e: published); with hard training and 2.4 g/kg beginners
    gained lean (Longland 2016, doi:10.3945/ajcn.115.119339: published). People who train and gain
    put on lean and fat alike (Forbes 1991, J Appl Physiol 70:994: published, slope 0.5).
    """
    keeping = 1.0 - (0.25 if lifts else 0.0) - 0.25 * float(np.clip((protein - 1.0) / 0.8, 0, 1))
    building = 1.15 if lifts else 0.9
    gain_a_week = rng.gamma(2, 0.02) if lifts and not trained else rng.gamma(2, 0.004)
    spread = rng.lognormal(0, 0.3), rng.lognormal(0, 0.2)
    return keeping * spread[0], building * spread[1], float(gain_a_week) / 7
