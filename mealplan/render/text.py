"""Worksheets, menus and lists as plain text for a terminal."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from mealplan.science.quantity import Quantity
from mealplan.targets.ranges import Notice, TargetRange, Targets

if TYPE_CHECKING:
    from mealplan.client.intake import Intake
    from mealplan.plan import AdequacyLine, Meal, Plan, PlanDay, ProteinQuality
    from mealplan.shopping.door import ShoppingList
from mealplan.render.text_table import decimals, week_table

WIDTH = 96

CAUTION = (
    "Estimates with ranges for healthy adults, not medical advice. With an illness, a pregnancy, "
    "medicines or a history of disordered eating, see a physician or registered dietitian first. "
    "Labels decide on allergens, not a food table: trace contamination is not in the data."
)

ENERGY_NOTE = (
    "Energy is the table's own kilocalories (food-specific factors). Shares of energy use 4/9/4, "
    "which on plant days runs about 4 to 6 % higher."
)


def _wrap(text: str, indent: int = 0) -> str:
    pad = " " * indent
    return textwrap.fill(text, WIDTH, initial_indent=pad, subsequent_indent=pad)


def _heading(text: str) -> str:
    return f"\n{text}\n{'-' * len(text)}"


def _quantity(line: Quantity, depth: int = 0) -> list[str]:
    pad = "  " * depth
    spread = f"  ({decimals(line.low)} to {decimals(line.high)})" if line.sd else ""
    rows = [f"{pad}{line.label}: {decimals(line.value)} {line.unit}{spread}"]
    rows.append(_wrap(f"{line.method} [{line.source}; {line.provenance}]", 2 * depth + 4))
    if line.note:
        rows.append(_wrap(line.note, 2 * depth + 4))
    return rows


def narrowing(line: Quantity) -> str:
    """
    Say which measurement would narrow a quantity most.

    Parameters
    ----------
    line : Quantity

    Returns
    -------
    str
        One sentence; empty when the quantity is exact.
    """
    shares = line.shares()
    if not shares:
        return ""
    name, share = shares[0]
    return f"{share:.0%} of the doubt about {line.label.lower()} comes from: {name}."


def _range_row(target: TargetRange) -> str:
    low = decimals(target.low) if target.low is not None else "-"
    aim = decimals(target.aim) if target.aim is not None else "-"
    high = decimals(target.high) if target.high is not None else "-"
    note = f"{decimals(target.supplied)} from {target.supplied_by}" if target.supplied else ""
    return f"  {target.label[:40]:<40} {low:>8} {aim:>8} {high:>8} {target.unit:<5} {note}"


def _notices(notices: tuple[Notice, ...]) -> list[str]:
    words = {
        "refuse": "REFUSED",
        "override": "NEEDS A PROFESSIONAL",
        "warn": "Caution",
        "note": "Note",
    }
    rows = []
    for notice in notices:
        text = f"{words[notice.severity]}: {notice.message}"
        if notice.see:
            text += f" See {notice.see}."
        rows.append(_wrap(text))
    return rows


def _around_sessions(targets: Targets) -> list[str]:
    """Write fuel around the week's sessions, days alike together, and the days a race changes."""
    alike: dict[str, list[str]] = {}
    for day in targets.days:
        for item in day.fuel:
            alike.setdefault(item.sentence(), []).append(day.weekday)
    rows = [_wrap(f"{', '.join(days)}: {sentence}", 2) for sentence, days in alike.items()]
    for date, day in sorted(targets.special.items()):
        carbohydrate = day.ranges["net_carbohydrate_g"]
        ends = f"{carbohydrate.low:,.0f} to {carbohydrate.high:,.0f} g"
        name = f"{date:%a %d %b}"
        fibre = day.ranges["fibre_g"]
        if fibre.high is not None:
            ends += f", fibre {fibre.low or 0.0:.0f} to {fibre.high:.0f} g"
        sodium = day.ranges["sodium_mg"]
        if sodium.low is not None and sodium.high is not None:
            ends += f", sodium {sodium.low:,.0f} to {sodium.high:,.0f} mg"
        rows.append(_wrap(f"{name}: {day.energy_kcal:,.0f} kcal, carbohydrate {ends}", 2))
        rows += [_wrap(f"{name}: {item.sentence()}", 2) for item in day.fuel]
    if not rows:
        return []
    days = (*targets.days, *targets.special.values())
    cautions = {
        item.note.rpartition("; ")[2] for day in days for item in day.fuel if item.when == "during"
    }
    counted = "What is taken while training is part of the day's energy, not on top of it"
    notes = [counted, *sorted(cautions)]
    return [_heading("Around sessions"), *rows, *(_wrap(text, 2) for text in notes)]


def _by_day(targets: Targets) -> list[str]:
    """Write the ranges that training changes, the days alike together."""
    rows = []
    for key, target in targets.days[0].ranges.items():
        alike: dict[str, list[str]] = {}
        for day in targets.days:
            one = day.ranges[key]
            ends = " to ".join(decimals(end) for end in (one.low, one.high) if end is not None)
            alike.setdefault(ends, []).append(day.weekday)
        if len(alike) > 1:
            said = "; ".join(f"{', '.join(days)} {ends}" for ends, days in alike.items())
            rows.append(_wrap(f"{target.label} by day: {said} {target.unit}", 2))
    if targets.special:
        dates = ", ".join(f"{date:%a %d %b}" for date in sorted(targets.special))
        rows.append(_wrap(f"{dates} have ranges of their own, below.", 2))
    return rows


def targets_text(intake: Intake, targets: Targets) -> str:
    """
    Write the worksheet.

    Parameters
    ----------
    intake : Intake
    targets : Targets

    Returns
    -------
    str
        About one page.
    """
    rows = [
        (
            f"TARGETS  {intake.role}, {intake.sex}, {intake.age_years} years,"
            f" {intake.height_cm:.0f} cm, {intake.weight_kg:.1f} kg; phase: {intake.goal.phase};"
            f" from {intake.start}"
        ),
    ]
    rows += _notices(targets.notices)
    rows.append(_heading("Working (90 % range in brackets)"))
    for line in targets.worksheet:
        rows += _quantity(line)
    doubt = narrowing(targets.energy)
    if doubt:
        rows.append(_wrap(doubt))
    day = targets.days[0]
    rows.append(_heading("Daily ranges"))
    rows.append(f"  {'':<40} {'floor':>8} {'aim':>8} {'ceiling':>8}")
    rows += [_range_row(target) for target in day.ranges.values()]
    changing = _by_day(targets)
    if changing:
        rows += [f"  The table is {day.weekday}'s; training changes:", *changing]
    rows.append(
        f"  At each main meal, as a wish: {targets.protein_per_meal_g:.0f} g protein, "
        f"{targets.leucine_per_meal_g:.1f} g leucine"
    )
    rows += _around_sessions(targets)
    rows.append(_heading("Supplement lines"))
    for supplement in targets.supplements:
        rows.append(_wrap(f"{supplement.name}: {supplement.dose}. {supplement.caution}", 2))
    rows += ["", _wrap(ENERGY_NOTE), _wrap(CAUTION)]
    return "\n".join(rows)


def _meal(meal: Meal) -> list[str]:
    head = f"  {meal.time}  {meal.label}: {meal.name}"
    if meal.leftover_from is not None:
        head += f"  ({meal.kept_label})"
    elif meal.cook_portions > 1:
        head += (
            f"  (cook {meal.cook_portions} portions, {meal.put_by}; amounts in the "
            f"method are for all {meal.cook_portions})"
        )
    rows = [f"{head}  [{meal.energy_kcal:,.0f} kcal, {meal.protein_g:.0f} g protein]"]
    parts = [f"{s.phrase} ({decimals(s.grams)} g)" for s in meal.servings]
    rows.append(_wrap("; ".join(parts), 9))
    return rows


def _adequacy(line: AdequacyLine) -> str:
    low = decimals(line.low) if line.low is not None else ""
    high = decimals(line.high) if line.high is not None else ""
    mark = "" if line.met else ("  <- missed" if line.priority == "must" else "  <- wish missed")
    unknown = (
        f"  ({line.unknown_share:.0%} of the food unmeasured)" if line.unknown_share > 0.1 else ""
    )
    return (
        f"  {line.label[:38]:<38} {decimals(line.total):>8} {line.unit:<5} {low:>8}"
        f" {high:>8}{mark}{unknown}"
    )


def quality_sentence(quality: ProteinQuality) -> str:
    """
    Say how good a day's protein is.

    Parameters
    ----------
    quality : ProteinQuality

    Returns
    -------
    str
        One sentence, with the limiting amino acid named.
    """
    least = "at least " if quality.known_fraction < 0.995 else ""
    return (
        f"Protein quality, {quality.pattern} pattern: PDCAAS {least}{quality.pdcaas:.2f}, "
        f"DIAAS {least}{quality.diaas:.2f}; scarcest {quality.limiting.lower()}."
    )


def day_text(day: PlanDay) -> str:
    """
    Write one day.

    Parameters
    ----------
    day : PlanDay

    Returns
    -------
    str
    """
    rows = [
        f"\n{day.date:%A %d %B}: {day.energy_kcal:,.0f} of {day.energy_target_kcal:,.0f} kcal, "
        f"{day.hands_on_min} min hands-on"
    ]
    for meal in day.meals:
        rows += _meal(meal)
    rows += [_wrap(said, 2) for said in day.around_sessions]
    if day.training_kcal:
        kcal = f"{day.training_kcal:,.0f} kcal"
        rows.append(f"  The meals leave room for {kcal} of what is taken before or while training")
    if day.protein_quality is not None:
        rows.append(f"  {quality_sentence(day.protein_quality)}")
    rows += [_adequacy(line) for line in day.missed]
    return "\n".join(rows)


def shopping_text(shopping: ShoppingList) -> str:
    """
    Write the shopping list by aisle.

    Parameters
    ----------
    shopping : ShoppingList

    Returns
    -------
    str
    """
    rows = []
    for aisle, lines in shopping.by_aisle():
        rows.append(f"\n  {aisle}")
        rows.extend(
            f"   [ ] {line.shop_name}: {line.packs_text()}  (need {line.need_g:,.0f} g)"
            f"{'; ' + line.label_text() if line.read_label else ''}"
            for line in lines
        )
    rows.extend(_wrap(note, 2) for note in shopping.notes)
    return "\n".join(rows)


def plan_text(intake: Intake, plan: Plan, shopping: ShoppingList) -> str:
    """
    Write a plan: days, adequacy, what is missed, the list.

    Parameters
    ----------
    intake : Intake
    plan : Plan
    shopping : ShoppingList

    Returns
    -------
    str
    """
    rows = [f"MENU  {plan.role}, {len(plan.days)} days from {plan.start}"]
    rows += _notices(plan.notices)
    rows += [day_text(day) for day in plan.days]
    rows.append(_heading("Every day:"))
    rows += [_wrap(f"{s.name}: {s.dose}.", 2) for s in plan.supplements]
    rows.append(_heading("Adequacy (food and supplement lines together)"))
    rows += week_table(plan)
    rows += ["", *(_wrap(said, 2) for said in (plan.bound_note, *plan.floor_costs))]
    rows.append(_heading("What is missed, and why"))
    rows += [_wrap(text, 2) for text in plan.explanation] or [
        "  Nothing: every floor and ceiling holds."
    ]
    if plan.alternatives:
        from mealplan.render.charts.trade_off import trade_off_sentences

        rows.append(_heading("Shorter and longer lists"))
        rows += [_wrap(text, 2) for text in trade_off_sentences(plan)]
    if plan.readings:
        rows.append(_heading("Readings"))
        rows += [_wrap(text, 2) for text in plan.readings]
    if plan.sources:
        rows.append(_heading("Foods from a package label"))
        rows += [_wrap(text, 2) for text in plan.sources]
    rows.append(
        _heading(
            f"Shopping list for {intake.kitchen.people} "
            f"{'person' if intake.kitchen.people == 1 else 'people'}"
        )
    )
    rows.append(shopping_text(shopping))
    rows += ["", _wrap(ENERGY_NOTE), _wrap(CAUTION)]
    return "\n".join(rows)
