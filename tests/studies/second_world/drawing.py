"""The curve of false moves against weeks off, drawn small enough to stand beside a note."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tests.studies.second_world.curve import Point

WIDTH, HEIGHT, EDGE = 420.0, 260.0, 44.0
DASHES = ("", "6 4", "2 3")
"""Solid for the first policy, then broken and dotted: told apart without colour."""


def drawn(title: str, curves: Mapping[str, Sequence[Point]]) -> str:
    """
    Draw the curves of several policies.

    Parameters
    ----------
    title : str
    curves : mapping of str to sequence of Point
        By the name of the policy; two points each at least, three policies at most.

    Returns
    -------
    str
        SVG.
    """
    points = [point for curve in curves.values() for point in curve]
    most_false = max(point.false for point in points) * 1.1
    most_weeks = max(point.weeks_off for point in points) * 1.1

    def across(false: float) -> float:
        return EDGE + (WIDTH - 2 * EDGE) * false / most_false

    def up(weeks: float) -> float:
        return HEIGHT - EDGE - (HEIGHT - 2 * EDGE) * weeks / most_weeks

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" '
        'font-family="sans-serif" font-size="11" fill="none" stroke="#222">',
        f"<title>{title}</title>",
        f'<path d="M{EDGE} {EDGE / 2}V{HEIGHT - EDGE}H{WIDTH - EDGE / 2}"/>',
        _said(EDGE, EDGE / 2 - 8, "weeks 200 kcal or more off, from the fifth"),
        _said(WIDTH - EDGE / 2, HEIGHT - 10, "false moves in sixteen weeks", "end"),
    ]
    below = HEIGHT - EDGE + 14
    parts += [_said(across(at), below, f"{at:g}", "middle") for at in _ticks(most_false)]
    parts += [_said(EDGE - 6, up(at) + 4, f"{at:g}", "end") for at in _ticks(most_weeks)]
    for (name, curve), dash in zip(curves.items(), DASHES, strict=False):
        line = sorted(curve, key=lambda point: point.false)
        path = "L".join(f"{across(p.false):.1f} {up(p.weeks_off):.1f}" for p in line)
        parts.append(f'<path d="M{path}" stroke-width="1.6" stroke-dasharray="{dash}"/>')
        parts += [
            f'<circle cx="{across(p.false):.1f}" cy="{up(p.weeks_off):.1f}" r="2.4" fill="#222"/>'
            for p in line
        ]
        last = line[-1]
        parts.append(_said(across(last.false) + 6, up(last.weeks_off) - 6, name))
    return "\n".join([*parts, "</svg>\n"])


def _said(x: float, y: float, text: str, anchor: str = "start") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="#222" stroke="none">'
        f"{text}</text>"
    )


def _ticks(most: float) -> list[float]:
    step = next(step for step in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0) if most / step <= 6)
    return [round(step * count, 1) for count in range(int(most / step) + 1)]
