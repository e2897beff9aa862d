"""What an ideal observer makes of a log before it filters: shapes by day, food, training."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tests.studies.second_world.body import FAT_COST, LEAN_COST
from tests.studies.second_world.client import Client
from tests.studies.second_world.protocol import Facts, Plan, PublicLog, Session, WeighIn
from tests.studies.second_world.worlds import World

USUAL_WATCH = 1.1
USUAL_COMPENSATION = 0.28


@dataclass
class Inputs:
    """Arrays by day, of the length ``days``. [kcal/day, kg; shapes without unit]"""

    days: int
    readings: dict[int, list[WeighIn]]
    eaten: np.ndarray
    eaten_sd: np.ndarray
    creatine: np.ndarray
    cycle: np.ndarray
    pools: np.ndarray
    salt: np.ndarray
    new_scale: np.ndarray
    training: np.ndarray
    """Change of training against the start, as far as told or logged, on the logging scale."""
    training_var: np.ndarray
    """What a change of training adds to the variance of expenditure on its day."""
    extra_noise_kg: float
    recomposition_kg: float
    untold_step_chance: float


def inputs_of(
    log: PublicLog, plan: Plan, facts: Facts, world: World, hidden: Client | None
) -> Inputs:
    """Return what the log says, and the calendar of ``hidden`` where there is one."""
    days = plan.day
    readings: dict[int, list[WeighIn]] = {}
    for reading in log.weigh_ins:
        readings.setdefault(reading.day, []).append(reading)
    eaten, eaten_sd = _eaten(log, days)
    cycle, unknown_cycle = _cycle(log, facts, days, hidden)
    training, training_var, chance = _training(log, days, world, hidden)
    refeeds, travel = np.zeros(days), np.zeros(days)
    for event in log.events:
        into = refeeds if event.what == "refeed" else travel if event.what == "travel" else None
        if into is not None:
            into[event.day : event.until + 1] = 1.0
    if hidden is not None:
        refeeds[[d for d in hidden.calendar.refeeds if d < days]] = 1.0
        travel[[d for d in hidden.calendar.travel if d < days]] = 1.0
    usual = facts.predicted_kcal * world.bias[0]
    return Inputs(
        days=days,
        readings=readings,
        eaten=eaten,
        eaten_sd=eaten_sd,
        creatine=_creatine(log, days, hidden),
        cycle=cycle,
        pools=_lagged(eaten / usual - 1 + 0.2 * refeeds, 1.5),
        salt=_lagged(0.5 * travel, 1.07),
        new_scale=_new_scale(days, hidden),
        training=training,
        training_var=training_var,
        extra_noise_kg=0.25 if unknown_cycle else 0.0,
        recomposition_kg=_recomposition(facts),
        untold_step_chance=chance,
    )


def _eaten(log: PublicLog, days: int) -> tuple[np.ndarray, np.ndarray]:
    """Fill days without a log with what was logged of late."""
    eaten = np.full(days, np.nan)
    for record in log.eaten:
        eaten[record.day] = record.kcal
    sd = np.where(np.isnan(eaten), 450.0, 200.0)
    last = log.plans[0][1]
    for day in range(days):
        if np.isnan(eaten[day]):
            near = eaten[max(0, day - 10) : day]
            eaten[day] = near.mean() if near.size else last
    return eaten, sd


def _lagged(aims: np.ndarray, memory_days: float) -> np.ndarray:
    """Return mornings of a pool that follows each day's aim with a memory."""
    kept, out = math.exp(-1 / memory_days), np.zeros(len(aims))
    for day in range(1, len(aims)):
        out[day] = kept * out[day - 1] + (1 - kept) * aims[day - 1]
    return out


def _creatine(log: PublicLog, days: int, hidden: Client | None) -> np.ndarray:
    start = next((e.day for e in log.events if e.what == "creatine start"), None)
    filling = 4.0
    if hidden is not None and hidden.calendar.creatine_day is not None:
        start, filling = hidden.calendar.creatine_day, hidden.calendar.creatine_days
    if start is None:
        return np.zeros(days)
    return 1 - np.exp(-np.clip(np.arange(days) - start, 0, None) / filling)


def _new_scale(days: int, hidden: Client | None) -> np.ndarray:
    if hidden is None or hidden.calendar.new_scale_day is None:
        return np.zeros(days)
    return (np.arange(days) >= hidden.calendar.new_scale_day).astype(float)


def _cycle(
    log: PublicLog, facts: Facts, days: int, hidden: Client | None
) -> tuple[np.ndarray, bool]:
    """Return the shape of the cycle's water, and whether there is one of unknown time."""
    if not facts.menstruates:
        return np.zeros(days), False
    starts = [record.day for record in log.cycle_starts]
    if hidden is not None:
        length = hidden.person.cycle_days
        phase = (np.arange(days) + hidden.person.cycle_offset) % length
    elif starts:
        length = 28.5 if len(starts) < 2 else (starts[-1] - starts[0]) / (len(starts) - 1)
        phase = (np.arange(days) - starts[-1]) % length
    else:
        return np.zeros(days), True
    angle = 2 * np.pi * (phase - 0.5) / length
    return 1.15 * (np.exp(2.5 * (np.cos(angle) - 1)) - 0.25), False


def _training(
    log: PublicLog, days: int, world: World, hidden: Client | None
) -> tuple[np.ndarray, np.ndarray, float]:
    """Return change of training by day, what it adds to variance, and the chance of untold ones."""
    change, var = np.zeros(days), np.zeros(days)
    chance = {"none": 0.0, "some": 0.3, "untold": 0.98, "logged": 0.0}[world.step]
    known = _told_or_logged(log, days)
    if hidden is not None:
        chance, calendar = 0.0, hidden.calendar
        known = None
        if calendar.step_day is not None and calendar.step_day < days:
            # Told to 15 %, by the same luck each time it is asked.
            wrong = 1 + 0.15 * hidden.luck.normal["scale"][-1]
            known = calendar.step_day, calendar.step_kcal * wrong, 0.15
    if known is not None:
        day, kcal, error = known
        change[day:] = kcal * world.bias[0]
        var[day] = (error * kcal * world.bias[0]) ** 2
        chance = 0.0 if world.step != "some" else min(chance, 0.02)
    return change, var, chance


def _told_or_logged(log: PublicLog, days: int) -> tuple[int, float, float] | None:
    """Return day, real size and relative error of a change that was told or shows in sessions."""
    told = next((e for e in log.events if e.what == "training change"), None)
    if told is not None and told.kcal_per_day is not None:
        return told.day, told.kcal_per_day * (1 - USUAL_COMPENSATION), 0.22
    return _shift(log.sessions, days)


def _shift(sessions: list[Session], days: int) -> tuple[int, float, float] | None:
    """Find the one day at which the size of sessions changed, if it clearly did."""
    if len(sessions) < 6:
        return None
    sizes = np.log([max(20.0, s.net_kcal) for s in sessions])
    best, found = 0.0, None
    for cut in range(3, len(sizes) - 1):
        if sessions[cut].day < 14:
            continue
        before, after = sizes[:cut], sizes[cut:]
        step = np.median(after) - np.median(before)
        clear = abs(step) / (0.22 * math.sqrt(1.5 / len(before) + 1.5 / len(after)))
        if clear > max(best, 5.0):
            best, found = clear, cut
    if found is None:
        return None
    day = sessions[found].day
    start = sessions[0].day
    weekly = sum(s.net_kcal for s in sessions[:found]) / max(7, day - start)
    ratio = math.exp(np.median(sizes[found:]) - np.median(sizes[:found])) - 1
    return min(day, days - 1), weekly * ratio * (1 - USUAL_COMPENSATION) / USUAL_WATCH, 0.3


def _recomposition(facts: Facts) -> float:
    """Return tissue gained a day in energy balance, as the median person does. [kg/day]"""
    lean = 0.04 if facts.lifts and not facts.trained else 0.008
    return lean / 7 * (1 - LEAN_COST / FAT_COST)
