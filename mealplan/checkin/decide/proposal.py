"""
What to do about the daily energy: move it, hold it, or wait for more data, with the working.

The numbers come from :mod:`mealplan.checkin.energy.expenditure`, the rule from
:mod:`mealplan.checkin.decide.decision`. The coach has the last word
(:mod:`mealplan.checkin.decide.record`).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import asdict

from mealplan.checkin.decide import decision as rule
from mealplan.checkin.decide.decision import Evidence, RuleOutcome, decide
from mealplan.checkin.decide.proposed import (
    ExpenditureChange,
    Proposal,
    RailKept,
    Terms,
    clamp_step,
)
from mealplan.checkin.decide.waiting import mornings_words, next_look, waiting_words
from mealplan.checkin.energy.expenditure import (
    Shift,
    equivalent_sd,
    expenditure_quantity,
    mornings_until,
    needed_row,
    shift,
    slope,
)
from mealplan.checkin.energy.expenditure import gap as gap_of
from mealplan.checkin.energy.log_reading import LogReading
from mealplan.checkin.energy.mixture import Mixture
from mealplan.checkin.log.days import Day
from mealplan.checkin.log.entries import KG_PER_UNIT, WeighIn
from mealplan.checkin.log.log import Log
from mealplan.science.quantity import Quantity, derive, given

RECENT_DAYS = 28


def work_out_gap(reading: LogReading, terms: Terms) -> tuple[Quantity, ...]:
    """
    Work out how far the plan is from what the wanted rate needs.

    Parameters
    ----------
    reading : LogReading
    terms : Terms

    Returns
    -------
    tuple of Quantity
        Expenditure, stored density, wanted rate, needed intake and, last, the gap.
    """
    believed = gap_of(reading, terms.target_kcal, terms.rate_kg_per_week)
    spent = expenditure_quantity(reading, terms.target_kcal)
    body = reading.setup.body
    density = given(
        "stored_density_kcal_per_kg",
        "energy stored in a kilogram of change",
        reading.density_kcal_per_kg,
        "kcal/kg",
        sd=body.density_sd_kcal_per_kg,
        error_name="stored energy density",
        method=(
            f"{100 * body.share(reading.direction):.0f} % of a change in this direction is taken "
            "to be fat, by fatness, training and protein"
        ),
        source="Forbes, Ann N Y Acad Sci 904, 2000; Hall, Int J Obes 32, 2008",
        provenance="published",
    )
    rate = given(
        "rate_kg_per_week", "wanted rate", terms.rate_kg_per_week, "kg/week", source="the plan"
    )
    needed = Quantity(
        key="needed_kcal",
        label="intake the wanted rate needs",
        value=terms.target_kcal + believed.mean,
        unit="kcal/day",
        method=(
            "planned + (expenditure at the plan + rate × stored density ÷ 7 − planned) ÷ "
            f"{1.0 - body.thermic_fraction:.1f}: a tenth of extra food is spent at once"
        ),
        source="energy balance",
        provenance="published",
        inputs=(spent, density, rate),
        components={"weigh-ins, eating and what came before": equivalent_sd(believed)},
        note="On your logging scale: it holds for intake logged as before.",
    )
    planned = given(
        "planned_kcal", "planned intake", terms.target_kcal, "kcal/day", source="the plan"
    )
    gap = derive(
        "gap_kcal",
        "gap between needed and planned",
        "kcal/day",
        lambda needed, planned: needed - planned,
        {"needed": needed, "planned": planned},
        method="needed − planned",
        source="arithmetic",
        provenance="worked by hand",
    )
    return spent, density, rate, needed, gap


def propose(
    log: Log,
    terms: Terms,
    reading: LogReading | None,
    today: dt.date,
    questions: tuple[str, ...] = (),
) -> Proposal:
    """
    Propose to move the daily energy, to hold it, or to wait.

    Parameters
    ----------
    log : Log
        Entries after ``today`` are not looked at.
    terms : Terms
    reading : LogReading or None
        Of the log up to today; None where there is nothing to read.
    today : date
    questions : tuple of str
        Readings the client should confirm.

    Returns
    -------
    Proposal
    """
    weigh_ins = [w for w in log.of(WeighIn) if w.on <= today]
    rows = () if reading is None else reading.rows
    eaten = sum(day.intake_kcal is not None for day in rows)
    if reading is None or len(weigh_ins) < 2 or not eaten:
        return _too_little(terms, today, len(weigh_ins), eaten)
    gap = gap_of(reading, terms.target_kcal, terms.rate_kg_per_week)
    recent = [day for day in rows[-RECENT_DAYS:] if not day.disturbed]
    evidence = Evidence(
        gap=gap,
        weigh_ins=sum(day.mass_kg is not None for day in recent),
        logged_days=sum(day.intake_kcal is not None for day in recent),
        days_since_move=None if terms.last_move is None else (today - terms.last_move).days,
        disturbed=rows[-1].disturbed,
    )
    made = _written(reading, gap, terms, evidence, decide(evidence))
    return made.model_copy(update={"questions": questions})


def _weekly_weigh_ins(rows: tuple[Day, ...]) -> float:
    """Return how often this client weighs, in days a week over the last four weeks."""
    recent = rows[-RECENT_DAYS:]
    days = sum(day.mass_kg is not None for day in recent)
    return min(7.0, max(1.0, 7.0 * days / len(recent)))


def _too_little(terms: Terms, today: dt.date, weigh_ins: int, eaten: int) -> Proposal:
    missing = max(rule.FEWEST_WEIGH_INS - weigh_ins, 1)
    reasons = [f"{weigh_ins} weigh-ins and {eaten} days of eating on record so far"]
    if not eaten:
        reasons.append(
            "without eating on record, expenditure cannot be told from intake: log days as "
            "planned, roughly or other"
        )
    return Proposal(
        on=today,
        verdict="wait",
        target_kcal=terms.target_kcal,
        step_kcal=0.0,
        new_target_kcal=terms.target_kcal,
        floor_kcal=terms.floor_kcal,
        chance=None,
        more_weigh_ins=missing,
        summary=f"Too early to tell: {_count(missing)} before a first look.",
        reasons=tuple(reasons),
    )


def more_weigh_ins_needed(
    reading: LogReading, gap: Mixture, terms: Terms, evidence: Evidence
) -> int | None:
    """
    Tell after how many more weigh-ins the data will say move or hold, the gap staying as it is.

    Parameters
    ----------
    reading : LogReading
    gap : Mixture
        [kcal/day]
    terms : Terms
    evidence : Evidence

    Returns
    -------
    int or None
        None when sixteen weeks would not do.
    """
    wanted = max(rule.widest_settled(gap.mean), rule.widest_clear(gap.mean))
    if wanted <= 0:
        return None
    row, _ = needed_row(reading, terms.rate_kg_per_week)
    # Members of the bank that lie apart are taken as one, as wide as their band.
    as_one = equivalent_sd(gap) / gap.sd
    until = mornings_until(reading, row, wanted / as_one, _weekly_weigh_ins(reading.rows))
    fewest = max(
        rule.FEWEST_WEIGH_INS - evidence.weigh_ins,
        rule.FEWEST_LOGGED_DAYS - evidence.logged_days,
        1,
    )
    return None if until is None else max(until, fewest)


def _written(
    reading: LogReading, gap: Mixture, terms: Terms, evidence: Evidence, outcome: RuleOutcome
) -> Proposal:
    working, moved = work_out_gap(reading, terms), shift(reading)
    step = clamp_step(outcome.step_kcal, terms)
    verdict, more = outcome.verdict, None
    if verdict == "move" and step == 0:
        verdict = "hold"
        summary = (
            f"Hold {terms.target_kcal:,.0f} kcal: less would go below "
            f"{terms.floor_kcal:,.0f} kcal, {terms.floor_reason}. Change the goal or the pace "
            "instead, or see a registered dietitian."
        )
    elif verdict == "move":
        summary = (
            f"Move by {step:+.0f} kcal to {terms.target_kcal + step:,.0f} kcal a day, then watch "
            f"for at least {rule.DAYS_BETWEEN_MOVES} days."
        )
    elif verdict == "hold":
        summary = f"Hold {terms.target_kcal:,.0f} kcal: the plan is about right."
    else:
        more = more_weigh_ins_needed(reading, gap, terms, evidence)
        summary = _wait_sentence(outcome, gap, more, reading)
    return Proposal(
        on=reading.rows[-1].on,
        verdict=verdict,
        target_kcal=terms.target_kcal,
        step_kcal=step,
        new_target_kcal=terms.target_kcal + step,
        floor_kcal=terms.floor_kcal,
        chance=outcome.chance,
        more_weigh_ins=more,
        summary=summary,
        reasons=_reasons(reading, gap, terms, outcome, step, moved),
        working=(*working, _step_quantity(working[-1], step)),
        rails=tuple(RailKept(key=r.key, kept=r.kept, text=r.text) for r in outcome.rails),
        changed=None if moved is None else ExpenditureChange.model_validate(asdict(moved)),
    )


def _reasons(
    reading: LogReading,
    gap: Mixture,
    terms: Terms,
    outcome: RuleOutcome,
    step: float,
    moved: Shift | None,
) -> tuple[str, ...]:
    """Say what the verdict rests on."""
    factor = KG_PER_UNIT[terms.unit]
    pace = slope(reading)
    slowest, fastest = pace.band
    low, high = gap.band
    side = "low" if gap.mean > 0 else "high"
    reasons = [
        f"by scale and eating together weight goes {pace.mean / factor:+.2f} "
        f"{terms.unit} a week, 90 % range "
        f"{slowest / factor:+.2f} to {fastest / factor:+.2f}, against the wanted "
        f"{terms.rate_kg_per_week / factor:+.2f}",
        f"the plan is {abs(gap.mean):.0f} kcal a day too {side} by the data, 90 % range "
        f"{low:+.0f} to {high:+.0f}; the chance that it is too {side} at all is "
        f"{100 * outcome.chance:.0f} %",
    ]
    if outcome.moving_kcal < outcome.waiting_kcal:
        a_week = 7.0 / reading.density_kcal_per_kg / factor
        reasons.append(
            f"a week of waiting leaves weight about {outcome.waiting_kcal * a_week:.2f} "
            f"{terms.unit} off its course, a week after the step "
            f"{outcome.moving_kcal * a_week:.2f}"
        )
    elif outcome.verdict == "wait":
        reasons += waiting_words(reading, gap, pace.mean, outcome.waiting_kcal, terms.unit)
    if moved is not None:
        reasons.append(moved.words)
    reasons += [rail.text for rail in outcome.rails if not rail.kept]
    if outcome.step_kcal != step:
        reasons.append(f"the step of {outcome.step_kcal:+.0f} kcal stops at the floor")
    if outcome.verdict == "wait":
        reasons.append(next_look(reading.rows[-1].on))
    return tuple(reasons)


def _wait_sentence(
    outcome: RuleOutcome, gap: Mixture, more: int | None, reading: LogReading
) -> str:
    failed = [rail for rail in outcome.rails if not rail.kept]
    if failed and rule.step_for(gap):
        return f"Wait, although the data leans one way: {failed[0].text}."
    if more is None:
        return "Wait: it is too close to call, and weighing alone will not settle it soon."
    by_then = mornings_words(reading.rows[-1].on, more, _weekly_weigh_ins(reading.rows))
    return f"Wait: the data cannot tell yet; about {_count(more)} will{by_then}."


def _count(weigh_ins: int) -> str:
    return "1 more weigh-in" if weigh_ins == 1 else f"{weigh_ins} more weigh-ins"


def _step_quantity(gap: Quantity, step_kcal: float) -> Quantity:
    return Quantity(
        key="step_kcal",
        label="proposed step",
        value=step_kcal,
        unit="kcal/day",
        method=(
            "of all steps towards the gap, in tens up to "
            f"{rule.LARGEST_STEP_KCAL:.0f} kcal, the one that brings the plan nearest, less "
            f"{rule.FALSE_MOVE_COSTS_KCAL:.0f} kcal times the chance that it does not help: that "
            f"the gap is below {rule.SMALLEST_GAP_KCAL:.0f} kcal or half the step. None where that "
            "saves nothing; never below the floor"
        ),
        source="coaching practice",
        provenance="common practice",
        inputs=(gap,),
    )
