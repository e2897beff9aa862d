"""
The product's check-in as a policy for the second world: its own log, days, filter and rule.

``python -m tests.studies.second_world --policy tests.studies.product_policy:product`` runs it
beside the yardsticks. Nothing here estimates anything: records become log entries, the product
reads them and proposes, and what it believes is handed on.
"""

from __future__ import annotations

import datetime as dt

from mealplan.checkin.decide import decision
from mealplan.checkin.decide.proposal import propose
from mealplan.checkin.decide.proposed import Terms
from mealplan.checkin.energy.expenditure import Prior, gap, level, slope, spent
from mealplan.checkin.energy.log_reading import LogReading
from mealplan.checkin.energy.mixture import Mixture
from mealplan.checkin.energy.partition import Energetics, energetics_of
from mealplan.checkin.energy.reading import read
from mealplan.checkin.energy.setup import set_up
from mealplan.checkin.log.days import DIRECTIONS, daily
from mealplan.checkin.log.entries import (
    AnyEntry,
    CycleDay,
    Event,
    IntakeRecord,
    ScanRecord,
    Steps,
    TrainingDone,
    WeighIn,
    WeighInConditions,
)
from mealplan.checkin.log.log import Log, log_of
from mealplan.errors import TooLittleDataError
from mealplan.physiology.resting.equations import cunningham_1980
from tests.studies.second_world.protocol import Band, Facts, Plan, PublicLog, Verdict

PREDICTED_SD = 0.10
"""Spread of predicted expenditure, as the product's targets have it (common practice)."""
FLOOR_KCAL = 800.0
"""As the runner of the study keeps it. [kcal/day]"""


def entries_of(facts: Facts, log: PublicLog) -> Log:
    """
    Write a public log down as the product's own entries.

    Parameters
    ----------
    facts : Facts
    log : PublicLog

    Returns
    -------
    Log
    """

    def on(day: int) -> dt.date:
        return facts.first_day + dt.timedelta(days=day)

    def clock(hour: float | None) -> dt.time | None:
        return None if hour is None else dt.time(int(hour) % 24, int(hour % 1 * 60))

    found: list[AnyEntry] = [
        WeighIn(
            on=on(w.day),
            mass_kg=w.kg,
            at=clock(w.hour),
            conditions=WeighInConditions(
                fasted=w.fasted, clothed=w.clothed, usual_scale=w.usual_scale
            ),
        )
        for w in log.weigh_ins
    ]
    found += [
        IntakeRecord(
            on=on(e.day), adherence="other", kcal=e.kcal, planned_kcal=log.planned_on(e.day)
        )
        for e in log.eaten
    ]
    found += [
        TrainingDone(on=on(s.day), what="session", minutes=s.minutes, net_kcal=s.net_kcal)
        for s in log.sessions
    ]
    found += [Steps(on=on(s.day), count=round(s.count)) for s in log.steps]
    found += [
        Event(on=on(e.day), until=on(e.until), what=e.what, kcal_per_day=e.kcal_per_day)
        for e in log.events
    ]
    found += [CycleDay(on=on(c.day), day=1) for c in log.cycle_starts]
    found += [ScanRecord(on=on(s.day), fat_kg=s.fat_kg, lean_kg=s.lean_kg) for s in log.scans]
    return log_of(found)


def body_of(facts: Facts) -> Energetics:
    """
    Say how a client's body answers, from the facts of the intake form.

    Parameters
    ----------
    facts : Facts

    Returns
    -------
    Energetics
    """
    fat = facts.body_fat_fraction * facts.mass_kg
    lean = facts.mass_kg - fat
    resting = cunningham_1980(lean)
    return energetics_of(
        fat,
        lean,
        resting,
        max(facts.predicted_kcal / resting, 1.2),
        trained=facts.trained,
        lifts=facts.lifts,
        protein_g_per_kg=facts.protein_g_per_kg,
    )


class Product:
    """
    The check-in under test.

    Parameters
    ----------
    cost_kcal : float
        What a move that does not help costs; the product's own when left out. [kcal/day]
    """

    name = "product"

    def __init__(self, cost_kcal: float = decision.FALSE_MOVE_COSTS_KCAL) -> None:
        self.cost_kcal = cost_kcal
        self.reading: LogReading | None = None

    def start(self, facts: Facts) -> None:
        """Begin with a new client."""
        self.facts, self.reading, self.last_move = facts, None, None

    def look(self, log: PublicLog, plan: Plan) -> Verdict:
        """Read the log as the product does and hand on its proposal."""
        facts, today = self.facts, self.facts.first_day + dt.timedelta(days=plan.day)
        entries = entries_of(facts, log)
        try:
            rows = daily(entries, facts.first_day, today).rows
        except TooLittleDataError:
            return Verdict()
        setup = set_up(
            rows,
            Prior(facts.predicted_kcal, PREDICTED_SD * facts.predicted_kcal).on_logging_scale(),
            body_of(facts),
            direction=DIRECTIONS[plan.phase],
            training_kcal=facts.training_kcal,
            has_cycle=facts.menstruates,
        )
        self.reading = read(rows, setup, self.reading)
        terms = Terms(
            target_kcal=plan.kcal,
            rate_kg_per_week=plan.rate_kg_per_week,
            last_move=self.last_move,
            floor_kcal=FLOOR_KCAL,
        )
        kept, decision.FALSE_MOVE_COSTS_KCAL = decision.FALSE_MOVE_COSTS_KCAL, self.cost_kcal
        try:
            proposal = propose(entries, terms, self.reading, today)
        finally:
            decision.FALSE_MOVE_COSTS_KCAL = kept
        if proposal.step_kcal:
            self.last_move = today
        return Verdict(
            move_kcal=proposal.step_kcal,
            gap=_band(gap(self.reading, plan.kcal, plan.rate_kg_per_week)),
            level=_band(level(self.reading)),
            slope=_band(slope(self.reading)),
            expenditure=_band(spent(self.reading)),
            why=proposal.summary,
        )


def _band(believed: Mixture) -> Band:
    return Band(believed.mean, *believed.band)


def product(sure: float | None = None) -> Product:
    """
    Make the policy.

    Parameters
    ----------
    sure : float, optional
        How careful, on the scale of the yardsticks: a move that does not help is as dear as a week
        ``100 sure / (1 - sure)`` kcal off. The product's own when left out.

    Returns
    -------
    Product
    """
    return Product() if sure is None else Product(100.0 * sure / (1.0 - sure))
