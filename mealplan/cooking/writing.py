"""The cooking sheet as plain text, one day after another."""

from __future__ import annotations

import textwrap

from mealplan.cooking.models import BatchPlan, Box, CookDay, Cooking, Kept

WIDTH = 96
"""Characters a line."""


def batch_text(batch: BatchPlan) -> str:
    """
    Write a batch plan as a cook props it up.

    Parameters
    ----------
    batch : BatchPlan

    Returns
    -------
    str
    """
    rows = [_wrapped(caution.text, "! ") for caution in batch.cautions]
    if batch.evening_before:
        rows.append("THE EVENING BEFORE")
        rows += [_wrapped(line, "  - ") for line in batch.evening_before]
    for day in batch.days:
        rows += _day(day)
    return "\n".join(rows)


def _wrapped(text: str, lead: str = "") -> str:
    return textwrap.fill(
        text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead), break_long_words=False
    )


def _day(day: CookDay) -> list[str]:
    ahead = f" and {day.ahead_min} boiling ahead" if day.ahead_min else ""
    rows = ["", f"{day.date:%A %d %B}: {day.hands_on_min} min hands-on{ahead}".upper()]
    rows += [_wrapped(step.text, f"  {step.clock}  ") for step in day.order]
    rows += [_wrapped(clash, "  ! ") for clash in day.clashes]
    for boil in day.boils:
        rows += [_wrapped(f"{boil.name}: {caution.text}", "  ! ") for caution in boil.cautions]
    for pack in day.packs:
        if not pack.clock:  # those with a time stand in the order of work
            rows.append(_wrapped(f"{pack.name}: {pack.text}", "  - "))
    for cooking in day.cookings:
        rows += _cooking(cooking)
    for kept in day.kept:
        rows += _kept(kept)
    if day.tonight:
        rows.append("\n  Tonight")
        rows += [_wrapped(line, "   - ") for line in day.tonight]
    return rows


def _cooking(cooking: Cooking) -> list[str]:
    portions = "1 portion" if cooking.portions == 1 else f"{cooking.portions} portions"
    rounds = f", in {cooking.rounds} rounds" if cooking.rounds > 1 else ""
    night = " plus a night" if cooking.evening else ""
    rows = [
        f"\n  {cooking.serve} {cooking.label}: {cooking.name}",
        f"   {portions}{rounds}; start {cooking.start}, {cooking.total_min} min in all{night}, "
        f"{cooking.hands_on_min} at it",
    ]
    for amount in cooking.amounts:
        before = f"; {amount.start_from}" if amount.start_from else ""
        rows.append(_wrapped(f"{amount.phrase} ({amount.grams:,.0f} g{before})", "     "))
    rows += [
        _wrapped(step, f"   {number}. ") for number, step in enumerate(cooking.method, start=1)
    ]
    if cooking.boxes or len(cooking.plates) > 1:
        rows += [_wrapped(f"On the plate: {plate}.", "   ") for plate in cooking.plates]
    rows += [_wrapped(_box(box), "   [ ] ") for box in cooking.boxes]
    rows += [_wrapped(f"{c.text} ({c.source})", "   ! ") for c in cooking.cautions]
    return rows


def _box(box: Box) -> str:
    who = "" if box.eater == "client" else f" for {box.eater}"
    if box.to_freeze:
        return (
            f"Freeze{who}, with name and day on the label: {box.percent_of_pot} % of the pot"
            f"{', with ' + ', '.join(box.measured_out) if box.measured_out else ''}; eat by "
            f"{box.eat_by:%d %B}."
        )
    said = (
        f"Box{who}, {box.eaten_on:%A} {box.label.lower()}: {box.percent_of_pot} % of the pot"
        f"{', with ' + ', '.join(box.measured_out) if box.measured_out else ''}; {box.keep_in}, "
        f"eat by {box.eat_by:%A %d %B}."
    )
    if box.at_serving:
        said += f" Add when served: {', '.join(box.at_serving)}."
    return said


def _from(kept: Kept) -> str:
    """Say where a portion comes from."""
    if kept.frozen:
        return f"from the freezer, cooked {kept.cooked_on.day} {kept.cooked_on:%b}"
    return f"kept from {kept.cooked_on:%A}"


def _kept(kept: Kept) -> list[str]:
    rows = [
        f"\n  {kept.serve} {kept.label}: {kept.name}, {_from(kept)}",
        _wrapped(kept.how, "   "),
    ]
    rows += [_wrapped(line[:1].upper() + line[1:] + ".", "   + ") for line in kept.add]
    rows += [_wrapped(f"{c.text} ({c.source})", "   ! ") for c in kept.cautions]
    return rows
