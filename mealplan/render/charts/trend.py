"""The course of body mass as inline SVG: readings, level and band on a ruled scale."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from mealplan.checkin.log.entries import KG_PER_UNIT, MassUnit
from mealplan.checkin.trend.trend import Trend, TrendDay

WIDTH, HEIGHT = 640, 240
LEFT, TOP, BOTTOM = 54, 12, 28
MOST_DAYS = 120
"""Days shown, the last ones. [days]"""
MOST_DATES = 6
"""Dates written along the foot; more run into each other on a phone."""


class Reading(Protocol):
    """A day that may hold a reading."""

    @property
    def reading_kg(self) -> float | None:
        """Mass as read, in kg."""

    @property
    def set_aside(self) -> bool:
        """Whether the trend did not believe it."""


@dataclass(frozen=True)
class Frame:
    """
    The ruled ground of a drawing: one day a step to the right, masses upwards.

    Attributes
    ----------
    dates : tuple of date
        Day by day.
    bottom_kg, top_kg : float
        Ends of the scale. [kg]
    step_kg : float
        Between two ruled lines. [kg]
    unit : str
        Unit the lines are labelled in.
    right : int
        Room kept free at the right. [px]
    """

    dates: tuple[dt.date, ...]
    bottom_kg: float
    top_kg: float
    step_kg: float
    unit: MassUnit
    right: int = 12

    def x(self, place: float) -> float:
        """
        Return where a day lies, in px.

        Parameters
        ----------
        place : float
            Place along the axis, 0 to 1.
        """
        return LEFT + (WIDTH - LEFT - self.right) * place / max(len(self.dates) - 1, 1)

    def y(self, mass_kg: float) -> float:
        """
        Return where a mass lies, never outside the frame, in px.

        Parameters
        ----------
        mass_kg : float
            Body mass. [kg]
        """
        held = min(max(mass_kg, self.bottom_kg), self.top_kg)
        return TOP + (HEIGHT - TOP - BOTTOM) * (self.top_kg - held) / (self.top_kg - self.bottom_kg)

    def ruled(self) -> list[str]:
        """Return the ruled lines with their masses, and the dates along the foot."""
        factor = KG_PER_UNIT[self.unit]
        parts = []
        for number in range(round((self.top_kg - self.bottom_kg) / self.step_kg) + 1):
            mass_kg = self.bottom_kg + number * self.step_kg
            y = self.y(mass_kg)
            parts.append(
                f'<line class="grade" x1="{LEFT}" y1="{y:.1f}" x2="{WIDTH - self.right}"'
                f' y2="{y:.1f}"/><text x="{LEFT - 7}" y="{y + 4:.1f}" class="at-end">'
                f"{mass_kg / factor:.1f}</text>"
            )
        parts.append(f'<text x="{LEFT - 7}" y="{HEIGHT - 7}" class="at-end">{self.unit}</text>')
        parts += [
            f'<text x="{self.x(place):.1f}" y="{HEIGHT - 7}" class="at-middle">'
            f"{on.day} {on:%b}</text>"
            for place, on in self._named()
        ]
        return parts

    def _named(self) -> list[tuple[int, dt.date]]:
        """Choose the days whose date is written: Mondays, as many as there is room for."""
        mondays = [(place, on) for place, on in enumerate(self.dates) if on.weekday() == 0]
        every = max(1, math.ceil(len(mondays) / MOST_DATES))
        last = len(self.dates) - 3
        return [one for one in mondays[::every] if 1 < one[0] < last or len(self.dates) < 9]

    def band(self, low: Sequence[float], high: Sequence[float], start: int = 0) -> str:
        """
        Return a band between two lines, from the day at place ``start`` on, as points.

        Parameters
        ----------
        low : Sequence[float]
            Lower edge of each day. [kg]
        high : Sequence[float]
            Upper edge of each day. [kg]
        start : int
            Index of the first day.
        """
        upper = [f"{self.x(start + i):.1f},{self.y(kg):.1f}" for i, kg in enumerate(high)]
        lower = [f"{self.x(start + i):.1f},{self.y(kg):.1f}" for i, kg in enumerate(low)]
        return " ".join([*upper, *reversed(lower)])

    def line(self, masses_kg: Sequence[float], start: int = 0) -> str:
        """
        Return a line through the masses as points.

        Parameters
        ----------
        masses_kg : Sequence[float]
            Body mass of each day. [kg]
        start : int
            Index of the first day.
        """
        return " ".join(
            f"{self.x(start + i):.1f},{self.y(kg):.1f}" for i, kg in enumerate(masses_kg)
        )


def frame_of(
    dates: Iterable[dt.date], masses_kg: Iterable[float], unit: MassUnit, right: int = 12
) -> Frame:
    """
    Rule a ground that holds the masses, in round steps of the unit.

    Parameters
    ----------
    dates : iterable of date
    masses_kg : iterable of float
        All that must lie inside. [kg]
    unit : {"kg", "lb", "st"}
    right : int
        Room kept free at the right. [px]

    Returns
    -------
    Frame
    """
    factor = KG_PER_UNIT[unit]
    masses = [mass / factor for mass in masses_kg]
    low, high = min(masses), max(masses)
    step = _step((high - low) or 1.0)
    bottom, top = math.floor(low / step) * step, math.ceil(high / step) * step
    if top <= bottom:
        top = bottom + step
    return Frame(tuple(dates), bottom * factor, top * factor, step * factor, unit, right)


def trend_plot(trend: Trend, unit: MassUnit = "kg") -> str:
    """
    Draw a trend.

    Parameters
    ----------
    trend : Trend
    unit : {"kg", "lb", "st"}
        Unit of the scale at the left.

    Returns
    -------
    str
        An ``svg`` element with a text alternative; readings set aside are drawn hollow.
    """
    days = trend.days[-MOST_DAYS:]
    readings = [day.reading_kg for day in days if day.reading_kg is not None]
    ends = [mass for day in days for mass in (day.low_kg, day.high_kg)]
    frame = frame_of([day.on for day in days], [*readings, *ends], unit)
    parts = frame.ruled()
    band = frame.band([day.low_kg for day in days], [day.high_kg for day in days])
    parts.append(f'<polygon class="band" points="{band}"/>')
    level = frame.line([day.level_kg for day in days])
    parts.append(f'<polyline class="level" points="{level}" fill="none"/>')
    parts += dots(frame, days)
    return (
        f'<svg class="course" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="'
        f'{_said(trend, days, unit)}">{"".join(parts)}</svg>'
    )


def dots(frame: Frame, days: Sequence[Reading], start: int = 0) -> list[str]:
    """
    Draw the readings, hollow where one was set aside.

    Parameters
    ----------
    frame : Frame
    days : sequence of Reading
    start : int
        Place of the first of them in the frame.

    Returns
    -------
    list of str
        ``circle`` elements.
    """
    return [
        f'<circle class="{"reading aside" if day.set_aside else "reading"}"'
        f' cx="{frame.x(start + i):.1f}" cy="{frame.y(day.reading_kg):.1f}" r="2.6"/>'
        for i, day in enumerate(days)
        if day.reading_kg is not None
    ]


def _step(span: float) -> float:
    """Space the ruled lines so that there are three to eight of them; in the unit's own steps."""
    return next((step for step in (0.2, 0.5, 1.0, 2.0, 5.0) if span / step <= 6), 10.0)


def _said(trend: Trend, days: tuple[TrendDay, ...], unit: MassUnit) -> str:
    first, last = days[0], days[-1]
    factor = KG_PER_UNIT[unit]
    return (
        f"Body mass from {first.on:%d %B} to {last.on:%d %B}: level {first.level_kg / factor:.1f} "
        f"to {last.level_kg / factor:.1f} {unit}, now {trend.slope_kg_per_week / factor:+.2f} "
        f"{unit} a week, band {last.low_kg / factor:.1f} to {last.high_kg / factor:.1f} {unit}"
    )
