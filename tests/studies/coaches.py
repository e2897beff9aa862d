"""
Four ways to run a phase for the simulated clients, and the loop in which they are run.

Each coach sees what a coach would see, except the ideal observer, who knows every law behind the
data (noise, pattern, density, response) but none of the draws.
"""

from __future__ import annotations

import numpy as np
from simulated_clients import GAMMA_F, GAMMA_L, RHO_F, RHO_L, SLOW_DAYS, SLOW_SD, forbes_density

from mealplan.checkin.decide import decision
from mealplan.checkin.energy import expenditure as ex
from mealplan.checkin.trend import noise
from mealplan.checkin.trend.series import AFTER_EVENT_DAYS, DISTURBED_SD_KG, SETTLING_SD_KG
from mealplan.checkin.trend.state_space import Bank, advance, begin, take

CHECK_IN_DAYS = range(14, 85, 7)
COST_PER_KG = 8000.0  # kcal/kg, early cost of a kilogram; source: worked by hand (linear model)


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
        self.rate = clients.rate_fraction_per_week * (clients.fat0 + clients.lean0) / 7
        self.day = 0

    def morning(self):
        c, t = self.c, self.day
        self.body.activity = c.activity[:, t]
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

    def gap(self):
        """What the plan lacks. [kcal/day]"""
        return (self.rate - self.slope(self.target)) * self.body.density


class Learner:
    """The check-in under test, driven through its own bank, decision rule and settings."""

    name = "this program"

    def __init__(self, clients, formula, monthly, candidates=None):
        self.c = clients
        self.monthly = monthly
        self.cand = candidates or noise.usual_candidates()
        prior = [ex.Prior(f, ex.FORMULA_SD_FRACTION * f).on_logging_scale() for f in formula]
        self.prior = np.array([p.kcal for p in prior])
        sd = np.array([p.sd_kcal for p in prior])
        mass0 = clients.fat0 + clients.lean0
        self.fat = clients.fat_measured
        self.density = forbes_density(self.fat)
        self.density_sd = ex.FAT_SHARE_SD * (RHO_F - RHO_L)
        alpha = self.fat / (self.fat + 10.4)
        delta = (0.9 * 1.75 - 1) * clients.rmr / mass0
        self.per_kg = GAMMA_F * alpha + GAMMA_L * (1 - alpha) + delta
        self.energetics = ex.Energetics(1.0)
        self.bank = ex.expenditure_bank(
            mass0, self.prior, sd, self.density, self.per_kg, self.cand, monthly
        )
        # the phase begins on the first day
        self.bank.initial_variance[:, noise.SETTLING] = SETTLING_SD_KG**2
        self.k = noise.width(monthly)
        self.state = begin(self.bank)
        self.adapted = np.zeros(len(clients))
        self.grid = len(self.cand.log_prior)
        self.extra = np.zeros((len(clients), clients.days))
        self.disturbed = np.zeros((len(clients), clients.days), dtype=bool)
        for i, t in zip(*np.nonzero(clients.sick), strict=True):
            self.disturbed[i, t : t + AFTER_EVENT_DAYS + 1] = True
        self.extra = np.where(self.disturbed, DISTURBED_SD_KG**2, self.extra)
        self.last_move = np.full(len(clients), -1000)
        self.rows = None

    def row(self, t):
        if self.monthly == "logged":
            rows = np.stack(
                [
                    noise.build_rows([t % 7], self.c.cycle_day[i, t : t + 1], "logged")[0]
                    for i in range(len(self.c))
                ]
            )
            return np.repeat(rows, self.grid, axis=0)
        if self.rows is None:
            self.rows = noise.build_rows(np.arange(self.c.days) % 7, monthly=self.monthly)
        return self.rows[t]

    def estimate(self, state):
        weights = noise.weigh_candidates(state.log_likelihood, self.cand)
        mean, sd = noise.blend(
            weights, state.mean[:, noise.DRIVE], state.covariance[:, noise.DRIVE, noise.DRIVE]
        )
        floor = 0.05 / 7 * self.density
        return mean + self.answered, np.maximum(sd, floor)

    def level(self):
        weights = noise.weigh_candidates(self.state.log_likelihood, self.cand)
        return noise.blend(weights, self.state.mean[:, 0], self.state.covariance[:, 0, 0])

    def see(self, world, reading):
        t = world.day
        if t == 0:
            self.answered = ex.answer(self.adapted, world.target, self.prior, self.energetics)[0]
        self.before, self.before_sd = self.estimate(self.state)
        self.state, _ = take(self.bank, self.state, self.row(t), np.repeat(reading, self.grid))
        self.now, self.now_sd = self.estimate(self.state)

    def night(self, world):
        t = world.day - 1  # the day just eaten
        usual = ex.usual_intake(world.intake[:, : t + 1], self.prior)
        today = world.intake[:, t]
        counted = ~np.isnan(today)
        intake = np.where(counted, today, usual)
        response, grown = ex.answer(self.adapted, intake, self.prior, self.energetics)
        self.answered = ex.answer(self.adapted, usual, self.prior, self.energetics)[0]
        self.usual = usual
        self.adapted = grown
        known = ex.eaten(intake, response, self.density, self.per_kg, self.k)
        sd = np.where(counted, 200.0, 500.0)
        extra = np.zeros((self.bank.size, self.k))
        level = self.extra[:, t + 1] + (sd / self.density) ** 2
        extra[:, 0] = np.repeat(level, self.grid)
        self.state = advance(self.bank, self.state, np.repeat(known, self.grid, axis=0), extra)

    def gap(self, world, kcal, sd):
        """Needed less planned, with everything that makes it unsure."""
        slope = (self.usual - kcal) / self.density
        gap = kcal + world.rate * self.density - world.target
        return gap, np.hypot(sd, (world.rate - slope) * self.density_sd)

    def evidence(self, world, i, gap, sd, gap0, sd0):
        t = world.day
        recent = slice(max(0, t - 27), t + 1)
        fine = ~self.disturbed[i, recent]
        return decision.Evidence(
            gap_kcal=gap[i],
            gap_sd_kcal=sd[i],
            gap_without_newest_kcal=gap0[i],
            gap_sd_without_newest_kcal=sd0[i],
            weigh_ins=int((fine & ~np.isnan(world.mass[i, recent])).sum()),
            logged_days=int((fine & ~np.isnan(world.intake[i, recent])).sum()),
            days_in_phase=t,
            days_since_move=None if self.last_move[i] < 0 else t - self.last_move[i],
            disturbed=bool(self.disturbed[i, t]),
        )

    def verdicts(self, world):
        """Say which way each client's target should move, 0 where nothing moves."""
        gap, sd = self.gap(world, self.now, self.now_sd)
        gap0, sd0 = self.gap(world, self.before, self.before_sd)
        return np.array(
            [
                np.sign(decision.decide(self.evidence(world, i, gap, sd, gap0, sd0)).step_kcal)
                for i in range(world.n)
            ]
        )

    def steps(self, world):
        gap, sd = self.gap(world, self.now, self.now_sd)
        gap0, sd0 = self.gap(world, self.before, self.before_sd)
        out = np.zeros(world.n)
        for i in range(world.n):
            verdict = decision.decide(self.evidence(world, i, gap, sd, gap0, sd0))
            out[i] = verdict.step_kcal
            if verdict.verdict == "move":
                self.last_move[i] = world.day
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
        prior = [ex.Prior(f, ex.FORMULA_SD_FRACTION * f).on_logging_scale() for f in formula]
        self.prior = np.array([p.kcal for p in prior])
        sd = np.array([p.sd_kcal for p in prior])
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
        self.bank = Bank(forward, process, np.full(n, 0.03**2), mean, variance, 99.0)
        self.state = begin(self.bank)
        self.last_move = np.full(n, -1000)
        self.adapted = np.zeros(n)
        self.energetics = ex.Energetics(1.0)

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
        self.state, _ = take(self.bank, self.state, row, clean)

    def night(self, world):
        t = world.day - 1
        usual = ex.usual_intake(world.intake[:, : t + 1], self.prior)
        expected = world.targets[:, t] + 50 * (1 - self.c.bias)
        intake = np.where(np.isnan(world.intake[:, t]), expected, world.intake[:, t])
        # it knows the sick week's shortfall too
        intake = intake - np.where(self.c.sick[:, t], 0.35 * self.c.maintenance, 0)
        response, grown = ex.answer(self.adapted, intake, self.prior, self.energetics)
        self.answered = ex.answer(self.adapted, usual, self.prior, self.energetics)[0]
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
        return kcal + world.rate * self.density - world.target, sd

    def steps(self, world):
        gap, sd = self.gap(world)
        sure = (np.abs(gap) >= decision.SMALLEST_GAP_KCAL) & (np.abs(gap) / sd > 1.645)
        sure &= world.day - self.last_move >= decision.DAYS_BETWEEN_MOVES
        self.last_move = np.where(sure, world.day, self.last_move)
        return np.where(sure, [decision.step_for(g) for g in gap], 0.0)


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
