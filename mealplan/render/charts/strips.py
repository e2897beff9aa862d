"""Small drawings as inline SVG, made on the server so that pages need no scripts."""

from __future__ import annotations

from html import escape

from mealplan.plan import AdequacyLine

STRIP_WIDTH = 240
STRIP_HEIGHT = 22
_LEFT, _RIGHT = 6, 6
RANGE_SCALE = 1 / 3
"""How far a range's scale reaches either side of the value, as a fraction of it."""


def ruled_strip(line: AdequacyLine) -> str:
    """
    Draw one nutrient on a ruled scale: floor and ceiling ticked, the day's total as a dot.

    Parameters
    ----------
    line : AdequacyLine
        Total and range.

    Returns
    -------
    str
        An ``svg`` element with a text alternative.
    """
    top = max(value for value in (line.total, line.low, line.high) if value is not None)
    anchors = [value for value in (line.low, line.aim) if value is not None]
    scale_end = 1.0
    if anchors:
        scale_end = max(2.0 * max(anchors), 1.15 * min(top, 3.0 * max(anchors)))
    if line.high is not None and (not anchors or line.high <= 3.0 * max(anchors)):
        scale_end = max(scale_end if anchors else 0.0, 1.15 * line.high)
    if not anchors and line.high is None:
        scale_end = max(1.0, 1.3 * line.total)

    def x(value: float) -> float:
        return _LEFT + (STRIP_WIDTH - _LEFT - _RIGHT) * min(value, scale_end) / scale_end

    middle = STRIP_HEIGHT / 2
    parts = [
        f'<line class="rule" x1="{_LEFT}" y1="{middle}" x2="{STRIP_WIDTH - _RIGHT}" y2="{middle}"/>'
    ]
    parts += [
        f'<line class="grade" x1="{x(scale_end * i / 10):.1f}" y1="{middle - 2}" '
        f'x2="{x(scale_end * i / 10):.1f}" y2="{middle + 2}"/>'
        for i in range(11)
    ]
    if line.low is not None:
        parts.append(
            f'<line class="tick" x1="{x(line.low):.1f}" y1="2" x2="{x(line.low):.1f}"'
            f' y2="{STRIP_HEIGHT - 2}"/>'
        )
    if line.high is not None and line.high <= scale_end:
        parts.append(
            f'<line class="tick" x1="{x(line.high):.1f}" y1="2" x2="{x(line.high):.1f}"'
            f' y2="{STRIP_HEIGHT - 2}"/>'
        )
    if line.sd > 0:
        reach = 1.645 * line.sd
        parts.append(
            f'<line class="whisker" x1="{x(max(0.0, line.total - reach)):.1f}" y1="{middle}" '
            f'x2="{x(line.total + reach):.1f}" y2="{middle}"/>'
        )
    kind = "dot" if line.met else "dot off"
    parts.append(f'<circle class="{kind}" cx="{x(line.total):.1f}" cy="{middle}" r="4"/>')
    if line.total > scale_end:
        parts.append(
            f'<path class="rule" d="M{STRIP_WIDTH - 9} {middle - 6} l5 6 l-5 6" fill="none"/>'
        )
    said = f"{line.label}: {line.total:,.4g} {line.unit}"
    if line.low is not None:
        said += f", floor {line.low:,.4g}"
    if line.high is not None:
        said += f", ceiling {line.high:,.4g}"
    return (
        f'<svg class="strip" viewBox="0 0 {STRIP_WIDTH} {STRIP_HEIGHT}" width="{STRIP_WIDTH}" '
        f'height="{STRIP_HEIGHT}" role="img" aria-label="{escape(said)}">{"".join(parts)}</svg>'
    )


def range_bar(value: float, low: float, high: float, unit: str) -> str:
    """
    Draw a quantity's 90 % range on a scale of a third either side, the same for every quantity.

    The wider the bar, the less is known.

    Parameters
    ----------
    value, low, high : float
        Same unit, low <= value <= high.
    unit : str
        For the text alternative.

    Returns
    -------
    str
        An ``svg`` element.
    """
    reach = RANGE_SCALE * max(abs(value), 1e-9)

    def x(at: float) -> float:
        place = min(max((at - value) / reach, -1.0), 1.0)
        return STRIP_WIDTH / 2 + (STRIP_WIDTH / 2 - _LEFT) * place

    middle = STRIP_HEIGHT / 2
    return (
        f'<svg class="strip" viewBox="0 0 {STRIP_WIDTH} {STRIP_HEIGHT}" width="{STRIP_WIDTH}" '
        f'height="{STRIP_HEIGHT}" role="img" aria-label="{value:,.0f} {escape(unit)}, '
        f'90 % range {low:,.0f} to {high:,.0f}">'
        f'<line class="rule" x1="{_LEFT}" y1="{middle}" x2="{STRIP_WIDTH - _RIGHT}" y2="{middle}"/>'
        f'<line class="whisker" x1="{x(low):.1f}" y1="{middle}" x2="{x(high):.1f}" y2="{middle}"/>'
        f'<line class="tick" x1="{x(low):.1f}" y1="6" x2="{x(low):.1f}" y2="{STRIP_HEIGHT - 6}"/>'
        f'<line class="tick" x1="{x(high):.1f}" y1="6" x2="{x(high):.1f}" y2="{STRIP_HEIGHT - 6}"/>'
        f'<circle class="dot" cx="{x(value):.1f}" cy="{middle}" r="4"/></svg>'
    )
