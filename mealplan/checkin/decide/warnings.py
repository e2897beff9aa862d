"""
What in a log should worry a coach, said kindly, with whom to see; and what the client reads of it.

Findings have the same shape as those on a plan (:mod:`mealplan.physiology.guard.door`): what,
why, whom to see, basis. Thresholds are rows of the published tables there; those that are this
module's own are named below as practice. Nothing here is a diagnosis.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from mealplan.checkin.decide.signs import check_signs
from mealplan.checkin.decide.warning_checks import (
    check_adherence,
    check_availability,
    check_illness,
    check_pace,
    check_periods,
)
from mealplan.checkin.decide.watched import WatchedClient
from mealplan.checkin.log.log import Log
from mealplan.checkin.trend.trend import Trend
from mealplan.physiology.guard.door import (
    Finding,
    ordered,
)
from mealplan.redaction import hide_numbers


def find_warnings(
    log: Log, client: WatchedClient, today: dt.date, trend: Trend | None = None
) -> tuple[Finding, ...]:
    """
    Look through a log for what should worry a coach.

    Parameters
    ----------
    log : Log
    client : WatchedClient
    today : date
    trend : Trend, optional
        Without it nothing is said about the pace.

    Returns
    -------
    tuple of Finding
        Gravest first.
    """
    known = log.with_each(e for e in log.entries if e.on <= today)
    found: list[Finding] = []
    if trend is not None:
        found += check_pace(trend, client)
    found += check_availability(known, client, today)
    found += check_periods(known, client, today)
    found += check_illness(known, today)
    found += check_adherence(known, today)
    found += check_signs(known, today, trend, client.bloods)
    return ordered(found)


# ---- what the client reads ----------------------------------------------------------------------

CLIENT_SENTENCES: dict[str, str] = {
    "low energy availability": "Your body seems to be short of energy beside all the training.",
    "unplanned loss": "Your body has changed in a way nobody planned.",
    "plan not fitting": "The plan has not been fitting your days lately.",
    "missed periods": "Your period has stayed away for a while.",
    "several signs together": "Several things have been harder of late.",
}


CLIENT_REASONS: dict[str, str] = {
    "plan not fitting": (
        "That says something about the plan, not about you: tell your coach what gets in the way, "
        "and it can be made easier or larger."
    ),
    "gone quiet": (
        "Life may simply be full. Nothing needs to be made up for; log again when you like."
    ),
    "several signs together": (
        "Each alone is common; together they can mean too little food or rest. Your coach will "
        "look with you; easing off for a week is no step back."
    ),
    "low energy availability": (
        "A body short of energy saves on bone, hormones and defence; the first help is more food "
        "around training. Log it all for a week if you can, and your coach will look with you."
    ),
}
"""What is written for the coach, as the client may read it."""


def for_client(findings: Sequence[Finding], *, hide: bool) -> tuple[Finding, ...]:
    """
    Return the findings as the client may read them, spoken to and not about.

    Parameters
    ----------
    findings : sequence of Finding
    hide : bool
        True for clients who should not see weights or calories: sentences without numbers take
        the place of those with them, and what only a number says is left out.

    Returns
    -------
    tuple of Finding
    """
    spoken = [replace(one, reason=CLIENT_REASONS.get(one.code, one.reason)) for one in findings]
    if not hide:
        return tuple(spoken)
    shown: list[Finding] = []
    for one in spoken:
        if one.code.startswith(("losing over", "gaining over")):
            # The pace is the coach's business; the client hears only when help is needed.
            if one.severity in ("refuse", "override"):
                shown.append(
                    replace(
                        one,
                        code="pace",
                        message="Your body is changing faster than is good for it.",
                        reason="Eating a little more now helps; your coach will talk it over.",
                    )
                )
            continue
        shown.append(
            replace(
                one,
                message=CLIENT_SENTENCES.get(one.code, hide_numbers(one.message)),
                reason=hide_numbers(one.reason),
            )
        )
    return tuple(shown)
