"""
Lives of clients with the real planner: planned, changed, logged, taken back, amended, time passing.

``python -m tests.studies.running_plan --sequences 200 --lines lives.jsonl`` goes on where the lines
stop; ``--out api/RUNNING_PLAN.md`` writes what they say. After every doing is looked at: no meal
that has passed or was logged has moved; what is taken back is exactly as it was; every day from
today on is within its tolerances, or its plan or its last change says why.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import random
import sys
import time
from collections import Counter
from pathlib import Path

from api.desk.planning import start_day, start_week
from api.desk.service import Service
from api.jobs.kinds import run_of
from api.jobs.tasks import EatenInstead
from api.records.book import Records
from api.records.view import Principal, Stale
from api.settings import Settings
from mealplan.client.read import parse_intake
from mealplan.errors import IntakeError, NoPlanError
from mealplan.jobs import error_of
from mealplan.jobs.at_once import AtOnce
from mealplan.plan import EATEN
from mealplan.store.base import NotThere
from mealplan.store.records import Coach, new_id
from tests.mealplan.store.memory import MemoryStore

FIRST = dt.date(2026, 11, 30)
DOINGS = 12
"""Doings of one life, after its first days were planned."""
ENERGY_BAND = 0.02
"""Energy of a day may be this share from what its meals are to bring."""
INSTEAD = (
    ("1 banana", (("banana", 118.0),), 0.0),
    ("pizza", (), 800.0),
    ("2 slices of toast", (), 180.0),
)
BODIES = (
    {"role": "club lifter", "sex": "male", "age_years": 29, "height_cm": 180, "weight_kg": 82,
     "goal": {"phase": "hold"}, "activity": {"method": "multiplier", "pal": 1.7}},
    {"role": "club runner", "sex": "female", "age_years": 33, "height_cm": 167, "weight_kg": 60,
     "goal": {"phase": "hold"}, "activity": {"method": "multiplier", "pal": 1.8},
     "tastes": {"allergies": ["gluten"]}},
    {"role": "office cook", "sex": "female", "age_years": 45, "height_cm": 170, "weight_kg": 72,
     "goal": {"phase": "cut"}, "activity": {"method": "multiplier", "pal": 1.7}},
    {"role": "club boxer", "sex": "male", "age_years": 24, "height_cm": 176, "weight_kg": 70,
     "goal": {"phase": "gain"}, "activity": {"method": "multiplier", "pal": 1.9},
     "tastes": {"allergies": ["soy"]}},
)  # fmt: skip


class Clock:
    """The clock of one life."""

    def __init__(self):
        self.at = dt.datetime.combine(FIRST, dt.time(5), dt.UTC)

    def now(self):
        self.at += dt.timedelta(microseconds=1)
        return self.at

    def today(self):
        return self.at.date()


class Life:
    """One client over random doings."""

    def __init__(self, seed):
        self.chance = random.Random(seed)
        self.clock = Clock()
        self.settings = Settings(
            now=self.clock.now, today=self.clock.today, patience_s=600, longest_s=600
        )
        store = MemoryStore()
        jobs = AtOnce(store, run_of(self.settings, lambda: jobs), self.settings.now)
        self.service = Service(store, self.settings, jobs)
        coach = Coach(new_id(), self.clock.now(), "north", "")
        with store.writing() as unit:
            unit.add(coach)
        self.records = Records(store, self.settings, Principal("coach", coach.id, "coach"))
        body = BODIES[seed % len(BODIES)]
        intake = parse_intake(body | {"start": FIRST.isoformat(), "time_zone": "UTC"})
        self.id = self.records.clients.take_on(intake).id
        self.eaten = {}
        self.done = Counter()
        self.faults = []
        self.days = self.off = 0

    @property
    def client(self):
        return self.records.clients.one(self.id)

    @property
    def running(self):
        return self.records.plans.running(self.client)

    def ahead(self):
        return [date for date in self.running.dates if date >= self.clock.today()]

    def did(self, what, job=None):
        error = error_of(job.error) if job is not None else None
        if error is not None:
            raise error
        self.done[what] += 1

    def plan(self, days=None):
        first = self.clock.today() + dt.timedelta(days=self.chance.choice((0, 1, 2, 7)))
        days = days or self.chance.choice((1, 2, 2))
        self.did("planned", start_week(self.service, self.records, self.client, first, days))

    def change(self):
        dates = self.ahead()
        if not dates:
            return
        date = self.chance.choice(dates)
        slots = [meal.slot for meal in self.running.days[date].day.meals]
        another = [self.chance.choice(slots)] if self.chance.random() < 0.6 else None
        job = start_day(self.service, self.records, self.client, date, another=another,
                        keep=[s for s in slots if another and s not in another])  # fmt: skip
        self.did("changed", job)

    def log_else(self):
        date = self.clock.today()
        if date not in self.running.days:
            return
        slot = self.chance.choice([meal.slot for meal in self.running.days[date].day.meals])
        name, foods, kcal = self.chance.choice(INSTEAD)
        before = self.eaten.pop((date, slot), None)
        try:
            job = start_day(self.service, self.records, self.client, date, another=[],
                            eaten=[EatenInstead(slot, name, foods, kcal)])  # fmt: skip
            self.did("ate something else", job)
        except Exception:
            if before is not None:
                self.eaten[date, slot] = before
            raise
        self.records.marks.say(self.client, date, slot, "ate else", name)

    def log_as_planned(self):
        dates = self.ahead()
        if dates:
            date = self.chance.choice(dates[:2])
            slot = self.chance.choice([meal.slot for meal in self.running.days[date].day.meals])
            if self.running.days[date].day.meals[slot].dish != EATEN:
                self.records.marks.say(self.client, date, slot, "ate")
                self.did("ate as planned")

    def take_back(self):
        client = self.client
        now = self.running
        if client.plan_number < 2 or client.plan_number not in now.revisions:
            return
        before = self.records.plans.running(client, client.plan_number - 1)
        self.records.plans.undo(client, client.plan_number)
        self.did("taken back")
        after = self.running
        if {d: h.day for d, h in after.days.items()} != {d: h.day for d, h in before.days.items()}:
            self.faults.append("taking back did not restore")
        for (date, slot), meal in list(self.eaten.items()):
            was = before.days[date].day.meals[slot] if date in before.days else None
            if meal.dish == EATEN and (was is None or was.dish != EATEN):
                del self.eaten[date, slot]

    def amend(self):
        client = self.client
        intake = self.records.intakes.in_force(client)
        data = intake.model_dump(mode="json")
        data["activity"]["pal"] = round(self.chance.choice((1.6, 1.7, 1.8, 1.9)), 1)
        changed = parse_intake({key: value for key, value in data.items() if value is not None})
        self.records.intakes.amend(self.id, changed, "another step", client.intake_number)
        self.did("targets amended")

    def accept(self):
        self.amend()
        dates = self.ahead()
        if dates:
            first = self.records.plans.first_open(self.client, dates[0])
            job = start_week(self.service, self.records, self.client, first, 2)
            self.did("planned anew for it", job)

    def pass_time(self):
        self.clock.at += dt.timedelta(hours=self.chance.choice((1, 4, 9, 30)))
        self.done["time passed"] += 1

    def remember(self):
        for date, held in self.running.days.items():
            for slot in self.records.plans.settled(self.client, held.day):
                self.eaten.setdefault((date, slot), held.day.meals[slot])

    def check(self, doing):
        running = self.running
        for (date, slot), meal in self.eaten.items():
            if date not in running.days or running.days[date].day.meals[slot] != meal:
                self.faults.append(f"{doing} moved {meal.label} on {date}")
        for date in self.ahead():
            day, revision = running.days[date].day, running.revisions[running.days[date].revision]
            self.days += 1
            short = [line.label for line in day.missed if line.priority == "must"]
            if abs(day.energy_kcal - day.energy_target_kcal) > ENERGY_BAND * day.energy_target_kcal:
                short.append("Energy")
            self.off += bool(short)
            said = self.said_of(date, revision.number)
            untold = [label for label in short if label.lower() not in said]
            if untold:
                self.faults.append(f"{doing}: {date} is off and says nothing of {untold}")

    def said_of(self, date, number):
        running = self.running
        sheet = running.plan_of(running.sheet_of(date))
        rows = [row for row in self.records.plans.changes(self.client) if row.number >= number]
        return " ".join([*sheet.explanation, *(row.reason for row in rows)]).lower()

    def live(self):
        self.plan(2)
        self.remember()
        doings = (
            *(self.plan, self.change, self.change, self.log_else, self.log_as_planned),
            *(self.take_back, self.amend, self.accept, self.pass_time, self.pass_time),
        )
        for _ in range(DOINGS):
            doing = self.chance.choice(doings)
            try:
                doing()
            except (NoPlanError, IntakeError, Stale, NotThere) as error:
                self.done[f"refused: {type(error).__name__}"] += 1
            self.check(doing.__name__)
            self.remember()


def lived(seed):
    """Live one life and say what became of it."""
    begun = time.process_time()
    life = Life(seed)
    life.live()
    return {
        "seed": seed,
        "done": dict(life.done),
        "days": life.days,
        "off": life.off,
        "faults": life.faults,
        "cpu_s": round(time.process_time() - begun, 1),
    }


def told(lines):
    """Say as Markdown what the lives came to."""
    done = sum((Counter(line["done"]) for line in lines), Counter())
    faults = [f"life {line['seed']}: {fault}" for line in lines for fault in line["faults"]]
    days, off = (sum(line[name] for line in lines) for name in ("days", "off"))
    off_after = sum(line["off"] for line in lines if "ate something else" in line["done"])
    rows = "\n".join(f"| {what} | {count} |" for what, count in sorted(done.items()))
    return (
        "# A running plan with the real planner\n\n"
        f"Made by `python -m tests.studies.running_plan --sequences {len(lines)} --lines "
        "lives.jsonl --out api/RUNNING_PLAN.md`: four\ninvented clients in turn, their first two "
        f"days planned, then {DOINGS} doings at random each, looked at after\neach one.\n\n"
        f"{len(lines)} lives, {sum(done.values())} doings, {days} days of plans looked at: {off} "
        f"had a must or their energy out of\ntolerance, {off_after} of them in lives in which "
        f"something else was eaten. Faults: {len(faults)}.\n\n"
        "| doing | times |\n| - | - |\n" + rows + "\n\n"
        + ("\n".join(f"- {fault}" for fault in faults) if faults else
           "No meal that had passed or was logged moved, taking back restored every day exactly, "
           "and every day out\nof tolerance was said to be so.")
        + f"\n\nProcessor time: {sum(line['cpu_s'] for line in lines):,.0f} s.\n"
    )  # fmt: skip


def main():
    """Live the lives that are missing, then write what all of them say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sequences", type=int, default=200)
    parser.add_argument("--lines", type=Path, required=True)
    parser.add_argument("--most-s", type=float, default=1e9, help="stop after so many seconds")
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    until = time.monotonic() + asked.most_s
    text = asked.lines.read_text() if asked.lines.exists() else ""
    lines = [json.loads(line) for line in text.splitlines()]
    for seed in sorted(set(range(asked.sequences)) - {line["seed"] for line in lines}):
        if time.monotonic() > until:
            break
        lines.append(lived(seed))
        with asked.lines.open("a") as kept:
            kept.write(json.dumps(lines[-1]) + "\n")
        sys.stderr.write(f"{lines[-1]}\n")
    if asked.out:
        asked.out.write_text(told(sorted(lines, key=lambda line: line["seed"])))


if __name__ == "__main__":
    main()
