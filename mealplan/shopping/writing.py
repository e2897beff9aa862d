"""
The list as plain text, CSV (RFC 4180) and JSON.

References
----------
.. [1] Shafranovich, RFC 4180, 2005: comma-separated values, CRLF line ends, doubled quotes.
"""

from __future__ import annotations

import csv
import io

from mealplan.shopping.lines import ListLine, ShoppingList

CSV_COLUMNS = (
    "trip", "aisle", "section", "food", "ask_for", "buy_g", "need_g", "need_low_g", "need_high_g",
    "from_cupboard_g", "left_over_g", "use_by", "first_needed", "dishes", "allergens",
    "label_check", "read_label_for", "price", "currency", "note",
)  # fmt: skip
RANGE_WORTH_SAYING = 0.25
"""A need whose range is wider than this share of it is printed with its range. [1]"""
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""Cells that a spreadsheet would run as a formula get an apostrophe in front."""


def list_text(shopping: ShoppingList, *, dishes: bool = False) -> str:
    """
    Write the list as plain text, trip by trip in walking order.

    Parameters
    ----------
    shopping : ShoppingList
    dishes : bool
        Add under each line which dishes it is for.

    Returns
    -------
    str
    """
    rows = []
    for trip in shopping.trips or (shopping.start,):
        groups = shopping.by_aisle(trip)
        if not groups:
            continue
        first = trip == shopping.start
        rows.append(f"{'SHOP' if first else 'SHOP AGAIN'} {trip:%A %d %B}".upper())
        for heading, lines in groups:
            rows.append(f"\n  {heading.capitalize()}")
            for line in lines:
                rows.append(f"   [ ] {_line(line)}")
                if dishes:
                    rows += [f"         for {name}" for name in line.dishes]
        rows.append("")
    rows += [f"- {note}" for note in shopping.notes]
    return "\n".join(rows)


def _line(line: ListLine) -> str:
    said = f"{line.shop_name}: {line.packs_text()}"
    if line.section == "check at home":
        needed = line.need_measure or line.weight(line.need_g)
        said = f"{line.shop_name}: {needed} needed; else buy {line.packs_text()}"
    elif line.section == "at home":
        said = f"{line.shop_name}: {line.weight(line.need_g)} from the cupboard"
    elif line.from_cupboard_g:
        said += f" (with {line.weight(line.from_cupboard_g)} from the cupboard)"
    if line.section == "buy" and line.high_g - line.low_g > RANGE_WORTH_SAYING * line.need_g:
        said += (
            f" (need {line.weight(line.need_g)}; kitchens differ: {line.weight(line.low_g)} to "
            f"{line.weight(line.high_g)})"
        )
    extras = [line.note] if line.note else []
    if line.read_label:
        extras.append(line.label_text())
    if line.past_best:
        extras.append(f"needed {line.first_needed:%A}: past its usual days by then")
    return f"{said}{'; ' if extras else ''}{'; '.join(extras)}"


def list_csv(shopping: ShoppingList) -> str:
    """
    Write the list as CSV by RFC 4180, a header line first.

    Parameters
    ----------
    shopping : ShoppingList

    Returns
    -------
    str
        Lines end in CRLF; weights in grams as bought.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(CSV_COLUMNS)
    for heading, lines in shopping.by_aisle():
        for line in lines:
            writer.writerow(
                [
                    line.trip_on.isoformat() if line.trip_on else "",
                    _cell(line.aisle or heading),
                    _cell(line.section),
                    _cell(line.shop_name),
                    _cell(line.packs_text()),
                    line.buy_g,
                    line.need_g,
                    line.low_g,
                    line.high_g,
                    line.from_cupboard_g,
                    line.left_over_g,
                    line.use_by.isoformat() if line.use_by else "",
                    line.first_needed.isoformat(),
                    _cell("; ".join(line.dishes)),
                    _cell("; ".join(line.allergens)),
                    _cell("; ".join(line.label_check)),
                    _cell("; ".join(line.read_label)),
                    "" if line.price is None else f"{line.price:.2f}",
                    shopping.currency,
                    _cell(line.note),
                ]
            )
    return out.getvalue()


def _cell(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text


def list_json(shopping: ShoppingList) -> str:
    """
    Write the list as JSON.

    Parameters
    ----------
    shopping : ShoppingList

    Returns
    -------
    str
    """
    return shopping.model_dump_json(indent=2)
