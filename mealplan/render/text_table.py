"""Days side by side as a table of text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mealplan.plan import Plan


def decimals(value: float) -> str:
    """
    Write a number with as many digits as a worksheet needs.

    Parameters
    ----------
    value : float

    Returns
    -------
    str
        Thousands with a comma; small numbers with more decimals.
    """
    size = abs(value)
    if size >= 100:
        return f"{value:,.0f}"
    if size >= 10:
        return f"{value:,.1f}"
    return f"{value:,.2f}"


def week_table(plan: Plan) -> list[str]:
    """
    Write the mean of the days against the ranges, with the worst day beside it.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    rows = [
        f"  {'':<38} {'mean':>8} {'':<5} {'lowest':>8} {'highest':>8} {'floor':>8} {'ceiling':>8} "
        " days met"
    ]
    for index, first in enumerate(plan.days[0].adequacy):
        lines = [day.adequacy[index] for day in plan.days]
        totals = [line.total for line in lines]
        met = sum(line.met for line in lines)
        low = decimals(first.low) if first.low is not None else ""
        high = decimals(first.high) if first.high is not None else ""
        means = [mean.met for mean in plan.week_means if mean.key == first.key]
        note = "" if not means else "; mean met" if all(means) else "; mean missed"
        usual = any(line.over_usual_day for line in lines)
        if usual and first.high is not None and sum(totals) > first.high * len(totals):
            note = "; mean above the ceiling" if all(means) else f"{note}, and above the ceiling"
        wish = met < len(lines) and (usual or first.priority == "wish")
        note += " (wish)" if wish else ""
        rows.append(
            f"  {first.label[:38]:<38} {decimals(sum(totals) / len(totals)):>8} {first.unit:<5}"
            f" {decimals(min(totals)):>8} {decimals(max(totals)):>8} {low:>8} {high:>8}  {met} of"
            f" {len(lines)}{note}"
        )
    return rows
