"""What a shorter or a longer list costs, in sentences and as dots between two rulers."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from mealplan.plan import Alternative, Plan

WIDTH, HEIGHT = 360, 190
_LEFT, _RIGHT, _TOP, _BOTTOM = 64, 24, 22, 40


def trade_off_drawing(lists: Sequence[Alternative]) -> str:
    """
    Draw things to buy against what is paid, or what is left over where no prices are known.

    Parameters
    ----------
    lists : sequence of Alternative
        At least one.

    Returns
    -------
    str
        An ``svg`` element with a text alternative; the list that was planned is the full dot.
    """
    priced = all(one.paid is not None for one in lists)
    values = [one.paid or 0.0 if priced else one.left_g / 1000 for one in lists]
    unit = lists[0].currency if priced else "kg left over"
    things = [float(one.things) for one in lists]
    x_low, x_high = _ends(things)
    y_low, y_high = _ends(values)

    def x(value: float) -> float:
        return _LEFT + (value - x_low) / (x_high - x_low) * (WIDTH - _LEFT - _RIGHT)

    def y(value: float) -> float:
        return HEIGHT - _BOTTOM - (value - y_low) / (y_high - y_low) * (HEIGHT - _TOP - _BOTTOM)

    floor, side = HEIGHT - _BOTTOM, _LEFT
    parts = [
        f'<path class="rule" fill="none" d="M{side} {_TOP}V{floor}H{WIDTH - _RIGHT}"/>',
        f'<text x="{(side + WIDTH - _RIGHT) / 2:.0f}" y="{HEIGHT - 6}" text-anchor="middle">'
        "things to buy</text>",
        f'<text x="{side - 8}" y="{_TOP - 8}">{escape(unit)}</text>',
    ]
    ordered = sorted(zip(things, values, lists, strict=True), key=lambda one: one[0])
    line = " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b, _ in ordered)
    parts.append(f'<polyline class="rule" fill="none" points="{line}"/>')
    for many, value, one in ordered:
        kind = "dot" if one.chosen else "dot faint"
        number = f"{value:.2f}" if priced else f"{value:.1f}"
        parts += [
            f'<circle class="{kind}" cx="{x(many):.1f}" cy="{y(value):.1f}" r="5"/>',
            f'<text x="{x(many):.1f}" y="{floor + 15}" text-anchor="middle">{many:.0f}</text>',
            f'<text x="{side - 8}" y="{y(value) + 4:.1f}" text-anchor="end">{number}</text>',
        ]
    said = "; ".join(
        f"{many:.0f} things, {value:.2f} {unit}{' (planned)' if one.chosen else ''}"
        for many, value, one in ordered
    )
    return (
        f'<svg class="strip tradeoff" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" '
        f'height="{HEIGHT}" role="img" aria-label="{escape(said, quote=True)}">'
        f"{''.join(parts)}</svg>"
    )


def _ends(values: Sequence[float]) -> tuple[float, float]:
    """Leave a little room on either side of the values."""
    low, high = min(values), max(values)
    room = max(0.15 * (high - low), 0.02 * max(high, 1.0))
    return low - room, high + room


def trade_off_sentences(plan: Plan) -> tuple[str, ...]:
    """
    Say what each other list would be, beside the one that was planned.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    tuple of str
        Empty where none was planned.
    """
    mine = next((one for one in plan.alternatives if one.chosen), None)
    if mine is None:
        return ()
    return tuple(_sentence(other, mine) for other in plan.alternatives if not other.chosen)


def _sentence(other: Alternative, mine: Alternative) -> str:
    said = [f"{other.things} things to buy instead of {mine.things}"]
    if other.paid is not None and mine.paid is not None:
        said.append(_less(mine.paid - other.paid, f"{other.currency} {{:.2f}}", "at the till"))
    said.append(_less((mine.left_g - other.left_g) / 1000, "{:.1f} kg", "left over"))
    said.append(f"{other.dishes} dishes instead of {mine.dishes}")
    said.append(f"a main dish {_times(other.main_most)} at most ({_times(mine.main_most)} now)")
    said.append(_less(mine.hands_on_min - other.hands_on_min, "{:.0f} minutes", "of cooking"))
    more = other.musts_missed - mine.musts_missed
    said.append(
        "the same floors"
        if more == 0
        else f"{abs(more)} floor{'s' * (abs(more) > 1)} {'missed more' if more > 0 else 'met more'}"
    )
    return f"{said[0]}: {', '.join(said[1:])}."


def _less(amount: float, form: str, what: str) -> str:
    """Say how much less or more of something."""
    return f"{form.format(abs(amount))} {'less' if amount >= 0 else 'more'} {what}"


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")
