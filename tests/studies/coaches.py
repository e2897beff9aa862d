"""
Four ways to run a phase for the simulated clients, and the loop in which they are run.

Each coach sees what a coach would see, except the ideal observer, who knows every law behind the
data (noise, pattern, density, response) but none of the draws.
"""

from __future__ import annotations

import datetime as dt

import numpy as np
from kalman import Bank, advance, begin, take
from simulated_clients import (
    BETA_AT,
    BETA_TEF,
    GAMMA_F,
    GAMMA_L,
    SLOW_DAYS,
    SLOW_SD,
    TAU_AT,
    forbes_density,
)

from mealplan.checkin.decide import decision
from mealplan.checkin.energy import expenditure as ex
from mealplan.checkin.energy.mixture import Mixture
from mealplan.checkin.energy.partition import Energetics
from mealplan.checkin.energy.reading import read
from mealplan.checkin.energy.setup import set_up
from mealplan.checkin.log.days import AFTER_EVENT_DAYS, WATER_STEPS_KG, Day

CHECK_IN_DAYS = range(14, 85, 7)
COST_PER_KG = 8000.0  # kcal/kg, early cost of a kilogram; source: worked by hand (linear model)
FORMULA_SD_FRACTION = 0.10  # of true about predicted expenditure; source: common practice
FIRST_DAY = dt.date(2026, 1, 5)  # a Monday
USUAL_DAYS = 14


def prior_of(formula):
    """Give what is believed of expenditure on the logging scale before any weigh-in."""
    found = [ex.Prior(f, FORMULA_SD_FRACTION * f).on_logging_scale() for f in formula]
    return np.array([kcal for kcal, _ in found]), np.array([sd for _, sd in found])


def usual_intake(intake, fallback):
    """Give the mean of each client's last recorded days, (C,)."""
    known = ~np.isnan(intake)
    after = np.cumsum(known[:, ::-1], axis=1)[:, ::-1]
    used = known & (after <= USUAL_DAYS)
    count = used.sum(axis=1)
    total = np.where(used, intake, 0.0).sum(axis=1)
    return np.where(count > 0, total / np.maximum(count, 1), fallback)


def answer(adapted, intake, maintenance):
    """Let spending answer one day's intake, at once and by adapting; (response, adapted)."""
    extra = intake - maintenance
    return BETA_TEF * extra + adapted, adapted + (BETA_AT * extra - adapted) / TAU_AT


class World:
    """The clients living day by day; knows the truth and hands out what can be seen."""

    def __init__(self, clients, target):
        self.c = clients
        self.n = len(clients)
        self.body = clients.body()
        self.target = target.copy()
        self.targets = np.full((self.n, clients.days), np.nan)
        self.intake = np.full((self.n, clients.days), np.nan)  # as logged
        self.mass = np.full((self.n, clients.days), np.nan)  # as read
        self.level = np.full((self.n, clients.days), np.nan)
        self.tissue = np.full((self.n, clients.days), np.nan)
        self.rate = clients.rate_fraction_per_week * (clients.fat0 + clients.lean0) / 7
        self.day = 0

    def morning(self):
        c, t = self.c, self.day
        self.body.activity = c.activity[:, t]
        self.tissue[:, t] = self.body.mass
        self.level[:, t] = self.body.mass + c.step[:, t]
        shown = self.level[:, t] + c.water[:, t] + c.week[:, t] + c.cycle[:, t] + c.outlier[:, t]
        self.mass[:, t] = np.where(c.weighed[:, t], np.round(shown, 1), np.nan)
        return self.mass[:, t]

    def eat(self):
        c, t = self.c, self.day
        self.targets[:, t] = self.target
        logged = self.target + c.wish[:, t]
        true = logged / (1 - c.bias) + c.slip[:, t]
        self.intake[:, t] = np.where(c.logs[:, t], logged, np.nan)
        self.body.live(true)
        self.day += 1
        return self.intake[:, t]

    def slope(self, logged):
        """True tissue change a day at a logged intake, now. [kg/day]"""
        true = logged / (1 - self.c.bias)
        return (true - self.body.spending(true)) / self.body.density

    def expenditure(self, logged):
        """True expenditure on the logging scale at a logged intake. [kcal/day]"""
        return logged - self.slope(logged) * self.body.density

    def lately(self):
        """True change of tissue over the last week. [kg/week]"""
        t = self.day
        return (self.tissue[:, t] - self.tissue[:, t - 7]) if t >= 7 else np.full(self.n, np.nan)

    def gap(self):
        """What the plan lacks; a tenth of extra food is spent at once. [kcal/day]"""
        return (self.rate - self.slope(self.target)) * self.body.density / (1 - BETA_TEF)


class Learner:
    """The check-in under test: the program's own days, filter and rule, client by client."""

    name = "this program"

    def __init__(self, clients, formula, monthly):
        self.c = clients
        self.monthly = monthly
        self.prior, self.prior_sd = prior_of(formula)
        alpha = clients.fat_measured / (clients.fat_measured + 10.4)
        delta = (0.9 * 1.75 - 1) * clients.rmr / (clients.fat0 + clients.lean0)
        per_kg = GAMMA_F * alpha + GAMMA_L * (1 - alpha) + delta
        # These clients follow Forbes both ways, and the program is told so.
        self.bodies = [Energetics(a, a, per_kg_kcal=k) for a, k in zip(alpha, per_kg, strict=True)]
        self.days = [[] for _ in range(len(clients))]
        self.readings = [None] * len(clients)
        self.last_move = np.full(len(clients), -1000)

    def see(self, world, reading):
        t = world.day
        for i, days in enumerate(self.days):
            if days:
                eaten = world.intake[i, t - 1]
                days[-1] = self._day(world, i, t - 1, days[-1].mass_kg, eaten)
            mass = None if np.isnan(reading[i]) else float(reading[i])
            days.append(self._day(world, i, t, mass, np.nan))

    def _day(self, world, i, t, mass, eaten):
        sick = self.c.sick[i, max(0, t - AFTER_EVENT_DAYS) : t + 1].any()
        water, spread = WATER_STEPS_KG["phase change"] if t == 0 else (0.0, 0.0)
        known = {} if np.isnan(eaten) else {"intake_kcal": float(eaten), "intake_sd_kcal": 200.0}
        cycle = self.c.cycle_day[i, t]
        return Day(
            FIRST_DAY + dt.timedelta(days=t),
            mass_kg=mass,
            disturbed=bool(sick),
            water_kg=water,
            water_sd_kg=spread,
            cycle_day=None if np.isnan(cycle) else float(cycle),
            direction=int(np.sign(self.c.rate_fraction_per_week[i])),
            planned_kcal=float(world.targets[i, t]) if t < world.day else None,
            **known,
        )

    def night(self, world):
        pass

    def look(self):
        """Read every client's days up to today."""
        for i, days in enumerate(self.days):
            rows = tuple(days)
            if not any(day.mass_kg is not None for day in rows):
                continue
            setup = set_up(
                rows,
                (self.prior[i], self.prior_sd[i]),
                self.bodies[i],
                has_cycle=self.monthly == "unlogged",
            )
            self.readings[i] = read(rows, setup, self.readings[i])

    def _each(self, ask):
        """Ask every client's reading for a mixture: means and half-widths as if normal."""
        found = [ask(i, one) for i, one in enumerate(self.readings)]
        return np.array([m.mean for m in found]), np.array([ex.equivalent_sd(m) for m in found])

    def usual(self):
        return np.array([one.usual_kcal() for one in self.readings])

    def spent(self):
        return self._each(lambda _, one: ex.spent(one))

    def slope(self):
        return self._each(lambda _, one: ex.slope(one))

    def level(self):
        return self._each(lambda _, one: ex.level(one))

    def gaps(self, world):
        return [
            ex.gap(one, world.target[i], 7 * world.rate[i]) if one else None
            for i, one in enumerate(self.readings)
        ]

    def gap(self, world):
        """Needed less planned, with everything that makes it unsure."""
        gaps = self.gaps(world)
        return self._each(lambda i, _: gaps[i])

    def evidence(self, world, i, gap):
        t, rows = world.day, [day for day in self.readings[i].rows[-28:] if not day.disturbed]
        return decision.Evidence(
            gap=gap,
            weigh_ins=sum(day.mass_kg is not None for day in rows),
            logged_days=sum(day.intake_kcal is not None for day in rows),
            days_since_move=None if self.last_move[i] < 0 else t - self.last_move[i],
            disturbed=self.readings[i].rows[-1].disturbed,
        )

    def verdicts(self, world):
        """Say which way each client's target should move, 0 where nothing moves."""
        return np.sign(self._decide(world))

    def _decide(self, world):
        self.look()
        out = np.zeros(world.n)
        for i, gap in enumerate(self.gaps(world)):
            if gap is not None:
                out[i] = decision.decide(self.evidence(world, i, gap)).step_kcal
        return out

    def steps(self, world):
        out = self._decide(world)
        self.last_move = np.where(out != 0, world.day, self.last_move)
        return out


class Ideal:
    """
    Sees what the coach sees and knows the law behind it; no guard rails beyond the same certainty.

    It is told each client's noise, correlation, tissue density, logging law, the time course of
    the water step and which readings are mistakes. As an ``oracle`` it is also told each client's
    weekly and monthly pattern to the gram, which nobody could be.
    """

    def __init__(self, clients, formula, monthly, *, oracle=False):
        self.c = clients
        self.oracle = oracle
        n = len(clients)
        self.patterns = _Patterns(clients, monthly)
        states = 5 + (0 if oracle else self.patterns.mean.shape[1])
        self.states = states
        self.prior, sd = prior_of(formula)
        self.density = forbes_density(clients.fat0, clients.forbes)
        body = clients.body()
        alpha = clients.fat0 / (clients.fat0 + clients.forbes)
        self.per_kg = GAMMA_F * alpha + GAMMA_L * (1 - alpha) + body.delta
        keep = np.exp(-1 / SLOW_DAYS)
        forward = np.tile(np.eye(states), (n, 1, 1))
        forward[:, 0, 1] = -1 / self.density
        forward[:, 1, 1] = 1 - self.per_kg / self.density
        forward[:, 2, 2] = clients.correlation
        forward[:, 4, 4] = keep
        process = np.zeros((n, states))
        process[:, 0] = (200 / self.density) ** 2
        process[:, 1] = 5.0**2
        process[:, 2] = clients.noise_sd**2 * (1 - clients.correlation**2)
        process[:, 4] = SLOW_SD**2 * (1 - keep**2)
        mean = np.zeros((n, states))
        mean[:, 0] = clients.fat0 + clients.lean0
        mean[:, 1] = self.prior
        mean[:, 3] = 0.3 * np.sign(clients.rate_fraction_per_week)
        variance = np.zeros((n, states))
        variance[:, 0] = 1e-4
        variance[:, 1] = sd**2
        variance[:, 2] = clients.noise_sd**2
        variance[:, 3] = 0.8**2
        variance[:, 4] = SLOW_SD**2
        if not oracle:
            mean[:, 5:] = self.patterns.mean
            variance[:, 5:] = self.patterns.sd**2
        self.bank = Bank(forward, process, np.full(n, 0.03**2), mean, variance)
        self.state = begin(self.bank)
        self.last_move = np.full(n, -1000)
        self.adapted = np.zeros(n)

    def see(self, world, reading):
        t = world.day
        clean = np.where(self.c.outlier[:, t] != 0, np.nan, reading)
        clean = np.where(self.c.sick[:, t], clean + 0.8, clean)
        row = np.ones((world.n, self.states))
        row[:, 1] = 0
        row[:, 3] = 1 - np.exp(-t / self.c.step_tau)
        if self.oracle:
            clean = clean - self.c.week[:, t] - self.c.cycle[:, t]
        else:
            row[:, 5:] = self.patterns.row(t)
        self.state = take(self.bank, self.state, row, clean)

    def night(self, world):
        t = world.day - 1
        usual = usual_intake(world.intake[:, : t + 1], self.prior)
        expected = world.targets[:, t] + 50 * (1 - self.c.bias)
        intake = np.where(np.isnan(world.intake[:, t]), expected, world.intake[:, t])
        # it knows the sick week's shortfall too
        intake = intake - np.where(self.c.sick[:, t], 0.35 * self.c.maintenance, 0)
        response, grown = answer(self.adapted, intake, self.prior)
        self.answered = answer(self.adapted, usual, self.prior)[0]
        self.adapted = grown
        known = np.zeros((world.n, self.states))
        known[:, 0] = (intake - response) / self.density
        known[:, 1] = self.per_kg * known[:, 0]
        extra = np.zeros((world.n, self.states))
        extra[:, 0] = np.where(self.c.logs[:, t], 0, (250 / self.density) ** 2)
        self.state = advance(self.bank, self.state, known, extra)

    def gap(self, world):
        kcal = self.state.mean[:, 1] + self.answered
        sd = np.sqrt(self.state.covariance[:, 1, 1])
        kept = 1 - BETA_TEF
        return (kcal + world.rate * self.density - world.target) / kept, sd / kept

    def steps(self, world):
        gap, sd = self.gap(world)
        asked = steps_for(gap, sd)
        sure = (asked != 0) & (world.day - self.last_move >= decision.DAYS_BETWEEN_MOVES)
        self.last_move = np.where(sure, world.day, self.last_move)
        return np.where(sure, asked, 0.0)


def steps_for(gap, sd):
    """Steps of the program's own rule for gaps known with a spread."""
    return np.array(
        [
            decision.step_for(Mixture(np.ones(1), np.array([g]), np.array([s])))
            for g, s in zip(gap, sd, strict=True)
        ]
    )


class _Patterns:
    """What the law says of a client's weekly and monthly pattern before any reading."""

    def __init__(self, clients, monthly):
        self.c = clients
        self.monthly = monthly
        mass = clients.fat0 + clients.lean0
        # size 0.175 % of mass (x e^0.3z), peak at day 6.5 +- 0.7 of 7: mean and spread of cos, sin
        turn = 2 * np.pi / 7
        shrink = np.exp(-0.5 * (0.7 * turn) ** 2) * np.exp(0.3**2 / 2)
        size = 0.00175 * mass
        mean = [size * shrink * np.cos(6.5 * turn), size * shrink * np.sin(6.5 * turn)]
        sd = [0.45 * size, 0.55 * size]
        if monthly == "logged":
            mean.append(np.full(len(mass), 0.5))
            sd.append(np.full(len(mass), 0.354))
        elif monthly == "unlogged":
            # seven tenths of them, less those who log it, have a cycle of unknown timing
            mean += [np.zeros(len(mass))] * 2
            sd += [np.full(len(mass), 0.14)] * 2
        self.mean = np.stack(mean, axis=1)
        self.sd = np.stack(sd, axis=1)

    def row(self, t):
        n = len(self.c)
        turn = 2 * np.pi / 7
        columns = [np.full(n, np.cos(turn * (t % 7))), np.full(n, np.sin(turn * (t % 7)))]
        if self.monthly == "logged":
            place = self.c.cycle_day[:, t] - 0.5
            place = np.where(place > 16, place - 28, place)
            columns.append(np.exp(-0.5 * ((place - 2) / 4) ** 2) - 0.36)
        elif self.monthly == "unlogged":
            angle = 2 * np.pi * t / 28
            columns += [np.full(n, np.cos(angle)), np.full(n, np.sin(angle))]
        return np.stack(columns, axis=1)


class WeeklyMeans:
    """Compare this week's mean with last week's and mend the difference, as is often done."""

    name = "weekly means"

    def __init__(self, clients):
        self.c = clients

    def see(self, world, reading):
        pass

    def night(self, world):
        pass

    def steps(self, world):
        t = world.day
        with np.errstate(invalid="ignore"):
            this = _mean(world.mass[:, t - 6 : t + 1])
            last = _mean(world.mass[:, t - 13 : t - 6])
        off = world.rate * 7 - (this - last)
        wanted = np.clip(off * 7700 / 7, -150, 150)
        out = np.where(np.abs(off) >= 0.1, wanted, 0.0)
        return np.round(np.nan_to_num(out), -1)


class EveryWeighIn:
    """Compare each reading with where the plan's straight line should be, and nudge."""

    name = "every weigh-in"

    def __init__(self, clients):
        self.c = clients
        self.start = None

    def see(self, world, reading):
        self.reading = reading
        if self.start is None:
            self.start = np.full(world.n, np.nan)
        self.start = np.where(np.isnan(self.start), reading, self.start)

    def night(self, world):
        pass

    def steps(self, world):
        line = self.start + world.rate * world.day
        off = line - self.reading
        return np.nan_to_num(np.where(np.abs(off) >= 0.3, np.sign(off) * 50, 0.0))


def _mean(block):
    count = (~np.isnan(block)).sum(axis=1)
    return np.where(count > 0, np.nansum(block, axis=1) / np.maximum(count, 1), np.nan)
