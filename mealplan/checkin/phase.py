"""
Which phases a log holds, and each looked back on against the intake it was run from.

Beside :mod:`mealplan.checkin.decide.status` the only module here that knows an intake.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from mealplan.checkin.decide.log_setup import read_log, unit_of
from mealplan.checkin.energy.expenditure import expenditure_quantity
from mealplan.checkin.log.entries import Event, WeighIn
from mealplan.checkin.log.log import Log
from mealplan.checkin.review.phase_review import review_phase
from mealplan.checkin.review.reviewed import PhaseReview
from mealplan.checkin.trend.trend import trend_of
from mealplan.client.intake import Intake
from mealplan.errors import CheckInError, TooLittleDataError
from mealplan.physiology.weight_change.goals import expected_course
from mealplan.science.quantity import Quantity
from mealplan.targets.body import body_quantities
from mealplan.targets.energy_account import phase_energy, wanted_percent_per_week
from mealplan.targets.expenditure import expenditure
from mealplan.targets.resting import resting_energy

SHORTEST_DAYS = 14
"""Shorter spans are not offered: nothing can be told from them (common practice). [days]"""
LONGEST_DAYS = 366
"""Longer spans are not one phase. [days]"""
HOW_TO_WEIGH = (
    "weigh on waking, after the toilet, before eating and drinking, on the same scale; three "
    "mornings a week are enough to begin with, every morning tells sooner"
)


@dataclass(frozen=True)
class PhaseSpan:
    """A phase by its dates."""

    name: str
    start: dt.date
    end: dt.date

    @property
    def weeks(self) -> int:
        """Whole weeks of it, the last day counted."""
        return round(((self.end - self.start).days + 1) / 7)


@dataclass(frozen=True)
class LookBack:
    """
    A phase looked back on.

    Attributes
    ----------
    span : PhaseSpan
    rate_kg_per_week : float
        What was wanted. [kg/week]
    review : PhaseReview or None
        None while the log is too short for one.
    missing : tuple of str
        Why there is none, and how to get one.
    spent : Quantity or None
        Expenditure learned by the end of the phase, on the client's logging scale. [kcal/day]
    """

    span: PhaseSpan
    rate_kg_per_week: float
    review: PhaseReview | None
    missing: tuple[str, ...]
    spent: Quantity | None


def phases_of(intake: Intake, log: Log, today: dt.date) -> tuple[PhaseSpan, ...]:
    """
    List the phases a log reaches into, the latest first.

    A phase begins on the intake's first day and wherever the log says that one does.

    Parameters
    ----------
    intake : Intake
        The one in force.
    log : Log
    today : date

    Returns
    -------
    tuple of PhaseSpan
        At least one: what was logged so far, or the phase that is to begin.
    """
    known = [entry.on for entry in log.entries if entry.on <= today]
    last = max([*known, min(intake.start, today)])
    named = {
        event.on: event.phase
        for event in log.of(Event)
        if event.what == "phase change" and event.on <= last
    }
    starts = {on for on in (*named, intake.start) if on <= last}
    if known and (not starts or (min(starts) - known[0]).days >= SHORTEST_DAYS):
        starts.add(known[0])
    ordered = sorted(starts or {last})
    spans = []
    for place, start in enumerate(ordered):
        end = ordered[place + 1] - dt.timedelta(days=1) if place + 1 < len(ordered) else last
        newest = place + 1 == len(ordered)
        name = named.get(start) or (intake.goal.phase if newest or start == intake.start else "")
        if newest or (end - start).days + 1 >= SHORTEST_DAYS:
            spans.append(PhaseSpan(name or "earlier", start, end))
    return tuple(reversed(spans))


def look_back(intake: Intake, log: Log, span: PhaseSpan) -> LookBack:
    """
    Look back on a phase against the intake it was run from.

    Parameters
    ----------
    intake : Intake
    log : Log
    span : PhaseSpan

    Returns
    -------
    LookBack
        Without a review, but with what is missing, while the log is too short.

    Raises
    ------
    CheckInError
        When the dates are the wrong way round or a year apart.
    """
    days = (span.end - span.start).days
    if not 0 <= days <= LONGEST_DAYS:
        raise CheckInError(
            f"{span.start} to {span.end} is {days} days, and a phase has 1 to {LONGEST_DAYS}; "
            "check the two dates"
        )
    body = body_quantities(intake)
    rest = resting_energy(intake, body)
    spent = expenditure(intake, rest.quantity)
    energy = phase_energy(intake, body, rest.quantity, spent)
    rate = wanted_percent_per_week(intake.goal, energy) * intake.weight_kg / 100
    missing = _missing(log, span)
    review, learned = None, None
    if not missing:
        course = expected_course(
            energy.baseline,
            energy.change.change_kcal,
            tuple(range(days + 1)),
            fat_fraction=energy.fat_fraction,
            maintenance_sd=spent.quantity.sd / spent.quantity.value,
        )
        within = log.between(span.start, span.end)
        try:
            laid_out, reading = read_log(intake, within, span.end)
            first = next(day.on for day in laid_out.rows if day.mass_kg is not None)
            review = review_phase(
                log,
                span.start,
                span.end,
                rate,
                expected=course,
                unit=unit_of(intake, log),
                trend=trend_of(reading, laid_out, max(first, span.start)),
                bloods=intake.bloods,
            )
            if any(day.intake_kcal is not None for day in laid_out.rows):
                learned = expenditure_quantity(reading)
        except TooLittleDataError as error:
            missing = (f"{error}; {HOW_TO_WEIGH}",)
    return LookBack(span, rate, review, missing, learned)


def _missing(log: Log, span: PhaseSpan) -> tuple[str, ...]:
    """Say why a phase cannot be looked back on yet, and how to get there."""
    weighed = {w.on for w in log.of(WeighIn) if span.start <= w.on <= span.end}
    days = (span.end - span.start).days + 1
    said = f"{span.start.day} {span.start:%B} and {span.end.day} {span.end:%B %Y}"
    if not weighed:
        return (f"there is no weigh-in between {said}: {HOW_TO_WEIGH}",)
    reach = (max(weighed) - min(weighed)).days + 1
    missing = []
    if len(weighed) < 6:
        missing.append(
            f"{len(weighed)} {'day' if len(weighed) == 1 else 'days'} weighed between {said}; it "
            f"takes 6 at least, and about four weeks to tell a slow change from water: "
            f"{HOW_TO_WEIGH}"
        )
    if days < SHORTEST_DAYS or reach < SHORTEST_DAYS:
        missing.append(
            f"the weigh-ins reach over {reach} {'day' if reach == 1 else 'days'}; under "
            f"{SHORTEST_DAYS} a change of weight is mostly water: look back again later, or choose "
            "an earlier first day"
        )
    return tuple(missing)
