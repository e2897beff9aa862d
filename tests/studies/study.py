"""
The simulation study: does the check-in tell the truth, and is it quick enough?

``python tests/studies/study.py --clients 500 --out mealplan/checkin/STUDY.md`` writes the tables.
"""

from __future__ import annotations

import argparse
import dataclasses
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from coaches import CHECK_IN_DAYS, COST_PER_KG, EveryWeighIn, Ideal, Learner, WeeklyMeans, World
from simulated_clients import draw

from mealplan.checkin import decision

BAND = 1.645


def groups(clients):
    """Split by how the check-in treats the monthly pattern."""
    logged = ~np.isnan(clients.cycle_day[:, 0])
    return {
        "none": ~clients.female,
        "logged": clients.female & logged,
        "unlogged": clients.female & ~logged,
    }


def first_target(clients, formula):
    mass = clients.fat0 + clients.lean0
    return formula + clients.rate_fraction_per_week * mass / 7 * COST_PER_KG


def target_with_gap(clients, gap, day=28):
    """Find the target at which the plan lacks ``gap`` kcal on a day, draws of chance left out."""
    still = dataclasses.replace(
        clients,
        slip=np.zeros_like(clients.slip),
        wish=np.zeros_like(clients.wish),
        activity=np.zeros_like(clients.activity),
    )
    target = first_target(clients, clients.maintenance * (1 - clients.bias))
    for _ in range(6):
        world = World(still, target)
        for _ in range(day):
            world.morning()
            world.eat()
        target = target + (world.gap() - gap) / 0.75
    return target


def coverage(clients):
    """Follow every client for a phase without moving anything; one row a client and check-in."""
    rows = []
    for monthly, member in groups(clients).items():
        part = clients.take(member)
        formula = part.maintenance * (1 + part.formula_error)
        world = World(part, first_target(part, formula))
        learner, ideal = Learner(part, formula, monthly), Ideal(part, formula, monthly)
        for t in range(part.days):
            reading = world.morning()
            learner.see(world, reading)
            ideal.see(world, reading)
            if t in CHECK_IN_DAYS:
                truth = world.expenditure(learner.usual)
                slope = (learner.usual - learner.now) / learner.density
                level, level_sd = learner.level()
                gap, gap_sd = learner.gap(world, learner.now, learner.now_sd)
                ideal_gap, ideal_sd = ideal.gap(world)
                rows.append(
                    {
                        "day": np.full(world.n, t),
                        "kcal_error": learner.now - truth,
                        "kcal_sd": np.hypot(learner.now_sd, slope * learner.density_sd),
                        "level_error": level - world.level[:, t],
                        "level_sd": level_sd,
                        "slope_error": 7 * (slope - world.slope(learner.usual)),
                        "slope_sd": 7 * learner.now_sd / learner.density,
                        "gap_error": gap - world.gap(),
                        "gap_sd": gap_sd,
                        "ideal_error": ideal_gap - world.gap(),
                        "ideal_sd": ideal_sd,
                        "bias": part.bias,
                    }
                )
            if t < part.days - 1:
                world.eat()
                learner.night(world)
                ideal.night(world)
    return {key: np.concatenate([row[key] for row in rows]) for key in rows[0]}


def inside(error, sd):
    return float((np.abs(error) < BAND * sd).mean())


def detection(clients, gap):
    """Days until each first says, rightly, which way a constant error goes; inf when never."""
    tool, tool_weekly, best, best_weekly = [], [], [], []
    for monthly, member in groups(clients).items():
        part = clients.take(member)
        if not len(part):
            continue
        target = target_with_gap(part, gap)
        formula = target - (first_target(part, np.zeros(len(part))))
        world = World(part, target)
        learner, ideal = Learner(part, formula, monthly), Ideal(part, formula, monthly)
        days = [np.full(len(part), np.inf) for _ in range(4)]
        for t in range(part.days):
            reading = world.morning()
            learner.see(world, reading)
            ideal.see(world, reading)
            if t >= 7:
                ours = learner.verdicts(world)
                estimate, sd = ideal.gap(world)
                sure = np.abs(estimate) / sd > BAND
                theirs = np.sign(estimate) * (
                    sure & (np.abs(estimate) >= decision.SMALLEST_GAP_KCAL)
                )
                for place, said in ((0, ours), (2, theirs)):
                    right = said == np.sign(gap)
                    days[place] = np.where(right, np.minimum(days[place], t), days[place])
                    if t % 7 == 0:
                        weekly = np.minimum(days[place + 1], t)
                        days[place + 1] = np.where(right, weekly, days[place + 1])
            if t < part.days - 1:
                world.eat()
                learner.night(world)
                ideal.night(world)
        for store, values in zip((tool, tool_weekly, best, best_weekly), days, strict=True):
            store.append(values)
    return tuple(np.concatenate(x) for x in (tool, tool_weekly, best, best_weekly))


def phase(clients, make, *, first=None, every_day=False):
    """Run one coach for twelve weeks; count moves and say where the clients end."""
    totals = {
        "moves": [],
        "false": [],
        "wrong way": [],
        "end gap": [],
        "start gap": [],
        "end error": [],
    }
    for monthly, member in groups(clients).items():
        part = clients.take(member)
        if not len(part):
            continue
        if first is None:
            formula = part.maintenance * (1 + part.formula_error)
        else:
            formula = target_with_gap(part, first) - first_target(part, np.zeros(len(part)))
        world = World(part, first_target(part, formula))
        coach = make(part, formula, monthly)
        moves, false, wrong = np.zeros(world.n), np.zeros(world.n), np.zeros(world.n)
        for t in range(part.days):
            coach.see(world, world.morning())
            if t == 14:
                totals["start gap"].append(world.gap())
            if t in CHECK_IN_DAYS or (every_day and t):
                before = world.gap()
                step = coach.steps(world)
                world.target = world.target + step
                after = world.gap()
                moved = step != 0
                moves += moved
                false += moved & (np.abs(after) > np.abs(before))
                wrong += moved & (np.sign(step) != np.sign(before))
            if t < part.days - 1:
                world.eat()
                coach.night(world)
        totals["moves"].append(moves)
        totals["false"].append(false)
        totals["wrong way"].append(wrong)
        totals["end gap"].append(world.gap())
        if hasattr(coach, "gap") and hasattr(coach, "now"):
            gap, _ = coach.gap(world, coach.now, coach.now_sd)
            totals["end error"].append(gap - world.gap())
    return {key: np.concatenate(value) if value else None for key, value in totals.items()}


COACHES = {
    "this program": (lambda c, f, m: Learner(c, f, m), False),
    "ideal observer": (lambda c, f, m: Ideal(c, f, m), False),
    "weekly means": (lambda c, f, m: WeeklyMeans(c), False),
    "every weigh-in": (lambda c, f, m: EveryWeighIn(c), True),
}


def tables(n, seed):
    """Run everything and return the report as Markdown."""
    out = []
    started = time.perf_counter()
    clients = draw(n, seed)
    seen = coverage(clients)
    out += ["## Do the 90 % bands hold the truth?", ""]
    out += [
        "| day | expenditure | level | slope | gap | ideal observer's gap |",
        "|---|---|---|---|---|---|",
    ]
    for day in (*CHECK_IN_DAYS, "all"):
        w = np.ones(len(seen["day"]), bool) if day == "all" else seen["day"] == day
        cells = [
            inside(seen[f"{k}_error"][w], seen[f"{k}_sd"][w])
            for k in ("kcal", "level", "slope", "gap", "ideal")
        ]
        out.append(f"| {day} | " + " | ".join(f"{100 * x:.1f} %" for x in cells) + " |")
    out += ["", "## How far off is it?", ""]
    out += [
        "| day | gap: mean error | its spread | stated SD | ideal observer's spread | level: spread |",
        "|---|---|---|---|---|---|",
    ]
    for day in CHECK_IN_DAYS:
        w = seen["day"] == day
        out.append(
            f"| {day} | {seen['gap_error'][w].mean():+.0f} kcal | {seen['gap_error'][w].std():.0f} | "
            f"{seen['gap_sd'][w].mean():.0f} | {seen['ideal_error'][w].std():.0f} | "
            f"{seen['level_error'][w].std():.2f} kg |"
        )
    out += ["", "## How long until a true error of 250 kcal is told?", ""]
    out += [
        "| error | looking | this program | ideal observer | ratio | never in 12 weeks |",
        "|---|---|---|---|---|---|",
    ]
    pooled = []
    for gap in (250.0, -250.0):
        pooled.append(detection(clients, gap))
        out += _detection_rows(f"{gap:+.0f}", pooled[-1])
    out += _detection_rows("both", tuple(np.concatenate(x) for x in zip(*pooled, strict=True)))
    out += ["", "## Moves in twelve weeks", ""]
    for title, first in (("clients as they come", None), ("clients whose plan is right", 0.0)):
        out += [f"### {title}", ""]
        out += [
            "| coach | moves | false moves | wrong way | gap left (mean size) | gap left (mean) |",
            "|---|---|---|---|---|---|",
        ]
        for name, (make, every_day) in COACHES.items():
            r = phase(clients, make, first=first, every_day=every_day)
            out.append(
                f"| {name} | {r['moves'].mean():.2f} | {r['false'].mean():.2f} | "
                f"{r['wrong way'].mean():.2f} | {np.abs(r['end gap']).mean():.0f} kcal | "
                f"{r['end gap'].mean():+.0f} kcal |"
            )
        out.append("")
    out += ["## Does a constant logging bias spoil the next target?", ""]
    out += [
        "| share never logged | error of the needed intake at week 12 | gap left | its mean size |",
        "|---|---|---|---|",
    ]
    for bias in (0.0, 0.08, 0.15, 0.18):
        biased = dataclasses.replace(clients, bias=np.full(len(clients), bias))
        r = phase(biased, COACHES["this program"][0])
        out.append(
            f"| {100 * bias:.0f} % | {r['end error'].mean():+.0f} kcal | "
            f"{r['end gap'].mean():+.0f} kcal | {np.abs(r['end gap']).mean():.0f} kcal |"
        )
    out += ["", f"{n} clients, seed {seed}, {time.perf_counter() - started:.0f} s on one core.", ""]
    return "\n".join(out)


def _detection_rows(label, result):
    rows = []
    for looking, ours, best in (("daily", result[0], result[2]), ("weekly", result[1], result[3])):
        a, b = np.median(ours) / 7, np.median(best) / 7
        rows.append(
            f"| {label} | {looking} | {a:.1f} weeks | {b:.1f} weeks | {a / b:.2f} | "
            f"{100 * np.isinf(ours).mean():.0f} % against {100 * np.isinf(best).mean():.0f} % |"
        )
    return rows


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--clients", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path)
    options = parser.parse_args()
    text = tables(options.clients, options.seed)
    if options.out:
        options.out.write_text(text)
    else:
        sys.stdout.write(text)


if __name__ == "__main__":
    main()
