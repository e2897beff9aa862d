"""Invented clients for the tests of targets, each by what they do."""

from __future__ import annotations

from typing import Any

from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake

PLAIN: dict[str, Any] = {
    "role": "office worker",
    "sex": "male",
    "age_years": 40,
    "height_cm": 180,
    "weight_kg": 78,
    "start": "2026-11-30",
    "sessions_per_week": 0,
    "goal": {"phase": "hold"},
    "activity": {"method": "multiplier", "pal": 1.5},
}


def client(**changes: Any) -> Intake:
    """Make a client from the plain one with some fields changed."""
    return parse_intake(PLAIN | changes)


def training(*sessions: tuple[str, str, float], **changes: Any) -> Intake:
    """Make a client with sessions of (day, activity, minutes)."""
    listed = [{"day": day, "activity": what, "minutes": long} for day, what, long in sessions]
    activity = {"method": "component", "everyday_factor": 1.3, "sessions": listed}
    return client(activity=activity, **changes)


def decided(*findings: str) -> list[dict[str, str]]:
    """Record a physician's decisions."""
    return [
        {
            "finding": finding,
            "by": "physician",
            "reason": "seen in clinic, follow-up booked",
            "until": "2027-12-31",
        }
        for finding in findings
    ]
