"""The course of body mass as inline SVG: readings, level and band on a ruled scale."""

from __future__ import annotations

import datetime as dt
import math

from mealplan.checkin.trend import Trend, TrendDay

WIDTH, HEIGHT = 640, 240
LEFT, RIGHT, TOP, BOTTOM = 44, 12, 10, 26
MOST_DAYS = 120
"""Days shown, the last ones. [days]"""


def trend_plot(trend: Trend) -> str:
    """
    Draw a trend.

    Parameters
    ----------
    trend : Trend

    Returns
    -------
    str
        An ``svg`` element with a text alternative; readings set aside are drawn hollow.
    """
    days = trend.days[-MOST_DAYS:]
    readings = [day.reading_kg for day in days if day.reading_kg is not None]
    low = min(min(day.low_kg for day in days), *readings)
    high = max(max(day.high_kg for day in days), *readings)
    step = _step((high - low) or 1.0)
    bottom, top = math.floor(low / step) * step, math.ceil(high / step) * step
    if top <= bottom:
        top = bottom + step
    span = max(len(days) - 1, 1)

    def x(place: int) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * place / span

    def y(kg: float) -> float:
        return TOP + (HEIGHT - TOP - BOTTOM) * (top - kg) / (top - bottom)

    parts = []
    for number in range(round((top - bottom) / step) + 1):
        kg = bottom + number * step
        parts.append(
            f'<line class="grade" x1="{LEFT}" y1="{y(kg):.1f}" x2="{WIDTH - RIGHT}"'
            f' y2="{y(kg):.1f}"/><text x="{LEFT - 6}" y="{y(kg) + 4:.1f}" class="at-end">'
            f"{kg:.1f}</text>"
        )
    parts += [
        f'<text x="{x(place):.1f}" y="{HEIGHT - 6}" class="at-middle">'
        f"{day.on.day} {day.on:%b}</text>"
        for place, day in enumerate(days)
        if _named(place, len(days), day.on)
    ]
    upper = " ".join(f"{x(i):.1f},{y(day.high_kg):.1f}" for i, day in enumerate(days))
    lower = " ".join(f"{x(i):.1f},{y(d.low_kg):.1f}" for i, d in reversed(list(enumerate(days))))
    level = " ".join(f"{x(i):.1f},{y(day.level_kg):.1f}" for i, day in enumerate(days))
    parts.append(f'<polygon class="band" points="{upper} {lower}"/>')
    parts.append(f'<polyline class="level" points="{level}" fill="none"/>')
    parts += [
        f'<circle class="{"reading aside" if day.set_aside else "reading"}" cx="{x(i):.1f}"'
        f' cy="{y(day.reading_kg):.1f}" r="2.6"/>'
        for i, day in enumerate(days)
        if day.reading_kg is not None
    ]
    return (
        f'<svg class="course" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="'
        f'{_said(trend, days)}">{"".join(parts)}</svg>'
    )


def _step(span: float) -> float:
    """Space the ruled lines so that there are three to eight of them; in kilograms."""
    return next((step for step in (0.2, 0.5, 1.0, 2.0, 5.0) if span / step <= 6), 10.0)


def _named(place: int, count: int, on: dt.date) -> bool:
    """Say whether a day's date is written: Mondays, as many as there is room for."""
    every = 1 + count // 56
    return on.weekday() == 0 and (on.isocalendar().week % every == 0) and place < count - 1


def _said(trend: Trend, days: tuple[TrendDay, ...]) -> str:
    first, last = days[0], days[-1]
    return (
        f"Body mass from {first.on:%d %B} to {last.on:%d %B}: level {first.level_kg:.1f} to "
        f"{last.level_kg:.1f} kg, now {trend.slope_kg_per_week:+.2f} kg a week, band "
        f"{last.low_kg:.1f} to {last.high_kg:.1f} kg"
    )
