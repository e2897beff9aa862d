"""
A client who lives day by day under a plan: eats some of the way to it, trains, weighs and logs.

Everything by chance is drawn when the client is made, so that two policies meet the same luck.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, field

import numpy as np

from tests.studies.second_world import physics
from tests.studies.second_world.body import Body, Day
from tests.studies.second_world.calendar import Calendar, draw_calendar
from tests.studies.second_world.habits import LAST_DAY, Luck, draw_habits
from tests.studies.second_world.person import Person, draw_person
from tests.studies.second_world.protocol import (
    CycleStart,
    Eaten,
    Event,
    Facts,
    Plan,
    Scan,
    Session,
    Steps,
    WeighIn,
)
from tests.studies.second_world.worlds import WORLDS, World

SCAN_DAYS = (3, 59)
SCAN_SD_KG = (0.44, 0.55)
"""Precision of a repeat, fat and lean: from memory."""
NOMINAL_KCAL_PER_KG = {"cut": 7000.0, "hold": 6500.0, "gain": 5600.0}
"""By which the first plan is reckoned, for every policy alike."""


@dataclass
class DayRecords:
    """What one day adds to the log."""

    weigh_ins: list[WeighIn] = field(default_factory=list)
    eaten: list[Eaten] = field(default_factory=list)
    sessions: list[Session] = field(default_factory=list)
    steps: list[Steps] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    cycle_starts: list[CycleStart] = field(default_factory=list)
    scans: list[Scan] = field(default_factory=list)


class Client:
    """One client; ``facts`` and ``first_plan_kcal`` are public, all else is hidden."""

    def __init__(self, world: World, seed: int) -> None:
        rng = np.random.default_rng([seed, 20260])
        self.world = world
        self.person: Person = draw_person(world, rng)
        self.calendar: Calendar = draw_calendar(world, self.person, 112, rng)
        self.habits = draw_habits(world, self.person, self.calendar, rng)
        self.body = Body(self.person)
        self.luck = Luck(rng)
        self.day = 0
        self.drift_kcal = world.movement_drift_kcal * float(rng.standard_normal())
        self.water_kg = self.bowel_kg = 0.0
        self.last_reading_kg: float | None = None
        self.last_change_kg = 0.0
        self.morning_kg = self.person.mass_kg
        self.facts = self._facts(rng)
        self.first_plan_kcal = self._first_plan()
        self.mean_eaten_kcal = self.person.habit_kcal
        self._plan_kcal = self.first_plan_kcal
        self._records = DayRecords()

    # ---- drawing -------------------------------------------------------------------------------

    def _facts(self, rng: np.random.Generator) -> Facts:
        person, luck = self.person, rng.standard_normal(4)
        predicted = person.habit_kcal / math.exp(self.world.prediction_sd * luck[0])
        share = person.fat_kg / person.mass_kg + 0.04 * luck[1]
        return Facts(
            first_day=dt.date(2026, 1, 5) + dt.timedelta(days=int(rng.integers(0, 7))),
            sex="female" if person.female else "male",
            age_years=round(person.age_years, 1),
            height_cm=round(person.height_cm, 1),
            mass_kg=round(person.mass_kg + person.hydration_sd_kg * luck[2], 1),
            body_fat_fraction=float(np.clip(share, 0.05, 0.55)),
            trained=person.trained,
            lifts=person.lifts,
            protein_g_per_kg=person.protein_g_per_kg,
            predicted_kcal=predicted,
            training_kcal=person.training_gross_kcal * math.exp(0.15 * luck[3]),
            steps=person.steps,
            menstruates=person.cycle_kg > 0,
        )

    def _first_plan(self) -> float:
        person = self.person
        density = NOMINAL_KCAL_PER_KG[person.phase]
        return round(self.facts.predicted_kcal + person.rate_kg_per_week * density / 7, -1)

    # ---- living --------------------------------------------------------------------------------

    def weekday(self, day: int) -> int:
        """Return the weekday, Monday 0."""
        return (self.facts.first_day + dt.timedelta(days=day)).weekday()

    def live(self, day: int, planned_kcal: float) -> DayRecords:
        """Live one day, days in order, under a plan; return what the client logged."""
        if day != self.day:
            raise ValueError(f"day {day} comes out of order; live day {self.day} next")
        self._records, self._plan_kcal = DayRecords(), planned_kcal
        self._tell(day)
        self._weigh(day)
        self._eat_and_train(day)
        self.day += 1
        return self._records

    def _tell(self, day: int) -> None:
        self._records.events.extend(e for e in self.calendar.told if e.day == day)
        if day == 0 and self.world.new_diet:
            self._records.events.append(Event(0, 0, "new diet"))
        cycle = self._cycle_day(day)
        if self.person.cycle_kg > 0 and self.habits.logs_cycle and cycle < 1:
            self._records.cycle_starts.append(CycleStart(day))
        if self.habits.scanned and day in SCAN_DAYS:
            noise = self.luck.normal["scale"]  # of days past the end of the study
            fat = self.body.fat_kg + SCAN_SD_KG[0] * noise[LAST_DAY - 1 - day % 7]
            lean = (
                self.body.lean_kg
                + self.body.pools_kg
                + SCAN_SD_KG[1] * noise[LAST_DAY - 12 - day % 7]
            )
            self._records.scans.append(Scan(day, fat, lean))

    def _cycle_day(self, day: int) -> float:
        return (day + self.person.cycle_offset) % self.person.cycle_days

    def passing_kg(self, day: int) -> float:
        """Return what the morning's mass has beyond tissue and the body's pools."""
        out, calendar, person = self.water_kg + self.bowel_kg, self.calendar, self.person
        if person.cycle_kg:
            # Highest on the first days of bleeding, lowest in the week after: Kanellakis 2023.
            angle = 2 * math.pi * (self._cycle_day(day) - 0.5) / person.cycle_days
            out += 1.15 * person.cycle_kg * (math.exp(2.5 * (math.cos(angle) - 1)) - 0.25)
        if calendar.creatine_day is not None and day > calendar.creatine_day:
            gone = day - calendar.creatine_day
            out += calendar.creatine_kg * (1 - math.exp(-gone / calendar.creatine_days))
        return out

    def mass_kg(self, day: int) -> float:
        """Return true mass, fasted and unclothed, on a morning."""
        return self.body.tissue_kg + self.body.pools_kg + self.passing_kg(day)

    def _weigh(self, day: int) -> None:
        luck, habits, world = self.luck, self.habits, self.world
        sd, memory = self.person.hydration_sd_kg, world.hydration_memory
        fresh = math.sqrt(1 - memory**2) * sd * luck.normal["water"][day]
        self.water_kg = memory * self.water_kg + fresh
        self.bowel_kg = 0.15 * luck.normal["bowel"][day]
        mass = self.morning_kg = self.mass_kg(day)
        if self._skips(day):
            return
        odd, kind = luck.uniform["odd"][day] < 3 * world.odd_readings, luck.uniform["odd_kind"][day]
        clothed, late = odd and kind < 1 / 3, odd and 1 / 3 <= kind < 2 / 3
        other = (odd and kind >= 2 / 3) or day in self.calendar.travel
        hour = 7.0 + (4 + 10 * luck.uniform["hour"][day] if late else luck.uniform["hour"][day])
        kg = mass + 0.1 * luck.normal["scale"][day]  # a home scale repeats to 0.1 kg: from memory
        kg += habits.clothes_kg if clothed else 0.0
        kg += 0.3 + habits.evening_kg_per_hour * (hour - 7) if late else 0.0
        kg += habits.other_scale_kg if other else 0.0
        new = self.calendar.new_scale_day
        kg += self.calendar.new_scale_kg if new is not None and day >= new and not other else 0.0
        told = luck.uniform["told"][day] < world.conditions_told
        if self.last_reading_kg is not None:
            self.last_change_kg = kg - self.last_reading_kg
        self.last_reading_kg = kg
        reading = WeighIn(day, round(kg, 1), round(hour, 1), not other, clothed, not late)
        self._records.weigh_ins.append(reading if told else WeighIn(day, round(kg, 1)))

    def _skips(self, day: int) -> bool:
        world = self.world
        chance = self.habits.reading_missing
        odds = math.log(chance / (1 - chance)) if chance > 0 else -9.0
        if self.last_change_kg > 0.3:  # it went up: one would rather not know
            odds += world.avoidance
        if self.weekday(day) >= 5 and world.weekend_kcal:
            odds += 0.5
        if day in self.calendar.travel:
            odds += 2.5
        return self.luck.uniform["skip"][day] < 1 / (1 + math.exp(-odds))

    def bias(self, day: int) -> float:
        """Return logged over eaten on an ordinary logged day."""
        return self.habits.bias * math.exp(self.habits.drift * day / 112)

    def logging_scale(self, day: int) -> float:
        """
        Return mean energy of logged days over mean energy eaten.

        Bad days lift what is eaten more than what is logged, for some of them are not logged, or
        not in full.
        """
        world, mean = self.world, self.mean_eaten_kcal
        ordinary = mean - world.bad_days * world.bad_day_kcal
        seen = world.bad_days * (1 - world.bad_day_missing)
        logged = (1 - world.bad_days) * ordinary
        logged += seen * (ordinary + (1 - world.bad_day_omitted) * world.bad_day_kcal)
        return self.bias(day) * logged / (1 - world.bad_days * world.bad_day_missing) / mean

    def _intends(self, day: int) -> float:
        """Return what is eaten on average under the plan: some of the way from habit to it."""
        asked = self._plan_kcal / self.logging_scale(day)
        habit = self.person.habit_kcal
        return max(600.0, habit + self.habits.adherence * (asked - habit))

    def _eat_and_train(self, day: int) -> None:
        luck, world, calendar = self.luck, self.world, self.calendar
        self.mean_eaten_kcal = self._intends(day)
        bad = luck.uniform["bad"][day] < world.bad_days
        ordinary = self.mean_eaten_kcal - world.bad_days * world.bad_day_kcal
        weekend = self.habits.weekend_kcal * (5 / 7 if self.weekday(day) >= 5 else -2 / 7)
        eaten = (ordinary + weekend) * (1 + world.day_energy_cv * luck.normal["eat"][day])
        travel, sick, refeed = (
            day in calendar.travel,
            day in calendar.sick,
            day in calendar.refeeds,
        )
        # From memory, all three: +12 % away from home, three quarters when ill, +30 % on a refeed.
        eaten *= (1.12 if travel else 1.0) * (0.75 if sick else 1.0) * (1.3 if refeed else 1.0)
        excess = world.bad_day_kcal if bad else 0.0
        eaten = max(300.0, eaten)
        sodium = world.sodium_sd_mg * luck.normal["sodium"][day]
        sodium += 1500.0 if travel else 700.0 if bad else 0.0  # from memory
        self._log_food(day, eaten, excess, bad)
        self.body.live(
            Day(
                eaten_kcal=eaten + excess,
                carbohydrate=1.25 if refeed else 1.0,
                sodium_mg=sodium,
                fibre=self.habits.fibre if world.new_diet else 1.0,
                training_kcal=self._train(day, travel, sick),
                movement_kcal=self._move(day, sick),
                fever_kcal=0.1 * self.person.resting_kcal
                if sick
                else 0.0,  # per degree: from memory
            )
        )

    def _log_food(self, day: int, eaten: float, excess: float, bad: bool) -> None:
        luck, world = self.luck, self.world
        missing = world.bad_day_missing if bad else self.habits.log_missing
        missing = max(missing, 0.6) if day in self.calendar.travel else missing
        if luck.uniform["log"][day] < missing:
            return
        told = eaten + (0.0 if luck.uniform["log_bad"][day] < world.bad_day_omitted else excess)
        noise = math.exp(0.05 * luck.normal["log"][day])
        self._records.eaten.append(Eaten(day, round(self.bias(day) * told * noise)))

    def usual_training_kcal(self, day: int) -> float:
        """Return the real effect of training on an average day now."""
        calendar, person = self.calendar, self.person
        out = person.training_gross_kcal * (1 - person.compensation)
        if calendar.step_day is not None and day >= calendar.step_day:
            out += calendar.step_kcal
        return out

    def _train(self, day: int, travel: bool, sick: bool) -> float:
        person, luck, habits = self.person, self.luck, self.habits
        if self.weekday(day) not in habits.training_days or sick:
            return 0.0
        share = 7 / len(habits.training_days) * max(0.2, 1 + 0.2 * luck.normal["train"][day])
        share *= 0.4 if travel else 1.0
        real = self.usual_training_kcal(day) * share
        if habits.logs_sessions and luck.uniform["session"][day] < 0.92:
            known = self.usual_training_kcal(day)
            if not self.calendar.step_logged:  # the change is nowhere in the log
                known = person.training_gross_kcal * (1 - person.compensation)
            gross = known * share / (1 - person.compensation) * habits.watch
            self._records.sessions.append(Session(day, round(gross), round(gross / 8)))
        return real

    def _move(self, day: int, sick: bool) -> float:
        world, luck = self.world, self.luck
        memory = math.exp(-1 / world.movement_drift_days)
        fresh = math.sqrt(1 - memory**2) * luck.normal["drift"][day]
        self.drift_kcal = memory * self.drift_kcal + world.movement_drift_kcal * fresh
        today = self.drift_kcal + 0.15 * self.person.movement_kcal * luck.normal["move"][day]
        if sick:
            today -= 0.4 * self.person.movement_kcal
        if self.habits.logs_steps:
            # Steps carry some of everyday movement, not all: from memory.
            ratio = 1 + 0.6 * today / self.person.movement_kcal
            count = self.person.steps * max(0.1, ratio) * (1 + 0.1 * luck.normal["steps"][day])
            self._records.steps.append(Steps(day, round(max(200.0, count))))
        return today

    def forget_step(self) -> None:
        """Take the change of training out of this client's life and log."""
        self.calendar.step_kcal = 0.0
        self.calendar.told = [e for e in self.calendar.told if e.what != "training change"]

    # ---- truth, for scoring only ---------------------------------------------------------------

    @property
    def steady_kcal(self) -> float:
        """Expenditure of an average day now but for the food's own cost, on the true scale."""
        return self.body.steady_kcal + self.usual_training_kcal(self.day) + self.drift_kcal

    @property
    def expenditure_kcal(self) -> float:
        """Expenditure of an average day now, eating as now, on the true scale."""
        return self.steady_kcal + physics.FOOD_EFFECT * self.mean_eaten_kcal

    @property
    def logged_expenditure_kcal(self) -> float:
        """The same on the logging scale."""
        return self.logging_scale(self.day) * self.expenditure_kcal

    def gap_kcal(self, plan: Plan) -> float:
        """Return what the plan should be for the wanted rate less what it is, as logged."""
        needed = self.body.needed_kcal(plan.rate_kg_per_week, self.steady_kcal)
        return self.logging_scale(self.day) * needed - plan.kcal


def make_client(world: str, seed: int) -> Client:
    """Return a client of a named world; the same seed gives the same client and the same luck."""
    return Client(WORLDS[world], seed)
