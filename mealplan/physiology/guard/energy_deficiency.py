"""
Screening for relative energy deficiency in sport by questions, after the consensus's indicators.

The questions are our own; which signs weigh most follows the consensus's assessment tool, whose
scoring and return to sport belong to a physician. Nothing here diagnoses.

References
----------
.. [1] Mountjoy et al. 2023, Br J Sports Med 57:1073, doi:10.1136/bjsports-2023-106994.
.. [2] Stellingwerff et al. 2023, Br J Sports Med 57:1109, doi:10.1136/bjsports-2023-106914.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from mealplan.physiology.guard.findings import BOTH, Finding
from mealplan.references.tables import Provenance, Sex, provenance, read_rows

Weight = Literal["severe", "primary", "secondary", "possible"]
INSTRUMENTS = (
    "published instruments for professionals: the consensus's clinical assessment tool, LEAF-Q for "
    "women, LEAM-Q for men, EDE-Q for eating"
)


@dataclass(frozen=True)
class Indicator:
    """One sign the consensus names, as this program asks for it."""

    key: str
    weight: Weight
    """How the consensus counts it; severe counts as two primary ones."""
    sex: Literal["male", "female", "any"]
    words: str
    """The sign as a worksheet names it."""
    question: str
    source: str
    provenance: Provenance


def indicators(sex: Sex) -> tuple[Indicator, ...]:
    """
    Load the signs that are asked of one sex.

    Parameters
    ----------
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    tuple of Indicator
        In file order, gravest first.
    """
    weights: dict[str, Weight] = {
        "severe": "severe",
        "primary": "primary",
        "secondary": "secondary",
        "possible": "possible",
    }
    sexes: dict[str, Literal["male", "female", "any"]] = {
        "male": "male",
        "female": "female",
        "any": "any",
    }
    return tuple(
        Indicator(
            key=row["key"],
            weight=weights[row["weight"]],
            sex=sexes[row["sex"]],
            words=row["words"],
            question=row["question"],
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("energy_deficiency.csv")
        if row["sex"] in ("any", sex)
    )


@dataclass(frozen=True)
class DeficiencyScreen:
    """
    What the answers come to.

    Attributes
    ----------
    present : tuple of Indicator
        Signs answered with yes, gravest first.
    unasked : tuple of Indicator
        Signs without an answer.
    primary : int
        Primary signs, a severe one counting twice.
    secondary : int
        Secondary signs.
    """

    present: tuple[Indicator, ...]
    unasked: tuple[Indicator, ...]
    primary: int
    secondary: int


def screen_deficiency(sex: Sex, answers: Mapping[str, bool | None]) -> DeficiencyScreen:
    """
    Sort answers by how the consensus weighs their signs.

    Parameters
    ----------
    sex : str
        ``"male"`` or ``"female"``.
    answers : mapping of str to bool or None
        By the indicator's key; None or left out was not asked, which is not the same as no.

    Returns
    -------
    DeficiencyScreen
    """
    asked = indicators(sex)
    present = tuple(one for one in asked if answers.get(one.key))
    count = {"severe": 2, "primary": 1}
    return DeficiencyScreen(
        present=present,
        unasked=tuple(one for one in asked if answers.get(one.key) is None),
        primary=sum(count.get(one.weight, 0) for one in present),
        secondary=sum(one.weight == "secondary" for one in present),
    )


REPEAT = (
    "; repeat the resting test first, fasted and rested: a leak or a wrong unit reads low too, and "
    "a low one that comes again can also be an underactive thyroid"
)
"""What to do about a low resting ratio before anyone acts on it (common practice)."""


def deficiency_findings(found: DeficiencyScreen, *, deficit: bool) -> tuple[Finding, ...]:
    """
    Say what the signs mean for a plan and whom to see.

    One primary sign keeps every plan for a professional; two lesser ones, or a low resting ratio,
    keep a deficit for one; a single lesser sign is said.

    Parameters
    ----------
    found : DeficiencyScreen
        Signs.
    deficit : bool
        True when the plan would be below maintenance.

    Returns
    -------
    tuple of Finding
        At most one.
    """
    if not found.present:
        return ()
    lesser = len(found.present) - sum(one.weight in ("severe", "primary") for one in found.present)
    ratio = any(one.key == "resting_ratio_low" for one in found.present)
    grave = found.primary > 0 or (deficit and (lesser >= 2 or ratio))
    several = len(found.present) > 1
    listed = ", ".join(one.words for one in found.present)
    sign = "signs" if several else "one of the signs"
    message = f"{listed}: {sign} of too little energy for the training done"
    if grave and deficit:
        message += ": no deficit until seen"
    first = found.present[0]
    when = (
        "within days, and hard training waits until then"
        if found.primary >= 2
        else "within weeks"
        if found.primary or lesser >= 2
        else "when it goes on"
    )
    return (
        Finding(
            code="energy_deficiency_signs",
            severity="override" if grave else "warn",
            message=message,
            reason=(
                "relative energy deficiency harms bone, hormones and immunity; a physician looks "
                f"into it {when}, with a sports dietitian; {INSTRUMENTS}{REPEAT if ratio else ''}"
            ),
            see=BOTH,
            source=first.source,
            provenance=first.provenance,
        ),
    )
