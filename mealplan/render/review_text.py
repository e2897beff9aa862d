"""A phase looked back on as plain text for a terminal."""

from __future__ import annotations

import textwrap

from mealplan.checkin.log.entries import KG_PER_UNIT
from mealplan.checkin.phase import LookBack
from mealplan.checkin.review.change import Change
from mealplan.checkin.review.reviewed import PhaseReview

WIDTH = 96


def review_text(role: str, found: LookBack) -> str:
    """
    Write a phase looked back on.

    Parameters
    ----------
    role : str
        What the client does.
    found : LookBack

    Returns
    -------
    str
    """
    span = found.span
    rows = [
        f"LOOKING BACK ON THE {span.name.upper()} PHASE  {role}",
        f"{span.weeks} weeks, {span.start} to {span.end}",
        "",
    ]
    if found.review is None:
        return "\n".join([*rows, "Too early to look back.", *_bullets(found.missing)])
    return "\n".join([*rows, *_reviewed(found.review), *_kept(found)])


def _reviewed(review: PhaseReview) -> list[str]:
    factor = KG_PER_UNIT[review.unit]
    rows = [
        *textwrap.wrap(_upper(review.verdict) + ".", WIDTH),
        "",
        *textwrap.wrap(
            f"Measured {review.mass.change:+.1f} {review.unit} ({review.mass.low:+.1f} to "
            f"{review.mass.high:+.1f}), expected {review.expected_change_kg / factor:+.1f} "
            f"({review.expected_low_kg / factor:+.1f} to "
            f"{review.expected_high_kg / factor:+.1f}): {review.against_plan}.",
            WIDTH,
        ),
        "",
        f"{'MUSCLE, FAT OR NOISE?':24}{'start':>10}{'end':>10}{'change':>10}{'it takes':>10}",
        *(_row(one) for one in review.changes),
    ]
    if review.share is not None:
        rows += ["", *textwrap.wrap(_upper(review.share.words) + ".", WIDTH)]
    if review.tests:
        rows += ["", "STRENGTH AND ENDURANCE"]
        rows += [
            f"  {one.name}: {one.first:.10g} to {one.last:.10g} {one.unit}".rstrip()
            + f", {one.word} (it takes {one.least_significant:.2g})"
            for one in review.tests
        ]
    return rows


def _row(one: Change) -> str:
    verdict = "cannot be told" if one.word == "no detectable change" else one.word
    return (
        f"  {f'{_upper(one.what)}, {one.unit}':22}{one.first:10.1f}{one.last:10.1f}"
        f"{one.change:+10.1f}{one.least_significant:10.1f}  {verdict}"
    )


def _kept(found: LookBack) -> list[str]:
    review = found.review
    if review is None:
        return []
    learned = list(review.learned)
    if found.spent is not None:
        learned.append(
            f"at the end about {found.spent.value:,.0f} kcal a day, logged as before, held weight "
            f"({found.spent.low:,.0f} to {found.spent.high:,.0f})"
        )
    rows = ["", "TO KEEP FOR THE NEXT PHASE", *_bullets((*review.habits, *learned))]
    for heading, texts in (
        ("READ WITH CARE", review.cautions),
        ("WHAT WOULD HAVE TOLD MORE", review.wanting),
    ):
        if texts:
            rows += ["", heading, *_bullets(texts)]
    return rows


def _bullets(texts: tuple[str, ...]) -> list[str]:
    return [
        line
        for text in texts
        for line in textwrap.wrap(
            _upper(text) + ".", WIDTH, initial_indent="  - ", subsequent_indent="    "
        )
    ]


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
