"""Growth drawn as small SVG pictures: measured points joined, and what linear growth would be."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from html import escape

WIDTH, HEIGHT = 640, 380
LEFT, RIGHT, TOP, BOTTOM = 64, 190, 44, 52
INKS = ("#1f5a4c", "#a04a1c", "#3b4f8a", "#7a3b6b", "#5c5c1e")

Points = Sequence[tuple[float, float]]


def nice_ticks(most: float) -> list[float]:
    """
    Choose about five round marks from nought to a value.

    Parameters
    ----------
    most : float
        Above 0.

    Returns
    -------
    list of float
        The last is at or above ``most``.
    """
    raw = most / 5
    power = 10 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= raw * 0.999)
    return [step * n for n in range(math.ceil(most / step - 1e-9) + 1)]


def growth_plot(
    title: str, x_label: str, y_label: str, series: Mapping[str, Points], *, linear: str = ""
) -> str:
    """
    Draw measured growth.

    Parameters
    ----------
    title, x_label, y_label : str
        What is shown.
    series : mapping of str to points
        (size, measured) by name.
    linear : str
        Name of a series from whose first point a dashed line shows linear growth; none when empty.

    Returns
    -------
    str
        A whole SVG file.
    """
    lines = dict(series)
    dashed: Points = ()
    if linear:
        (x0, y0), *_ = sorted(series[linear])
        last = max(x for x, _ in series[linear])
        dashed = ((x0, y0), (last, y0 * last / x0))
    every = [point for points in (*lines.values(), dashed) for point in points]
    x_ticks, y_ticks = (nice_ticks(max(axis)) for axis in zip(*every, strict=True))

    def x(value: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * value / x_ticks[-1]

    def y(value: float) -> float:
        return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * value / y_ticks[-1]

    def path(points: Points) -> str:
        return " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b in sorted(points))

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" '
        f'height="{HEIGHT}" role="img" aria-label="{escape(title)}" '
        'font-family="Georgia, serif" font-size="13" fill="#222">',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>',
        f'<text x="{LEFT}" y="24" font-size="16">{escape(title)}</text>',
    ]
    parts += [
        (
            f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y(tick):.1f}" y2="{y(tick):.1f}" '
            'stroke="#ddd"/>'
            f'<text x="{LEFT - 8}" y="{y(tick) + 4:.1f}" text-anchor="end">{tick:,.6g}</text>'
        )
        for tick in y_ticks
    ]
    parts += [
        (
            f'<text x="{x(tick):.1f}" y="{HEIGHT - BOTTOM + 20}" text-anchor="middle">'
            f"{tick:,.6g}</text>"
        )
        for tick in x_ticks
    ]
    middle = (LEFT + WIDTH - RIGHT) / 2
    parts.append(
        f'<text x="{middle}" y="{HEIGHT - 12}" text-anchor="middle">{escape(x_label)}</text>'
        f'<text x="16" y="{(TOP + HEIGHT - BOTTOM) / 2}" text-anchor="middle" '
        f'transform="rotate(-90 16 {(TOP + HEIGHT - BOTTOM) / 2})">{escape(y_label)}</text>'
    )
    if dashed:
        parts.append(
            f'<polyline points="{path(dashed)}" fill="none" stroke="#999" stroke-dasharray="5 4"/>'
        )
    for number, (name, points) in enumerate(lines.items()):
        ink = INKS[number % len(INKS)]
        parts.append(
            f'<polyline points="{path(points)}" fill="none" stroke="{ink}" stroke-width="2"/>'
        )
        parts += [
            f'<circle cx="{x(a):.1f}" cy="{y(b):.1f}" r="3" fill="{ink}"/>' for a, b in points
        ]
        parts.append(_label(name, ink, TOP + 16 + 34 * number))
    if dashed:
        parts.append(_label("were it linear", "#999", TOP + 16 + 34 * len(lines)))
    return "\n".join([*parts, "</svg>"]) + "\n"


def _label(name: str, ink: str, top: float) -> str:
    left = WIDTH - RIGHT + 14
    head, _, rest = name.partition(", ")
    more = f'<tspan x="{left + 16}" dy="14">{escape(rest)}</tspan>' if rest else ""
    return (
        f'<line x1="{left}" x2="{left + 10}" y1="{top - 4}" y2="{top - 4}" stroke="{ink}" '
        f'stroke-width="2"/><text x="{left + 16}" y="{top}" font-size="12">'
        f"{escape(head)}{more}</text>"
    )
