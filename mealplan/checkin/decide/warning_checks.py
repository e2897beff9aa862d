"""What each look through a log finds: pace, energy, periods, illness and days off plan."""

from __future__ import annotations

import datetime as dt
from statistics import fmean

from mealplan.checkin.decide.watched import WatchedClient, ill_spells, logged_kcal
from mealplan.checkin.log.entries import CycleDay, Event, Feeling, IntakeRecord, TrainingDone
from mealplan.checkin.log.log import Log
from mealplan.checkin.trend.trend import Trend
from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.availability import read_availability, weekly_availability
from mealplan.physiology.guard.door import (
    BOTH,
    DIETITIAN,
    PHYSICIAN,
    Finding,
    Severity,
    finding,
)
from mealplan.physiology.tables import constants

_T = constants("safety_thresholds")
ILL_SPELLS, ILL_WINDOW_DAYS = 3, 90
"""Three spells of illness in three months are worth a look (common practice)."""
COLLAPSE_WINDOW_DAYS = 14
COLLAPSE_SHARE = 0.5
"""Fewer than half of the last fortnight's recorded days near the plan (common practice)."""
SILENT_DAYS = 10
"""So many days without any entry (common practice)."""
LONG_CYCLE_DAYS = 45
"""A first sign before three months have passed (common practice). [days]"""
DAYS_PER_MONTH = 30.4375


def _own(code: str, severity: Severity, message: str, reason: str, see: str) -> Finding:
    return Finding(code, severity, message, reason, see, "good practice", "common practice")


def check_pace(trend: Trend, client: WatchedClient) -> list[Finding]:
    """
    Warn when weight surely goes faster than it should.

    A pace counts only when the whole 90 % band lies past the limit; when just the best estimate
    does, it is a note.

    Parameters
    ----------
    trend : Trend
    client : WatchedClient

    Returns
    -------
    list of Finding
    """
    level = trend.level_kg
    pace, slow, fast = (
        100 * value / level
        for value in (
            trend.slope_kg_per_week,
            trend.slope_low_kg_per_week,
            trend.slope_high_kg_per_week,
        )
    )
    found: list[Finding] = []
    limits = (("loss_rate", PHYSICIAN, "refuse"), ("loss_percent", DIETITIAN, "warn"))
    for key, see, grave in limits:
        limit = _T[key].value
        if pace < -limit:
            sure = fast < -limit
            severity: Severity = ("override" if grave == "refuse" else "warn") if sure else "note"
            found.append(
                finding(
                    f"losing over {limit:g} % a week",
                    severity,
                    f"Weight is going down by {-pace:.1f} % a week ({-fast:.1f} to {-slow:.1f}), "
                    f"faster than {limit:g} %.",
                    "Fast loss takes muscle and mood with it; eating a little more now keeps more "
                    "of the training.",
                    see if sure else "",
                    _T[key],
                )
            )
            break
    for key in ("gain_refuse", "gain_warn"):
        limit = _T[key].value
        if pace > limit:
            found.append(
                finding(
                    f"gaining over {limit:g} % a week",
                    "warn" if slow > limit else "note",
                    f"Weight is going up by {pace:.1f} % a week ({slow:.1f} to {fast:.1f}), faster "
                    f"than {limit:g} %.",
                    "Past this pace most of what is added is fat; a slower gain builds as much.",
                    DIETITIAN if slow > _T["gain_refuse"].value else "",
                    _T[key],
                )
            )
            break
    return found + _unplanned_loss(trend, client)


def _unplanned_loss(trend: Trend, client: WatchedClient) -> list[Finding]:
    if client.losing_planned:
        return []
    last = trend.days[-1]
    for key, days in (("loss_month", 30), ("loss_half_year", 182)):
        before = [d for d in trend.days if (last.on - d.on).days >= days - 2]
        if not before:
            continue
        start = before[-1]
        lost = 100 * (start.level_kg - last.level_kg) / start.level_kg
        if lost > _T[key].value and last.high_kg < start.low_kg:
            return [
                finding(
                    "unplanned loss",
                    "override",
                    f"Weight has fallen {lost:.1f} % in {(last.on - start.on).days} days without "
                    "anybody planning it.",
                    "Loss nobody meant can have a medical cause, and most are easy to look for.",
                    PHYSICIAN,
                    _T[key],
                )
            ]
    return []


def check_availability(log: Log, client: WatchedClient, today: dt.date) -> list[Finding]:
    """
    Warn when a week's intake leaves too little beside training.

    Parameters
    ----------
    log : Log
    client : WatchedClient
        Without fat-free mass nothing is worked out.
    today : date

    Returns
    -------
    list of Finding
    """
    if client.ffm_kg is None:
        return []
    week = [today - dt.timedelta(days=back) for back in range(7, 0, -1)]
    intake = {r.on: k for r in log.of(IntakeRecord) if (k := logged_kcal(r)) is not None}
    exercise: dict[dt.date, float | None] = dict.fromkeys(week, 0.0)
    for session in log.of(TrainingDone):
        if session.on in exercise:
            so_far = exercise[session.on]
            cost = session.net_kcal
            exercise[session.on] = None if so_far is None or cost is None else so_far + cost
    try:
        value = weekly_availability(
            [intake.get(day) for day in week], [exercise[day] for day in week], client.ffm_kg
        )
    except IntakeError:
        return []  # too few complete days to say anything
    reading = read_availability(value, client.sex)
    if reading.level != "low":
        return []
    return [
        finding(
            "low energy availability",
            "override" if reading.sure else "warn",
            f"Last week's eating less training left about {value.value:.0f} kcal for each "
            f"kilogram of fat-free mass a day ({value.low:.0f} to {value.high:.0f}); "
            f"{reading.words.split(': ', 1)[-1]}.",
            "A body short of energy saves on bone, hormones and defence; the first help is more "
            "food around training. Logged food usually runs low, so check the log first; training "
            "that is not on record counts as none, so the true figure may be lower.",
            BOTH if reading.sure else DIETITIAN,
            _T["ea_low"],
        )
    ]


def check_periods(log: Log, client: WatchedClient, today: dt.date) -> list[Finding]:
    """
    Warn when a period that was expected has not come.

    Parameters
    ----------
    log : Log
    client : WatchedClient
    today : date

    Returns
    -------
    list of Finding
    """
    days = log.of(CycleDay)
    if not (client.periods_expected and days):
        return []
    last = days[-1]
    now = last.day + (today - last.on).days
    months = now / DAYS_PER_MONTH
    limit = _T["missed_periods"].value
    if months >= limit:
        return [
            finding(
                "missed periods",
                "override",
                f"The last period on record began {now} days ago, {months:.0f} months.",
                "Periods that stay away are the body's clearest sign of too little energy, and "
                "can have other causes; both are worth knowing early.",
                BOTH,
                _T["missed_periods"],
            )
        ]
    if now >= LONG_CYCLE_DAYS:
        return [
            _own(
                "long cycle",
                "note",
                f"The last period on record began {now} days ago.",
                "One long cycle is common; if it was not just left out of the log, eat a little "
                "more and watch the next.",
                "",
            )
        ]
    return []


def check_illness(log: Log, today: dt.date) -> list[Finding]:
    """
    Warn when illness keeps coming back.

    Parameters
    ----------
    log : Log
    today : date

    Returns
    -------
    list of Finding
    """
    spells = ill_spells(log, today - dt.timedelta(days=ILL_WINDOW_DAYS), today)
    if spells < ILL_SPELLS:
        return []
    return [
        _own(
            "repeated illness",
            "warn",
            f"{spells} spells of illness in the last three months.",
            "Colds that keep coming back can mean too little food or rest, or something a blood "
            "test would show.",
            PHYSICIAN,
        )
    ]


def check_adherence(log: Log, today: dt.date) -> list[Finding]:
    """
    Warn when eating has left the plan, or the client has gone quiet.

    Parameters
    ----------
    log : Log
    today : date

    Returns
    -------
    list of Finding
    """
    entries = [e for e in log.entries if not isinstance(e, Event)]
    if not entries:
        return []
    quiet = (today - entries[-1].on).days
    if quiet >= SILENT_DAYS:
        return [
            _own(
                "gone quiet",
                "note",
                f"Nothing has been logged for {quiet} days.",
                "A message costs little; life may simply be full. Nothing needs to be made up for.",
                "",
            )
        ]
    since = today - dt.timedelta(days=COLLAPSE_WINDOW_DAYS - 1)
    excused = log.days_of("sick", "travel")
    recent = [r for r in log.of(IntakeRecord) if r.on >= since and r.on not in excused]
    planned = [r for r in recent if not _counted_near(r)]
    if len(recent) < 6 or len(planned) <= len(recent) * (1 - COLLAPSE_SHARE):
        return []
    hunger = [f.hunger for f in log.of(Feeling) if f.on >= since and f.hunger is not None]
    hungry = bool(hunger) and fmean(hunger) >= 4
    return [
        _own(
            "plan not fitting",
            "warn",
            f"{len(planned)} of the last {len(recent)} recorded days went otherwise than planned"
            + (", and hunger was high" if hungry else "")
            + ".",
            "That says something about the plan, not about the person: ask what gets in the way, "
            "and make it easier or larger before making it stricter.",
            "",
        )
    ]


def _counted_near(record: IntakeRecord) -> bool:
    """Return whether a day was near its plan, by what was said or by what was counted."""
    if record.kcal is not None and record.planned_kcal:
        return abs(record.kcal / record.planned_kcal - 1) <= 0.15
    return record.adherence != "other" or (record.kcal is not None and not record.planned_kcal)
