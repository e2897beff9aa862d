"""One line a client, as the roster shows it: trend, proposal, what is old, plan until."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from api.pages.coach_contexts import RosterLine
from api.records.book import Records
from api.records.roster_priority import needs
from mealplan.checkin.decide.status import Standing
from mealplan.checkin.log.entries import KG_PER_UNIT, MassUnit
from mealplan.errors import MealPlanError
from mealplan.render.html import with_minus
from mealplan.store.records import Client


def line_of(records: Records, client: Client) -> RosterLine:
    """
    Say of a client what a coach's Monday needs, in one line.

    Parameters
    ----------
    records : Records
    client : Client

    Returns
    -------
    RosterLine
        The log is looked at only where it was read today, so that a long roster stays quick.
    """
    today = records.settings.today()
    known = client.logged_on is not None and client.read_on == today
    standing = _standing(records, client) if known else None
    proposal = standing.proposal if standing is not None else None
    return RosterLine(
        client=client,
        needs=needs(replace(client, move_kcal=0.0) if known else client, today),
        trend=_trend(records, client, standing),
        verdict=proposal.verdict if proposal is not None else "",
        step_kcal=client.move_kcal if known else 0.0,
        new_target_kcal=proposal.new_target_kcal if proposal is not None else 0.0,
        summary=proposal.summary if proposal is not None else "",
        reasons=proposal.reasons if proposal is not None else (),
        questions=len(standing.trend.questions) if standing and standing.trend else 0,
        warned=bool(client.warning) or client.gravest in ("refuse", "override"),
        behind=is_behind(records, client),
        first=first_open_day(records, client),
        note=next(iter(records.notes.all(client)), None),
    )


def _standing(records: Records, client: Client) -> Standing | None:
    try:
        return records.decisions.standing(client)
    except MealPlanError:
        return None  # the roster names a log that cannot be read


def _trend(records: Records, client: Client, standing: Standing | None) -> str:
    if standing is None:
        return ""
    if standing.trend is None:
        return "too few weigh-ins"
    units = records.intakes.in_force(client).kitchen.units
    unit: MassUnit = "lb" if units == "us" else "kg"
    slope, low, high = (
        value / KG_PER_UNIT[unit]
        for value in (
            standing.trend.slope_kg_per_week,
            standing.trend.slope_low_kg_per_week,
            standing.trend.slope_high_kg_per_week,
        )
    )
    return with_minus(f"{slope:+.2f} {unit} a week ({low:+.2f} to {high:+.2f})")


def is_behind(records: Records, client: Client) -> bool:
    """
    Say whether days to come were planned from older targets than those in force.

    Parameters
    ----------
    records : Records
    client : Client

    Returns
    -------
    bool
    """
    if not client.plan_number or client.intake_number == 1:
        return False
    still_open = records.plans.first_open(client, records.plans.today(client))
    dates = [date for date in records.plans.running(client).dates if date >= still_open]
    return bool(records.plans.status(client, dates).behind)


def first_open_day(records: Records, client: Client) -> dt.date:
    """
    Say from which day a coach would plan next.

    Parameters
    ----------
    records : Records
    client : Client

    Returns
    -------
    date
        The day after the planned ones; where the plan is from older targets, its first day that has
        not begun.
    """
    today = max(client.start, records.plans.today(client))
    if is_behind(records, client):
        return records.plans.first_open(client, today)
    if client.planned_until is None:
        return today
    return max(client.planned_until + dt.timedelta(days=1), today)
