"""A client of the third world: a day's balance, what the scale shows of it, what is logged."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from tests.studies.second_world.protocol import (
    CycleStart,
    Eaten,
    Event,
    Facts,
    Phase,
    Plan,
    PublicLog,
    Session,
    WeighIn,
)
from tests.studies.third_world.worlds import WORLDS, World

DAYS = 140
WEEKS_DAYS = 112
FAT_KCAL_PER_KG, LEAN_KCAL_PER_KG = 9500.0, 1020.0
"""Thomas et al., Am J Clin Nutr 92, 2010 (from memory)."""
THERMIC = 0.075
"""The same."""
FAT_SHARES = {"cut": (0.77, 0.08), "hold": (0.7, 0.1), "gain": (0.6, 0.12)}
"""A quarter of a diet's loss is lean (Heymsfield 2014), more than a third of what lifters gain."""
ADAPTING_DAYS = 25.0
"""The answer to eating less takes weeks: Redman et al., Cell Metab 27, 2018 (from memory)."""
FOOD_DAYS = 2.0
JUMP_KCAL, JUMP_DAYS = (150.0, 450.0), (14, 77)


@dataclass(frozen=True)
class Person:
    """What the runner asks of a person."""

    phase: Phase
    rate_kg_per_week: float


class Client:
    """One client; ``facts`` and ``first_plan_kcal`` are public, all else is hidden."""

    def __init__(self, world: World, seed: int) -> None:
        self.world = world
        rng = self.rng = np.random.default_rng([seed, 3303])
        phase: Phase = str(rng.choice(["cut", "hold", "gain"], p=[0.5, 0.2, 0.3]))  # type: ignore[assignment]
        self.female = bool(rng.random() < 0.5)
        height, age = rng.normal(163 if self.female else 177, 7), rng.uniform(20, 55)
        mass = max(18.5, rng.normal(25.0, 3.0)) * (height / 100) ** 2
        # Mifflin and others, Am J Clin Nutr 51, 1990: published. Activity: FAO/WHO/UNU 2004.
        resting = 9.99 * mass + 6.25 * height - 4.92 * age + (-161 if self.female else 5)
        self.level_of_activity = rng.triangular(1.4, 1.65, 2.1)
        self.usual_kcal = resting * self.level_of_activity * math.exp(rng.normal(0, 0.08))
        pace = {"cut": -rng.uniform(0.3, 0.9), "hold": 0.0, "gain": rng.uniform(0.1, 0.35)}[phase]
        self.person = Person(phase, pace / 100 * mass)
        share = float(np.clip(rng.normal(*FAT_SHARES[phase]), 0.3, 0.95))
        self.density = share * FAT_KCAL_PER_KG + (1 - share) * LEAN_KCAL_PER_KG
        self.adaptation = rng.uniform(0.05, 0.2)
        self.food_kg_per_mcal = rng.uniform(0.2, 0.6)
        self.start_kg = mass
        self.body = SimpleNamespace(tissue_kg=mass)
        self.adapted_kcal = self.food_mcal = 0.0
        self.bias, self.slack_day = world.bias * math.exp(rng.normal(0, world.bias_sd)), DAYS
        if rng.random() < world.slack_chance:
            self.slack_day = int(rng.integers(20, 100))
        self.follows = rng.triangular(0.7, 0.95, 1.1)
        self.unlogged, self.unweighed = rng.uniform(*world.unlogged), rng.uniform(*world.unweighed)
        self._spread_life(rng)
        self.calendar = SimpleNamespace(step_day=None, step_kcal=0.0, step_logged=False, told=[])
        self._draw_events(rng)
        if world.diet_kg:
            self.calendar.told.append(Event(0, 0, "new diet"))
        self.day, self.morning_kg = 0, mass
        self.eaten_kcal = self.usual_kcal
        self.facts = self._facts(rng, height, age)
        stored = {"cut": 7000.0, "hold": 6500.0, "gain": 5600.0}[phase]
        plan = self.facts.predicted_kcal + self.person.rate_kg_per_week * stored / 7
        self.first_plan_kcal = round(plan, -1)

    def _facts(self, rng: np.random.Generator, height: float, age: float) -> Facts:
        world = self.world
        fat = (0.3 if self.female else 0.2) + rng.normal(0, 0.05)
        return Facts(
            first_day=dt.date(2025, 9, 1) + dt.timedelta(days=int(rng.integers(0, 7))),
            sex="female" if self.female else "male",
            age_years=age,
            height_cm=height,
            mass_kg=round(self.start_kg + self.water_kg[0], 1),
            body_fat_fraction=float(np.clip(fat, 0.07, 0.5)),
            trained=bool(rng.random() < 0.5),
            lifts=bool(rng.random() < 0.7),
            protein_g_per_kg=float(rng.uniform(1.0, 2.2)),
            predicted_kcal=self.usual_kcal * math.exp(-rng.normal(0, world.predicted_sd)),
            training_kcal=self.training_kcal,
            steps=8000.0,
            menstruates=self.cycle_kg > 0,
        )

    def _spread_life(self, rng: np.random.Generator) -> None:
        """Draw how movement wanders, what water does, and the chance of every day."""
        world = self.world
        spells = np.zeros(DAYS)
        now = rng.normal(0, world.spells_kcal)
        for day in range(DAYS):
            if rng.random() < 1 / world.spells_days:
                now = rng.normal(0, world.spells_kcal)
            spells[day] = now
        weeks = rng.normal(0, world.restless_kcal, DAYS // 7 + 1)
        self.wander_kcal = spells + np.repeat(weeks, 7)[:DAYS]
        # Heavy tailed: Student's t of five degrees, whose variance is 5/3.
        noise = rng.standard_t(5, DAYS) / math.sqrt(5 / 3) * world.noise_fraction * self.start_kg
        salt = np.zeros(DAYS)
        for day in range(1, DAYS):
            salt[day] = salt[day - 1] * math.exp(-1 / 3)
            if rng.random() < 1 / world.salt_every_days:
                salt[day] += rng.uniform(0.3, 1.0) * world.salt_kg
        self.water_kg = noise + salt
        diet = rng.normal(0.1, 1.0) * world.diet_kg
        self.water_kg += diet * (1 - np.exp(-np.arange(DAYS) / 3.0))
        self.cycle_kg = 0.0
        if self.female and rng.random() < world.cycle_chance:
            self.cycle_kg = rng.uniform(0.2, 0.6)
            angle = 2 * np.pi * (np.arange(DAYS) + rng.uniform(0, 28)) / 28.5
            self.water_kg += self.cycle_kg * np.cos(angle)
        self.other_kg, self.new_kg = rng.normal(0, 0.8), rng.normal(0, 0.8)
        self.new_day = int(rng.integers(20, 90)) if rng.random() < world.new_scale else DAYS
        self.training_kcal = rng.uniform(100, 450)
        self.logs_sessions = bool(rng.random() < 0.5)
        self.chance, self.normal = rng.random((DAYS, 5)), rng.standard_normal((DAYS, 3))

    def _draw_events(self, rng: np.random.Generator) -> None:
        world, calendar = self.world, self.calendar
        self.holiday: range = range(0)
        self.sick: range = range(0)
        if rng.random() < world.holiday:
            start = int(rng.integers(7, 95))
            self.holiday = range(start, start + int(rng.integers(4, 15)))
            if rng.random() < world.told:
                calendar.told.append(Event(start, self.holiday[-1], "travel"))
        if rng.random() < world.sick:
            start = int(rng.integers(7, 100))
            self.sick = range(start, start + int(rng.integers(2, 8)))
            if rng.random() < world.told:
                calendar.told.append(Event(start, self.sick[-1], "sick"))
        draw, day, size = rng.random(), int(rng.integers(*JUMP_DAYS)), rng.uniform(*JUMP_KCAL)
        sign = -1.0 if rng.random() < 0.5 and size < 400 else 1.0
        if draw < world.jump_untold + world.jump_told:
            calendar.step_day, calendar.step_kcal = day, sign * size
            calendar.step_logged = draw < world.jump_told
        if calendar.step_logged:
            # Some of what training costs is saved elsewhere: Careau 2021, 28 %.
            said = sign * size / 0.72 * rng.lognormal(0, 0.2)
            calendar.told.append(Event(day, day, "training change", kcal_per_day=float(said)))

    # ---- living --------------------------------------------------------------------------------

    def logging_scale(self, day: int) -> float:
        """Return mean logged over mean eaten."""
        world = self.world
        now = self.bias * (1 - world.slack if day >= self.slack_day else 1.0)
        heavy = world.heavy_days * world.heavy_kcal / self.eaten_kcal
        logged = world.heavy_days * (1 - world.heavy_unlogged)
        over = world.heavy_kcal / self.eaten_kcal * logged / (1 - world.heavy_days + logged)
        return now * (1 - heavy + over)

    @property
    def steady_kcal(self) -> float:
        """Expenditure of an average day but for the food's own cost."""
        calendar, day = self.calendar, self.day
        carried = 10.0 * self.level_of_activity * (self.body.tissue_kg - self.start_kg)
        changed = calendar.step_day is not None and day >= calendar.step_day
        out = (1 - THERMIC) * self.usual_kcal + carried + self.adapted_kcal + self.wander_kcal[day]
        return float(out + (calendar.step_kcal if changed else 0.0))

    @property
    def logged_expenditure_kcal(self) -> float:
        """Expenditure of an average day, eating as now, as it would be logged."""
        spent = self.steady_kcal + THERMIC * self.eaten_kcal
        return self.logging_scale(self.day) * spent

    def gap_kcal(self, plan: Plan) -> float:
        """Return what the plan should be for the wanted rate less what it is, as logged."""
        stored = plan.rate_kg_per_week / 7 * self.density
        needed = (self.steady_kcal + stored) / (1 - THERMIC)
        return self.logging_scale(self.day) * needed - plan.kcal

    def live(self, day: int, planned_kcal: float) -> PublicLog:
        """Live one day under a plan; return what was logged of it."""
        out = PublicLog(events=[e for e in self.calendar.told if e.day == day])
        if self.cycle_kg > 0 and day % 28 == 5 and self.chance[0, 4] < 0.5:
            out.cycle_starts.append(CycleStart(day))
        self._weigh(day, out)
        world = self.world
        asked = planned_kcal / self.logging_scale(day)
        self.eaten_kcal = self.usual_kcal + self.follows * (asked - self.usual_kcal)
        heavy = self.chance[day, 0] < world.heavy_days
        ordinary = self.eaten_kcal - world.heavy_days * world.heavy_kcal
        eaten = ordinary * (1 + world.day_cv * self.normal[day, 0])
        eaten += world.heavy_kcal if heavy else 0.0
        eaten *= 1.1 if day in self.holiday else 0.7 if day in self.sick else 1.0
        skips = world.heavy_unlogged if heavy else self.unlogged
        if self.chance[day, 1] >= (max(skips, 0.5) if day in self.holiday else skips):
            slack = 1 - world.slack if day >= self.slack_day else 1.0
            noise = math.exp(world.log_cv * self.normal[day, 1])
            out.eaten.append(Eaten(day, round(self.bias * slack * noise * eaten)))
        if self.logs_sessions and day % 2:
            cost = 2 * self.training_kcal * math.exp(0.2 * self.normal[day, 2])
            out.sessions.append(Session(day, round(cost), 60))
        spent = self.steady_kcal + THERMIC * eaten
        self.body.tissue_kg += (eaten - spent) / self.density
        self.adapted_kcal += (
            self.adaptation * (eaten - self.usual_kcal) - self.adapted_kcal
        ) / ADAPTING_DAYS
        self.food_mcal += ((eaten - self.usual_kcal) / 1000 - self.food_mcal) / FOOD_DAYS
        self.day += 1
        return out

    def _weigh(self, day: int, out: PublicLog) -> None:
        world = self.world
        mass = self.body.tissue_kg + self.water_kg[day] + self.food_kg_per_mcal * self.food_mcal
        self.morning_kg = mass
        away = day in self.holiday
        if self.chance[day, 2] < (0.8 if away else self.unweighed):
            return
        elsewhere = away or self.chance[day, 3] < world.other_scale
        mass += self.other_kg if elsewhere else self.new_kg if day >= self.new_day else 0.0
        said = None if self.chance[day, 4] >= world.told else not elsewhere
        out.weigh_ins.append(WeighIn(day, round(float(mass), 1), usual_scale=said))

    def forget_step(self) -> None:
        """Take the change of training out of this client's life and log."""
        self.calendar.step_kcal = 0.0
        self.calendar.told = [e for e in self.calendar.told if e.what != "training change"]


def make_client(world: str, seed: int) -> Client:
    """Return a client of a named world; the same seed gives the same client and the same luck."""
    return Client(WORLDS[world], seed)
