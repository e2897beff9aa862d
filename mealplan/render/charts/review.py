"""Drawings of a phase looked back on, as inline SVG: its course, its changes, its lean share."""

from __future__ import annotations

from html import escape

from mealplan.checkin.log.entries import KG_PER_UNIT
from mealplan.checkin.review.change import Change, LeanShare
from mealplan.checkin.review.reviewed import CoursePoint, PhaseReview
from mealplan.render.charts.trend import HEIGHT, WIDTH, Frame, dots, frame_of

RIGHT = 84
"""Room for the two words at the ends of the lines. [px]"""
CLEAR = 22
"""Least distance between those words. [px]"""
STRIP_WIDTH, STRIP_HEIGHT = 320, 26
LARGEST = 3.0
"""Changes beyond so many times the least significant one are drawn at the end of the strip."""


def course_plot(review: PhaseReview) -> str:
    """
    Draw the expected course with its band beside readings and trend.

    Parameters
    ----------
    review : PhaseReview

    Returns
    -------
    str
        An ``svg`` element with a text alternative. The band of what was expected runs out of the
        frame where it is wider than what was measured.
    """
    course = review.course
    seen = [point for point in course if point.level_kg is not None]
    measured = [
        mass
        for point in seen
        for mass in (point.reading_kg, point.low_kg, point.high_kg)
        if mass is not None
    ]
    frame = frame_of(
        [point.on for point in course],
        [*measured, *(point.expected_kg for point in course)],
        review.unit,
        RIGHT,
    )
    start = course.index(seen[0])
    parts = frame.ruled()
    parts += _expected(frame, course)
    low = [point.low_kg for point in seen if point.low_kg is not None]
    high = [point.high_kg for point in seen if point.high_kg is not None]
    level = [point.level_kg for point in seen if point.level_kg is not None]
    parts.append(f'<polygon class="band" points="{frame.band(low, high, start)}"/>')
    parts.append(f'<polyline class="level" points="{frame.line(level, start)}" fill="none"/>')
    parts += dots(frame, seen, start)
    parts += _words(frame, level[-1], course[-1].expected_kg)
    factor = KG_PER_UNIT[review.unit]
    said = (
        f"Course of body mass: measured {level[0] / factor:.1f} to {level[-1] / factor:.1f} "
        f"{review.unit}, expected {course[-1].expected_kg / factor:.1f} at the end"
    )
    return (
        f'<svg class="course" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-label="{escape(said)}">{"".join(parts)}</svg>'
    )


def _expected(frame: Frame, course: tuple[CoursePoint, ...]) -> list[str]:
    """Draw what was expected: its band pale, its line dashed."""
    low = [point.expected_low_kg for point in course]
    high = [point.expected_high_kg for point in course]
    line = frame.line([point.expected_kg for point in course])
    return [
        f'<polygon class="hoped" points="{frame.band(low, high)}"/>',
        f'<polyline class="expected" points="{line}" fill="none"/>',
    ]


def _words(frame: Frame, level_kg: float, expected_kg: float) -> list[str]:
    """Write "measured" and "expected" at the ends of their lines, never on top of each other."""
    measured, expected = frame.y(level_kg), frame.y(expected_kg)
    apart = measured - expected
    if abs(apart) < CLEAR:
        shift = (CLEAR - abs(apart)) / 2
        sign = 1.0 if apart >= 0 else -1.0
        measured, expected = measured + sign * shift, expected - sign * shift
    x = WIDTH - frame.right + 8
    return [
        f'<text x="{x}" y="{measured + 4:.1f}" class="said">measured</text>',
        f'<text x="{x}" y="{expected + 4:.1f}">expected</text>',
    ]


def change_strip(change: Change) -> str:
    """
    Draw a change on a ruler marked in its own least significant change.

    Inside the pale middle the reading may be nothing but error; the bar holds the true change nine
    times in ten.

    Parameters
    ----------
    change : Change

    Returns
    -------
    str
        An ``svg`` element with a text alternative.
    """
    middle = STRIP_HEIGHT / 2

    def x(value: float) -> float:
        held = min(max(value / change.least_significant, -LARGEST), LARGEST)
        return STRIP_WIDTH / 2 + (STRIP_WIDTH / 2 - 8) * held / LARGEST

    least = change.least_significant
    parts = [
        f'<rect class="unsure" x="{x(-least):.1f}" y="3" width="{x(least) - x(-least):.1f}" '
        f'height="{STRIP_HEIGHT - 6}"/>',
        f'<line class="rule" x1="8" y1="{middle}" x2="{STRIP_WIDTH - 8}" y2="{middle}"/>',
    ]
    parts += [
        f'<line class="{"tick" if step == 0 else "grade"}" x1="{x(step * least):.1f}" '
        f'y1="{middle - (8 if step == 0 else 4)}" x2="{x(step * least):.1f}" '
        f'y2="{middle + (8 if step == 0 else 4)}"/>'
        for step in range(-int(LARGEST), int(LARGEST) + 1)
    ]
    kind = "dot" if change.word != "no detectable change" else "dot faint"
    parts += [
        f'<line class="whisker" x1="{x(change.low):.1f}" y1="{middle}" '
        f'x2="{x(change.high):.1f}" y2="{middle}"/>',
        f'<circle class="{kind}" cx="{x(change.change):.1f}" cy="{middle}" r="4.5"/>',
    ]
    if abs(change.change) > LARGEST * least:
        parts[-1] = _beyond(STRIP_WIDTH - 8 if change.change > 0 else 8, change.change > 0)
    said = (
        f"{change.what}: {change.change:+.1f} {change.unit}, {change.low:+.1f} to "
        f"{change.high:+.1f}; it takes {change.least_significant:.1f}: {change.word}"
    )
    return _strip(said, parts)


def share_strip(share: LeanShare) -> str:
    """
    Draw the lean share of a change on a scale of 0 to 100 %.

    Parameters
    ----------
    share : LeanShare
        With its interval.

    Returns
    -------
    str
        An ``svg`` element with a text alternative; the long tick is what untrained people show.
    """
    middle = STRIP_HEIGHT / 2

    def x(fraction: float) -> float:
        return 8 + (STRIP_WIDTH - 16) * min(max(fraction, 0.0), 1.0)

    parts = [f'<line class="rule" x1="8" y1="{middle}" x2="{STRIP_WIDTH - 8}" y2="{middle}"/>']
    parts += [
        f'<line class="grade" x1="{x(i / 10):.1f}" y1="{middle - 3}" x2="{x(i / 10):.1f}" '
        f'y2="{middle + 3}"/>'
        for i in range(11)
    ]
    parts.append(
        f'<line class="tick" x1="{x(share.expected):.1f}" y1="3" x2="{x(share.expected):.1f}" '
        f'y2="{STRIP_HEIGHT - 3}"/>'
    )
    if share.low is not None and share.high is not None:
        parts += [
            f'<line class="whisker" x1="{x(share.low):.1f}" y1="{middle}" '
            f'x2="{x(share.high):.1f}" y2="{middle}"/>',
            f'<circle class="dot" cx="{x(share.value):.1f}" cy="{middle}" r="4.5"/>',
        ]
        if share.high > 1.0:
            parts.append(_beyond(STRIP_WIDTH - 8, right=True))
        if share.low < 0.0:
            parts.append(_beyond(8, right=False))
    return _strip(share.words, parts)


def _beyond(x: float, right: bool) -> str:
    """Draw the head of an arrow that says: further on than the scale."""
    middle, step = STRIP_HEIGHT / 2, -6 if right else 6
    return f'<path class="tick" d="M{x + step} {middle - 6} L{x} {middle} l{step} 6" fill="none"/>'


def _strip(said: str, parts: list[str]) -> str:
    return (
        f'<svg class="strip" viewBox="0 0 {STRIP_WIDTH} {STRIP_HEIGHT}" width="{STRIP_WIDTH}" '
        f'height="{STRIP_HEIGHT}" role="img" aria-label="{escape(said)}">{"".join(parts)}</svg>'
    )
