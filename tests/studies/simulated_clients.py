"""
Simulated clients whose true expenditure is known, drawn from published noise.

Body mass follows the dynamic energy-balance model (Hall 2011) from a client's own true intake; the
scale adds what is published about scales and water. Nothing here uses the check-in under test.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

RHO_F, RHO_L = 9440.7, 1816.4  # kcal/kg; source: published (Hall 2008, 39.5 and 7.6 MJ/kg)
GAMMA_F, GAMMA_L = 3.2, 22.0  # kcal/kg/d; source: from memory (Hall 2011)
ETA_F, ETA_L = 180.0, 230.0  # kcal/kg; source: from memory (Hall 2011)
BETA_TEF, BETA_AT, TAU_AT = 0.10, 0.14, 14.0  # source: from memory (Hall 2011)
FORBES = 10.4  # kg; source: published (Forbes 1987, Hall 2007)

SLOW_SD, SLOW_DAYS = 0.15, 10.0


def forbes_density(fat_kg, forbes=FORBES):
    alpha = fat_kg / (fat_kg + forbes)
    return RHO_F * alpha + RHO_L * (1 - alpha)


@dataclass
class Body:
    """The dynamic model for many clients at once; one explicit day a step."""

    fat: np.ndarray
    lean: np.ndarray
    maintenance: np.ndarray
    rmr: np.ndarray
    forbes: np.ndarray
    adapted: np.ndarray = field(init=False)
    activity: np.ndarray = field(init=False)

    def __post_init__(self):
        n = len(self.fat)
        self.adapted = np.zeros(n)
        self.activity = np.zeros(n)
        pal = self.maintenance / self.rmr
        self.delta = ((1 - BETA_TEF) * pal - 1) * self.rmr / (self.fat + self.lean)
        self.k = 0.0
        _, q = self.split()
        wanted = self.maintenance * (1 + q) - q * self.maintenance
        self.k = wanted - (
            GAMMA_F * self.fat + GAMMA_L * self.lean + self.delta * (self.fat + self.lean)
        )

    def split(self):
        c = self.forbes * RHO_L / RHO_F
        p = c / (c + self.fat)
        return p, ETA_F / RHO_F * (1 - p) + ETA_L / RHO_L * p

    def spending(self, intake):
        _, q = self.split()
        extra = intake - self.maintenance
        base = GAMMA_F * self.fat + GAMMA_L * self.lean + self.delta * (self.fat + self.lean)
        rest = self.k + base + BETA_TEF * extra + self.adapted + self.activity
        return (rest + q * intake) / (1 + q)

    @property
    def mass(self):
        return self.fat + self.lean

    @property
    def density(self):
        return forbes_density(self.fat, self.forbes)

    def live(self, intake):
        p, _ = self.split()
        balance = intake - self.spending(intake)
        extra = intake - self.maintenance
        fat = self.fat + (1 - p) * balance / RHO_F
        lean = self.lean + p * balance / RHO_L
        self.adapted = self.adapted + (BETA_AT * extra - self.adapted) / TAU_AT
        self.fat, self.lean = fat, lean


@dataclass
class Clients:
    """Everything about the clients that does not depend on what their coach does."""

    days: int
    female: np.ndarray
    fat0: np.ndarray
    lean0: np.ndarray
    maintenance: np.ndarray
    rmr: np.ndarray
    forbes: np.ndarray
    rate_fraction_per_week: np.ndarray
    bias: np.ndarray  # fraction of true intake that is never logged
    formula_error: np.ndarray  # predicted over true expenditure, less 1
    noise_sd: np.ndarray
    correlation: np.ndarray
    water: np.ndarray  # (C, T) autocorrelated noise on the scale
    week: np.ndarray  # (C, T)
    cycle: np.ndarray  # (C, T)
    cycle_day: np.ndarray  # (C, T), NaN when not logged
    step: np.ndarray  # (C, T) water step at the start of the phase
    step_total: np.ndarray
    step_tau: np.ndarray
    outlier: np.ndarray  # (C, T)
    weighed: np.ndarray  # (C, T) bool
    logs: np.ndarray  # (C, T) bool
    wish: np.ndarray  # (C, T) logged departure from plan, kcal
    slip: np.ndarray  # (C, T) departure nobody logs, kcal
    activity: np.ndarray  # (C, T) kcal/day
    sick: np.ndarray  # (C, T) bool
    fat_measured: np.ndarray
    first_weekday: int = 0

    def __len__(self):
        return len(self.fat0)

    def body(self):
        return Body(self.fat0.copy(), self.lean0.copy(), self.maintenance, self.rmr, self.forbes)

    def take(self, which):
        values = {
            name: value[which] if isinstance(value, np.ndarray) else value
            for name, value in self.__dict__.items()
        }
        return Clients(**values)


def draw(n, seed, days=85, *, bias_top=0.18, noise_factor=1.0, slow_sd=SLOW_SD, drift=5.0):
    """Draw ``n`` clients; the spreads are written out below so that a reader can disagree."""
    rng = np.random.default_rng(seed)
    female = rng.random(n) < 0.5
    fat0 = np.where(female, rng.normal(14, 3, n), rng.normal(12, 3, n)).clip(6, 25)
    lean0 = np.where(female, rng.normal(48, 4, n), rng.normal(68, 6, n)).clip(36, 90)
    rmr = 370 + 21.6 * lean0
    maintenance = rmr * rng.uniform(1.6, 1.9, n)
    # trained lifters and restricted women depart from Forbes: 0.3 to 0.6 of a gain as fat
    forbes = FORBES * np.exp(rng.normal(0, 0.3, n))
    rate = rng.choice([0.0025, 0.0, -0.006], n, p=[0.5, 0.2, 0.3])
    mass = fat0 + lean0
    # source: published: 0.6 % of body mass, lag-1 0.2 to 0.4
    noise_sd = 0.006 * mass * np.exp(rng.normal(0, 0.3, n)) * noise_factor
    correlation = rng.uniform(0.2, 0.4, n)
    water = np.empty((n, days))
    water[:, 0] = rng.normal(0, 1, n) * noise_sd
    for t in range(1, days):
        fresh = rng.normal(0, 1, n) * noise_sd * np.sqrt(1 - correlation**2)
        water[:, t] = correlation * water[:, t - 1] + fresh
    # salt, carbohydrate and gut content drift; size an assumption, see the floor in simple_trend
    slow = np.empty((n, days))
    slow[:, 0] = rng.normal(0, slow_sd, n)
    keep = np.exp(-1 / SLOW_DAYS)
    for t in range(1, days):
        slow[:, t] = keep * slow[:, t - 1] + rng.normal(0, slow_sd * np.sqrt(1 - keep**2), n)
    water = water + slow
    # source: published: highest Sunday and Monday, lowest Friday, about 0.35 % in all
    weekday = np.arange(days) % 7
    size = 0.00175 * mass * np.exp(rng.normal(0, 0.3, n))
    peak = 6.5 + rng.normal(0, 0.7, n)
    week = size[:, None] * np.cos(2 * np.pi * (weekday - peak[:, None]) / 7)
    # source: published: peaks in the first half of menses; about 0.5 kg on average, 0 to 2
    length = rng.normal(28, 2, n).clip(24, 34)
    begin = rng.uniform(0, 28, n)
    day_in = (np.arange(days) + begin[:, None]) % length[:, None]
    rise = rng.gamma(2, 0.25, n) * (female & (rng.random(n) < 0.7))
    place = (day_in - 2 + length[:, None] / 2) % length[:, None] - length[:, None] / 2
    cycle = rise[:, None] * (np.exp(-0.5 * (place / 4) ** 2) - 0.36)
    logs_cycle = (rise > 0) & (rng.random(n) < 0.6)
    cycle_day = np.where(logs_cycle[:, None], np.floor(day_in) + 1, np.nan)
    step_total = rng.normal(0, 0.8, n) + 0.3 * np.sign(rate)
    step_tau = rng.uniform(2, 4, n)
    step = step_total[:, None] * (1 - np.exp(-np.arange(days) / step_tau[:, None]))
    outlier = np.where(rng.random((n, days)) < 0.01, rng.choice([-1, 1], (n, days)), 0)
    outlier = outlier * rng.uniform(1.5, 3.0, (n, days))
    often = np.where(rng.random(n) < 0.25, 0.5, 0.88)
    weighed = rng.random((n, days)) < often[:, None]
    logs = rng.random((n, days)) < 0.9
    wish = rng.normal(0, 150, (n, days))
    slip = rng.normal(0, 200, (n, days)) + np.where(logs, 0, rng.normal(50, 250, (n, days)))
    activity = np.cumsum(rng.normal(0, drift, (n, days)), axis=1)
    sick = np.zeros((n, days), dtype=bool)
    for i in np.flatnonzero(rng.random(n) < 0.2):
        start = rng.integers(15, days - 15)
        sick[i, start : start + 7] = True
    slip = np.where(sick, slip - 0.35 * maintenance[:, None], slip)
    water = water - np.where(sick, 0.8, 0.0)
    logs = logs & ~sick
    return Clients(
        days=days,
        female=female,
        fat0=fat0,
        lean0=lean0,
        maintenance=maintenance,
        rmr=rmr,
        forbes=forbes,
        rate_fraction_per_week=rate,
        bias=rng.uniform(0, bias_top, n) if bias_top else np.zeros(n),
        formula_error=rng.normal(0, 0.10, n),
        noise_sd=noise_sd,
        correlation=correlation,
        water=water,
        week=week,
        cycle=cycle,
        cycle_day=cycle_day,
        step=step,
        step_total=step_total,
        step_tau=step_tau,
        outlier=outlier,
        weighed=weighed,
        logs=logs,
        wish=wish,
        slip=slip,
        activity=activity,
        sick=sick,
        fat_measured=fat0 * np.exp(rng.normal(0, 0.08, n)),
    )
