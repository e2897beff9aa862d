"""
Twelve invented weeks of two demo clients, lived through by the dynamic energy-balance model.

``python -m mealplan.demo.life`` writes ``mealplan/demo/histories/``; the same seed gives the same
bytes. Fat, lean tissue and adaptation follow
:mod:`mealplan.physiology.weight_change.energy_balance` from what was truly eaten; the scale adds
the noise that is published about scales and water. The coach decides on the program's own
proposals. What a client does and says is made up.
"""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Literal

from mealplan.checkin.decide.record import DecisionRecord, record_decision
from mealplan.checkin.decide.status import intake_after, standing
from mealplan.checkin.log.entries import (
    AnyEntry,
    Event,
    Feeling,
    Girth,
    IntakeRecord,
    MassUnit,
    RmrTest,
    ScanRecord,
    TestResult,
    TrainingDone,
    WeighIn,
    WeighInConditions,
)
from mealplan.checkin.log.log import Log
from mealplan.client.intake import Intake
from mealplan.demo.folders import demo_intake
from mealplan.demo.scripts import DAYS, FIRST_CHECK_IN_WEEK, SCRIPTS, Script
from mealplan.physiology.weight_change.energy_balance import Baseline, State, simulate
from mealplan.science.units import CM_PER_INCH, KG_PER_LB
from mealplan.targets.make import make_targets

NOISE_FRACTION = 0.006
"""Scatter of one morning weigh-in, as a share of body mass (published: 0.5 to 0.7 %)."""
CARRY_OVER = 0.3
"""Likeness of neighbouring days' scatter (published: 0.2 to 0.4)."""
SLOW_KG, SLOW_DAYS = 0.15, 10.0
"""Drift of water and gut content and how long it lasts (assumption). [kg, days]"""
WEEK_FRACTION = 0.00175
"""Half of the week's swing, highest on Sunday and Monday (published: about 0.35 % in all)."""
SETTLING_DAYS = 3.0
SICK_KG = -0.8
EATING_SD = {"as planned": 110.0, "roughly": 220.0, "other": 120.0}
"""Scatter of what is truly eaten about what is recorded (assumption). [kcal/day]"""


@dataclass
class _Life:
    """One client from day to day."""

    script: Script
    intake: Intake
    entries: list[AnyEntry] = field(default_factory=list)
    decisions: list[DecisionRecord] = field(default_factory=list)
    eaten_kcal: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.chance = Random(self.script.seed)
        self.start = self.intake.start
        scan = self.intake.scan
        assert scan is not None, "the demo clients were scanned"
        weight = self.intake.weight_kg
        fat = scan.fat_kg if scan.fat_kg is not None else weight * (scan.fat_percent or 0) / 100
        found = {line.key: line.value for line in make_targets(self.intake).worksheet}
        rest = found.get("resting_energy_kcal", found["resting_energy_predicted_kcal"])
        spent = found["expenditure_kcal"] * self.script.true_over_predicted
        self.body = Baseline(fat, weight - fat, rest, spent / rest)
        self.noise, self.slow = 0.0, 0.0

    def states(self, days: int) -> tuple[State, ...]:
        """Give the body from the first day to this one."""
        eaten = self.eaten_kcal
        return simulate(
            self.body,
            lambda day: (eaten[day] if day < len(eaten) else 0.0) - self.body.intake_kcal,
            days,
            fat_fraction=self.script.fat_fraction,
        )

    def on(self, day: int) -> dt.date:
        return self.start + dt.timedelta(days=day)

    def absent(self, day: int) -> bool:
        return day in self.script.away


def live(script: Script) -> tuple[Log, tuple[DecisionRecord, ...]]:
    """
    Live through a script.

    Parameters
    ----------
    script : Script

    Returns
    -------
    log : Log
        From the first scan to the end of the phase.
    decisions : tuple of DecisionRecord
    """
    life = _Life(script, demo_intake(script.client))
    _first_day(life)
    in_force = life.intake
    for day in range(DAYS):
        if day and day % 7 == 0 and day // 7 >= FIRST_CHECK_IN_WEEK and not life.absent(day):
            in_force = _check_in(life, in_force, day)
        planned = make_targets(in_force).on_date(life.on(day)).energy_kcal
        state = life.states(day)[-1]
        _weigh(life, day, state)
        _eat(life, day, planned)
        if not life.absent(day):
            life.entries += _train(life, day)
            life.entries += _feel(life, day)
            life.entries += _measure(life, day, state)
    return Log(entries=tuple(life.entries)), tuple(life.decisions)


def _first_day(life: _Life) -> None:
    """Write what is known before the phase begins, and the two spells that break the routine."""
    script, body = life.script, life.body
    scan = life.intake.scan
    assert scan is not None
    life.entries.append(
        ScanRecord(
            on=scan.date or life.start,
            fat_kg=round(body.fat_kg, 2),
            lean_kg=round(body.lean_kg, 2),
            machine="university laboratory",
        )
    )
    phase = life.intake.goal.phase
    life.entries.append(Event(on=life.start, what="phase change", phase=phase))
    sick = (life.on(script.sick.start), life.on(script.sick.stop - 1))
    life.entries.append(Event(on=sick[0], until=sick[1], what="sick", note="a cold with fever"))
    if script.travels:
        away = (life.on(script.away.start), life.on(script.away.stop - 1))
        life.entries.append(
            Event(
                on=away[0], until=away[1], what="travel", note="no scale, written down afterwards"
            )
        )


def _check_in(life: _Life, in_force: Intake, day: int) -> Intake:
    """Ask for a proposal on a Monday morning; a move is answered as the script says."""
    log = Log(entries=tuple(e for e in life.entries if e.on <= life.on(day)))
    proposal = standing(in_force, log, tuple(life.decisions), life.on(day)).proposal
    if proposal.verdict != "move":
        return in_force
    answers = life.script.answers
    action, reason, step = answers[min(len(life.decisions), len(answers) - 1)]
    if step is not None:
        step = math.copysign(step, proposal.step_kcal)
    made = record_decision(
        proposal, action, by="coach", on=life.on(day), reason=reason, step_kcal=step
    )
    kcal = {name: round(getattr(made, name), 1) for name in ("old_target_kcal", "new_target_kcal")}
    made = made.model_copy(update=kcal)
    life.decisions.append(made)
    return intake_after(in_force, made)


def _water(life: _Life, day: int, mass_kg: float) -> float:
    """Draw what the scale shows beside fat and lean tissue."""
    script, chance = life.script, life.chance
    fresh = chance.gauss(0, NOISE_FRACTION * mass_kg * math.sqrt(1 - CARRY_OVER**2))
    life.noise = CARRY_OVER * life.noise + fresh
    keep = math.exp(-1 / SLOW_DAYS)
    life.slow = keep * life.slow + chance.gauss(0, SLOW_KG * math.sqrt(1 - keep**2))
    week = WEEK_FRACTION * mass_kg * math.cos(2 * math.pi * (life.on(day).weekday() - 6.5) / 7)
    settled = script.settling_kg * (1 - math.exp(-day / SETTLING_DAYS))
    return life.noise + life.slow + week + settled + (SICK_KG if day in script.sick else 0.0)


def _weigh(life: _Life, day: int, state: State) -> None:
    shown = state.weight_kg + _water(life, day, state.weight_kg)
    weighs = life.chance.random() < (0.6 if day in life.script.sick else 0.9)
    at = dt.time(6, life.chance.randrange(25, 55))
    if life.absent(day) or not (weighs or day in (0, life.script.slip, DAYS - 7)):
        return
    kg, lb = round(shown, 1), round(shown / KG_PER_LB, 1)
    unit: MassUnit = "lb" if life.script.pounds else "kg"
    slipped = day == life.script.slip
    life.entries.append(
        WeighIn(
            on=life.on(day),
            at=at,
            value=lb if life.script.pounds != slipped else kg,
            unit=unit,
            conditions=WeighInConditions(fasted=True, after_toilet=True, usual_scale=True),
        )
    )


def _eat(life: _Life, day: int, planned_kcal: float) -> None:
    """Record how the eating went, and eat."""
    chance, script = life.chance, life.script
    draw, slip = chance.random(), chance.gauss(0, 1)
    planned = round(planned_kcal, 1)
    otherwise = {on: (what, kcal) for on, what, kcal in script.eaten}
    kcal: float | None = None
    what = ""
    how: Literal["as planned", "roughly", "other"]
    if day in otherwise:
        how, (what, kcal) = "other", otherwise[day]
    elif day in script.sick:
        how, what, kcal = "other", "soup, bread and fruit", round(0.7 * planned, -1)
    elif day in script.away and script.travels:
        how = "roughly"
    else:
        how = "as planned" if draw < 0.78 else "roughly"
    intended = planned if kcal is None else kcal
    life.eaten_kcal.append(intended + EATING_SD[how] * slip)
    recorded = chance.random() < 0.93 and not life.absent(day)
    if recorded or day in otherwise:
        life.entries.append(
            IntakeRecord(
                on=life.on(day),
                adherence=how,
                planned_kcal=planned,
                kcal=kcal,
                what=what,
            )
        )


def _train(life: _Life, day: int) -> Iterator[AnyEntry]:
    for weekday, what, minutes, net_kcal in life.script.sessions:
        if life.on(day).weekday() != weekday:
            continue
        done, effort = life.chance.random() < 0.94, life.chance.choice((3, 3, 4, 4, 5))
        if done and day not in life.script.sick:
            yield TrainingDone(
                on=life.on(day), what=what, minutes=minutes, net_kcal=net_kcal, effort=effort
            )


def _feel(life: _Life, day: int) -> Iterator[AnyEntry]:
    ill = day in life.script.sick
    if not ill and life.on(day).weekday() not in (2, 6):
        return
    chance = life.chance
    later = day / DAYS if life.intake.goal.phase == "cut" else 0.0

    def step(usual: float) -> int:
        return min(5, max(1, round(usual + chance.gauss(0, 0.6))))

    yield Feeling(
        on=life.on(day),
        hunger=step(1.5 if ill else life.script.hunger + 1.2 * later),
        sleep=step(2.5 if ill else 3.9 - 0.8 * later),
        illness=step(4.6) if ill else 1,
        soreness=step(2.0 if ill else 2.6),
        digestion=step(2.6 if ill else 4.0),
    )


def _measure(life: _Life, day: int, state: State) -> Iterator[AnyEntry]:
    """Girths every other Sunday, tests, and the scan and resting test of the last week."""
    script, chance = life.script, life.chance
    fat, lean = state.fat_kg - life.body.fat_kg, state.lean_kg - life.body.lean_kg
    if day % 14 == 6 or day == 0:
        for site, begin, by_fat, by_lean in script.girths:
            cm = begin + by_fat * fat + by_lean * lean + chance.gauss(0, 0.4)
            inches = round(cm / CM_PER_INCH * 8) / 8
            yield Girth(
                on=life.on(day),
                site=site,
                value=inches if script.pounds else round(cm, 1),
                unit="in" if script.pounds else "cm",
            )
    for on, name, value, unit in script.tests:
        if on == day:
            yield TestResult(on=life.on(day), name=name, value=value, unit=unit)
    if day == DAYS - 7:
        first = next(e for e in life.entries if isinstance(e, ScanRecord))
        yield ScanRecord(
            on=life.on(day),
            fat_kg=round(state.fat_kg + chance.gauss(0, first.rms_sd_fat_kg), 2),
            lean_kg=round(
                state.lean_kg + script.settling_kg + chance.gauss(0, first.rms_sd_lean_kg), 2
            ),
            machine=first.machine,
        )
        if life.intake.resting_test is not None:
            yield RmrTest(
                on=life.on(day),
                kcal=round(life.body.rmr_kcal + 22 * lean + chance.gauss(0, 60)),
                fasted=True,
                device=life.intake.resting_test.device,
            )


def history_text(script: Script) -> str:
    """
    Write a client's twelve weeks as they are kept.

    Parameters
    ----------
    script : Script

    Returns
    -------
    str
        JSON; one line an entry.
    """
    log, decisions = live(script)
    lines = ",\n".join(
        "    " + json.dumps({"kind": entry.kind} | _plain(entry)) for entry in log.entries
    )
    made = ",\n".join("    " + json.dumps(d.model_dump(mode="json")) for d in decisions)
    start = demo_intake(script.client).start.isoformat()
    return (
        f'{{\n  "client": "{script.client}",\n  "start": "{start}",\n'
        f'  "entries": [\n{lines}\n  ],\n  "decisions": [\n{made}\n  ]\n}}\n'
    )


def _plain(entry: AnyEntry) -> dict[str, object]:
    """Give what differs from the usual; the log makes identifiers of its own."""
    plain: dict[str, object] = entry.model_dump(
        mode="json", exclude_defaults=True, exclude={"id", "kind"}
    )
    return plain


def main(folder: Path = Path(__file__).parent / "histories") -> None:
    """Write every history into a folder."""
    for script in SCRIPTS:
        path = folder / f"{script.client}.json"
        path.write_text(history_text(script), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
