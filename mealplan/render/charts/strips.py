"""Small drawings as inline SVG, made on the server so that pages need no scripts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from statistics import fmean

from mealplan.plan import AdequacyLine

STRIP_WIDTH = 240
STRIP_HEIGHT = 22
_LEFT, _RIGHT = 6, 6
_MIDDLE = STRIP_HEIGHT // 2
_RULE = f"M{_LEFT} {_MIDDLE}H{STRIP_WIDTH - _RIGHT}"
_GRADE = (STRIP_WIDTH - _LEFT - _RIGHT) / 10
_RULER = _RULE + f"M{_LEFT} {_MIDDLE - 2}v4" + f"m{_GRADE:g}-4v4" * 10
"""A line with its ten grades."""
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
    x, scale_end = _scale(line, line.total)
    parts = _ruler(line, x, scale_end)
    if line.sd > 0:
        reach = 1.645 * line.sd
        parts.append(_whisker(x(max(0.0, line.total - reach)), x(line.total + reach)))
    kind = "dot" if line.met else "dot off"
    parts.append(f'<circle class="{kind}" cx="{x(line.total):.1f}" cy="{_MIDDLE}" r="4"/>')
    if line.total > scale_end:
        parts.append(
            f'<path class="rule" d="M{STRIP_WIDTH - 9} {_MIDDLE - 6} l5 6 l-5 6" fill="none"/>'
        )
    said = f"{line.label}: {line.total:,.4g} {line.unit}{_limits(line)}"
    return _drawn(parts, said)


def week_strip(lines: Sequence[AdequacyLine]) -> str:
    """
    Draw one nutrient of several days on one ruler: a dot a day on a bar from least to most.

    Parameters
    ----------
    lines : sequence of AdequacyLine
        The nutrient's line of each day; the first one's range rules the scale.

    Returns
    -------
    str
        An ``svg`` element with a text alternative.
    """
    first = lines[0]
    totals = [line.total for line in lines]
    x, scale_end = _scale(first, max(totals))
    parts = _ruler(first, x, scale_end)
    parts.append(_whisker(x(min(totals)), x(max(totals))))
    inside = "".join(f"M{x(line.total):.1f} {_MIDDLE}h0" for line in lines if line.met)
    parts.append(f'<path class="dots" d="{inside}"/>')
    parts += [
        f'<circle class="dot off" cx="{x(line.total):.1f}" cy="{_MIDDLE}" r="3.4"/>'
        for line in lines
        if not line.met
    ]
    outside = sum(1 for line in lines if not line.met)
    said = (
        f"{first.label}: mean {fmean(totals):,.4g} {first.unit}, days from {min(totals):,.4g} to "
        f"{max(totals):,.4g}{_limits(first)}; outside on {outside} of {len(lines)} days"
    )
    return _drawn(parts, said)


def _scale(line: AdequacyLine, most: float) -> tuple[Callable[[float], float], float]:
    """Say where a value stands on the ruler, and where the ruler ends."""
    top = max(value for value in (most, line.low, line.high) if value is not None)
    anchors = [value for value in (line.low, line.aim) if value]  # a floor of none is no anchor
    scale_end = 1.0
    if anchors:
        scale_end = max(2.0 * max(anchors), 1.15 * min(top, 3.0 * max(anchors)))
    if line.high is not None and (not anchors or line.high <= 3.0 * max(anchors)):
        scale_end = max(scale_end if anchors else 0.0, 1.15 * line.high)
    if not anchors and line.high is None:
        scale_end = max(1.0, 1.3 * most)

    def x(value: float) -> float:
        return _LEFT + (STRIP_WIDTH - _LEFT - _RIGHT) * min(value, scale_end) / scale_end

    return x, scale_end


def _ruler(line: AdequacyLine, x: Callable[[float], float], scale_end: float) -> list[str]:
    """Draw the ruler with its ten grades, the least and the most ticked."""
    ticks = [line.low] if line.low is not None else []
    if line.high is not None and line.high <= scale_end:
        ticks.append(line.high)
    return [f'<path class="grade" d="{_RULER}"/>', *(_tick(x(at), 2) for at in ticks)]


def _tick(at: float, inset: int) -> str:
    """Draw an upright mark so many units short of the strip's edges."""
    return f'<path class="tick" d="M{at:.1f} {inset}v{STRIP_HEIGHT - 2 * inset}"/>'


def _whisker(low: float, high: float) -> str:
    """Draw a bar from one place to another."""
    return f'<path class="whisker" d="M{low:.1f} {_MIDDLE}H{high:.1f}"/>'


def _limits(line: AdequacyLine) -> str:
    """Say the range in words, for the text alternative."""
    low = "" if line.low is None else f", at least {line.low:,.4g}"
    if line.day_low is not None:
        low += f" as the mean of the week and {line.day_low:,.4g} on any day"
    return low + ("" if line.high is None else f", at most {line.high:,.4g}")


def _drawn(parts: Sequence[str], said: str) -> str:
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

    parts = (
        f'<path class="rule" d="{_RULE}"/>',
        _whisker(x(low), x(high)),
        _tick(x(low), 6),
        _tick(x(high), 6),
        f'<circle class="dot" cx="{x(value):.1f}" cy="{_MIDDLE}" r="4"/>',
    )
    return _drawn(parts, f"{value:,.0f} {unit}, 90 % range {low:,.0f} to {high:,.0f}")
