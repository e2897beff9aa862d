"""
An ideal observer of each world: what could be known by one who knew how its clients are made.

It knows the world's parameters, so every width it uses is the one clients were drawn with, the
shapes of the events and the mechanics of the body; the numbers of the one client it must learn
like anyone. Events it is told as any policy is. With ``told_all`` the days of the untold ones are
whispered to it too, and the size of a training change to 15 %: a bound no policy can reach.

A bank of extended Kalman filters, one without an untold change of training and one for each day
and side it may have had, weighed by what the readings say.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.special import ndtr

from tests.studies.second_world import physics
from tests.studies.second_world.body import FAT_COST, LEAN_COST
from tests.studies.second_world.client import Client
from tests.studies.second_world.ideal_inputs import Inputs, inputs_of
from tests.studies.second_world.protocol import Band, Facts, Plan, PublicLog, Verdict
from tests.studies.second_world.rule import Rule
from tests.studies.second_world.worlds import World

(
    MASS,
    BASE,
    DRIFT,
    ADAPTED,
    DENSITY,
    WATER,
    OTHER,
    CLOTHES,
    LATE,
    CREATINE,
    CYCLE,
    POOLS,
    FIBRE,
    NEW,
) = range(14)
CARRIED_KCAL_PER_KG = 15.0
"""Expenditure that a kilogram of tissue takes away or adds: resting and carrying."""
STEP_MEAN_KCAL, STEP_SD_KCAL = 275.0, 72.0
CANDIDATES = range(14, 71, 4)


class IdealObserver:
    """Knows the world of a client through ``meet``, and with ``told_all`` its calendar."""

    def __init__(self, rule: Rule | None = None, told_all: bool = False) -> None:
        self.rule, self.told_all = rule or Rule(), told_all
        self.name = "ideal, told all" if told_all else "ideal"

    def meet(self, client: Client) -> None:
        """See what an ideal observer may: the world, and the calendar if it is told all."""
        self.world: World = client.world
        self.hidden = client if self.told_all else None

    def start(self, facts: Facts) -> None:
        self.facts = facts

    def look(self, log: PublicLog, plan: Plan) -> Verdict:
        inputs = inputs_of(log, plan, self.facts, self.world, self.hidden)
        bank = Bank(self.facts, plan, self.world, inputs)
        for day in range(plan.day):
            bank.see(day)
            bank.pass_day(day)
        return self._verdict(bank, plan, inputs)

    def _verdict(self, bank: Bank, plan: Plan, inputs: Inputs) -> Verdict:
        week = float(np.mean(inputs.eaten[plan.day - 7 : plan.day]))
        gap = bank.gap(plan)
        mean = float(bank.weights @ gap[0])
        chance = float(bank.weights @ ndtr(gap[0] / gap[1]))
        return Verdict(
            move_kcal=self.rule.move_kcal(mean, chance),
            gap=bank.band(*gap),
            level=bank.band(*bank.level(plan.day)),
            slope=bank.band(*bank.slope(week)),
            expenditure=bank.band(*bank.expenditure(week)),
        )


def density(facts: Facts, phase: str) -> tuple[float, float]:
    """Return kcal stored with a kilogram of tissue, and its relative SD, from what is known."""
    fat = facts.body_fat_fraction * facts.mass_kg
    forbes = physics.FORBES_KG / (physics.FORBES_KG + fat)
    protein = min(1.0, max(0.0, (facts.protein_g_per_kg - 1.0) / 0.8))
    keeping = 1.0 - (0.25 if facts.lifts else 0.0) - 0.25 * protein
    building = 1.15 if facts.lifts else 0.9
    factor = {"cut": keeping, "gain": building, "hold": (keeping + building) / 2}[phase]
    share = min(0.8, max(0.03, forbes * factor))
    spread = {"cut": 0.3, "gain": 0.2, "hold": 0.35}[phase]
    value = (1 - share) * FAT_COST + share * LEAN_COST
    return value, math.hypot(0.02, share * spread * (FAT_COST - LEAN_COST) / value)


def usual_scale(world: World) -> float:
    """Return logged over eaten for the median client of a world."""
    excess = world.bad_days * world.bad_day_kcal / 2500
    seen = excess * (1 - world.bad_day_missing) * (1 - world.bad_day_omitted)
    return world.bias[0] * (1 - excess + seen) / (1 - world.bad_days * world.bad_day_missing * 0.2)


class Bank:
    """The filters side by side: means (filters, 14), covariances (filters, 14, 14), weights."""

    def __init__(self, facts: Facts, plan: Plan, world: World, inputs: Inputs) -> None:
        self.facts, self.world, self.inputs = facts, world, inputs
        self.scale = usual_scale(world)
        per_kg, spread = density(facts, plan.phase)
        self.per_kg = per_kg * self.scale
        base = facts.predicted_kcal * self.scale
        mean = np.zeros(14)
        mean[[MASS, BASE, CLOTHES, LATE]] = facts.mass_kg, base, 1.2, 0.1
        if facts.sex == "female":
            mean[CLOTHES] = 0.8
        mean[[CREATINE, CYCLE, POOLS, FIBRE]] = 0.9, 0.45, 4.0, 0.31 if world.new_diet else 0.0
        bias_sd = world.bias[1]
        sd = np.zeros(14)
        sd[MASS], sd[BASE] = 0.4, base * math.hypot(world.prediction_sd, bias_sd)
        sd[DRIFT], sd[DENSITY] = world.movement_drift_kcal, math.hypot(spread, bias_sd)
        self.water_sd = math.hypot(world.hydration_sd_kg[0], 0.72 * world.sodium_sd_mg / 3000)
        sd[[WATER, OTHER, CLOTHES, LATE, CREATINE]] = self.water_sd, 0.7, 0.3, 0.03, 0.35
        sd[[CYCLE, POOLS, FIBRE, NEW]] = 0.28, 0.8, 0.2, 0.7
        spread_matrix = np.diag(sd**2)
        spread_matrix[BASE, DENSITY] = spread_matrix[DENSITY, BASE] = base * bias_sd**2
        self.steps: list[tuple[int, float]] = [(-1, 0.0)]
        chance = 0.0
        if inputs.untold_step_chance > 0:
            chance = inputs.untold_step_chance
            self.steps += [(day, side) for day in CANDIDATES for side in (1.0, -0.6)]
        many = len(self.steps)
        self.means, self.spreads = np.tile(mean, (many, 1)), np.tile(spread_matrix, (many, 1, 1))
        prior = np.array([1 - chance] + [chance * (1 if s > 0 else 0.6) for _, s in self.steps[1:]])
        prior[1:] *= chance / max(1e-12, prior[1:].sum())
        self.log_weights = np.log(prior)

    @property
    def weights(self) -> np.ndarray:
        """Chance of each filter."""
        weights = np.exp(self.log_weights - self.log_weights.max())
        return weights / weights.sum()

    def shape(self, day: int) -> np.ndarray:
        """Return what a fasted morning's mass on the usual scale is made of. (14,)"""
        inputs, shape = self.inputs, np.zeros(14)
        shape[MASS] = shape[WATER] = 1.0
        shape[CREATINE], shape[CYCLE] = inputs.creatine[day], inputs.cycle[day]
        shape[POOLS], shape[FIBRE] = inputs.pools[day], 1 - math.exp(-day / physics.GUT_DAYS)
        shape[NEW] = inputs.new_scale[day]
        return shape

    def see(self, day: int) -> None:
        """Take in the readings of a morning."""
        for reading in self.inputs.readings.get(day, []):
            shape = self.shape(day)
            if reading.usual_scale is False:
                shape[OTHER], shape[NEW] = 1.0, 0.0
            shape[CLOTHES] = 1.0 if reading.clothed else 0.0
            if reading.fasted is False and reading.hour is not None:
                shape[LATE] = reading.hour - 7.0
            known = self.inputs.salt[day] + (0.3 if reading.fasted is False else 0.0)
            noise = 0.18**2 + self.inputs.extra_noise_kg**2
            miss = reading.kg - known - self.means @ shape
            side = self.spreads @ shape
            total = side @ shape + noise
            if np.median(np.abs(miss) / np.sqrt(total)) > 3.0:  # not as it was told
                total = total + 1.0
            gain = side / total[:, None]
            self.means = self.means + gain * miss[:, None]
            self.spreads = self.spreads - gain[:, :, None] * side[:, None, :]
            self.log_weights = self.log_weights - 0.5 * (miss**2 / total + np.log(total))

    def pass_day(self, day: int) -> None:
        """Let a day pass: tissue, the answers to food, drift and water."""
        world, eaten = self.world, self.inputs.eaten[day]
        spent = self._spent(self.means, eaten, day)
        made = (eaten - spent) / (self.per_kg * np.exp(self.means[:, DENSITY]))
        answer = world.adaptation[0] + 0.6 * world.movement_response[0]
        food, adapt = physics.FOOD_EFFECT, 1 / physics.ADAPTATION_DAYS
        memory = math.exp(-1 / world.movement_drift_days)
        step = np.tile(np.eye(14), (len(self.steps), 1, 1))
        scale = self.per_kg * np.exp(self.means[:, DENSITY])
        step[:, MASS, MASS] = 1 - CARRIED_KCAL_PER_KG / scale
        step[:, MASS, BASE] = -(1 - food) / scale
        step[:, MASS, DRIFT] = step[:, MASS, ADAPTED] = -1 / scale
        step[:, MASS, DENSITY] = -made
        step[:, ADAPTED, ADAPTED], step[:, ADAPTED, BASE] = 1 - adapt, -answer * adapt
        step[:, DRIFT, DRIFT], step[:, WATER, WATER] = memory, 0.35
        means = self.means.copy()
        means[:, MASS] += made + self.inputs.recomposition_kg
        means[:, ADAPTED] += adapt * (
            answer * (eaten - means[:, BASE] + self.inputs.training[day]) - means[:, ADAPTED]
        )
        means[:, DRIFT] *= memory
        means[:, WATER] *= 0.35
        noise = np.zeros(14)
        noise[MASS] = (self.inputs.eaten_sd[day] / self.per_kg) ** 2
        noise[BASE] = (world.bias_drift * self.facts.predicted_kcal) ** 2 / 112
        noise[BASE] += self.inputs.training_var[day]
        noise[DRIFT] = world.movement_drift_kcal**2 * (1 - memory**2)
        noise[WATER] = self.water_sd**2 * (1 - 0.35**2)
        self.spreads = step @ self.spreads @ step.transpose(0, 2, 1)
        self.spreads[:, range(14), range(14)] += noise
        for number, (when, side) in enumerate(self.steps):
            if when == day:
                means[number, BASE] += self.scale * math.copysign(STEP_MEAN_KCAL, side)
                # A day within four is one of the candidates.
                self.spreads[number, BASE, BASE] += (self.scale * STEP_SD_KCAL) ** 2
        self.means = means

    def _spent(self, means: np.ndarray, eaten: float, day: int) -> np.ndarray:
        """Return expenditure as logged on a day. (filters,)"""
        carried = CARRIED_KCAL_PER_KG * (means[:, MASS] - self.facts.mass_kg)
        steady = (1 - physics.FOOD_EFFECT) * means[:, BASE] + means[:, DRIFT] + means[:, ADAPTED]
        return steady + carried + physics.FOOD_EFFECT * eaten + self.inputs.training[day]

    def _row(self) -> np.ndarray:
        row = np.zeros(14)
        row[MASS], row[BASE] = CARRIED_KCAL_PER_KG, 1 - physics.FOOD_EFFECT
        row[DRIFT] = row[ADAPTED] = 1.0
        return row

    def _spread(self, rows: np.ndarray) -> np.ndarray:
        return np.sqrt(np.einsum("fi,fij,fj->f", rows, self.spreads, rows))

    def gap(self, plan: Plan) -> tuple[np.ndarray, np.ndarray]:
        """Return mean and SD of the gap in each filter. [kcal/day]"""
        rate = plan.rate_kg_per_week / 7 - self.inputs.recomposition_kg
        stored = rate * self.per_kg * np.exp(self.means[:, DENSITY])
        rows = np.tile(self._row(), (len(self.steps), 1))
        rows[:, DENSITY] = stored
        steady = self._spent(self.means, 0.0, plan.day - 1)
        share = 1 - physics.FOOD_EFFECT
        return (steady + stored) / share - plan.kcal, self._spread(rows) / share

    def expenditure(self, eaten: float) -> tuple[np.ndarray, np.ndarray]:
        """Return mean and SD of expenditure as logged. [kcal/day]"""
        rows = np.tile(self._row(), (len(self.steps), 1))
        return self._spent(self.means, eaten, self.inputs.days - 1), self._spread(rows)

    def slope(self, eaten: float) -> tuple[np.ndarray, np.ndarray]:
        """Return mean and SD of the change of tissue in a week. [kg/week]"""
        spent = self.expenditure(eaten)
        scale = self.per_kg * np.exp(self.means[:, DENSITY])
        made = 7 * ((eaten - spent[0]) / scale + self.inputs.recomposition_kg)
        rows = -7 * np.tile(self._row(), (len(self.steps), 1)) / scale[:, None]
        rows[:, DENSITY] = -made
        missed = 7**0.5 * float(np.mean(self.inputs.eaten_sd[-7:])) / self.per_kg
        return made, np.hypot(self._spread(rows), missed)

    def level(self, day: int) -> tuple[np.ndarray, np.ndarray]:
        """Return mean and SD of mass without passing water. [kg]"""
        first, last = max(0, day - 14), day - 1
        near = np.mean([self.shape(d) for d in range(first, last + 1)], axis=0)
        near[MASS], near[WATER], near[NEW] = 1.0, 0.0, 0.0
        rows = np.tile(near, (len(self.steps), 1))
        return self.means @ near, np.hypot(self._spread(rows), 0.1)

    def band(self, means: np.ndarray, sds: np.ndarray) -> Band:
        """Return the 90 % band of the filters' mixture."""
        weights, reach = self.weights, 6 * sds.max()
        ends = []
        for share in (0.05, 0.95):
            low, high = means.min() - reach, means.max() + reach
            for _ in range(40):
                middle = (low + high) / 2
                if weights @ ndtr((middle - means) / sds) < share:
                    low = middle
                else:
                    high = middle
            ends.append(float(low))
        return Band(float(weights @ means), ends[0], ends[1])
