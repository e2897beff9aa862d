"""Compare a day's food and supplements with each upper limit, on what the limit counts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from mealplan.nutrition.reference_intakes import ReferenceIntake
from mealplan.references.tables import Scope, Strength


@dataclass(frozen=True)
class LimitFinding:
    """One upper limit that a day passes; amounts a day in ``unit``."""

    nutrient: str
    counted: float
    limit: float
    unit: str
    scope: Scope
    strength: Strength
    text: str


def counted_amount(
    reference: ReferenceIntake, food: Mapping[str, float], supplements: Mapping[str, float]
) -> float:
    """
    Add up what an upper limit counts.

    Parameters
    ----------
    reference : ReferenceIntake
        With an upper limit.
    food, supplements : mapping of str to float
        Day totals by nutrient key; a key left out counts as nothing. [unit of the key]

    Returns
    -------
    float
        For magnesium supplements only, for vitamin A retinol only, and so on. [unit]
    """
    scope = reference.ul_scope
    if scope is None:
        return 0.0
    from_food = food.get(scope.limits, 0.0) if scope.limits else 0.0
    return from_food + supplements.get(scope.supplement_key, 0.0)


def limit_findings(
    references: Iterable[ReferenceIntake],
    food: Mapping[str, float],
    supplements: Mapping[str, float] | None = None,
) -> tuple[LimitFinding, ...]:
    """
    List the upper limits that a day passes.

    Parameters
    ----------
    references : iterable of ReferenceIntake
        Those without a limit are passed over.
    food : mapping of str to float
        Day totals from food by nutrient key, ``retinol_ug`` and ``folic_acid_ug`` among them.
    supplements : mapping of str to float, optional
        Day totals from supplements.

    Returns
    -------
    tuple of LimitFinding
        Missing food values count as nothing here, so an empty answer is not a proof of safety
        where the table's coverage is thin.
    """
    findings = []
    for reference in references:
        if reference.ul is None or reference.ul_scope is None:
            continue
        amount = counted_amount(reference, food, supplements or {})
        if amount <= reference.ul * (1 + 1e-9):
            continue
        scope = reference.ul_scope
        findings.append(
            LimitFinding(
                nutrient=reference.nutrient,
                counted=amount,
                limit=reference.ul,
                unit=reference.unit,
                scope=scope.scope,
                strength=scope.strength,
                text=(
                    f"{scope.limits or scope.supplement_key} {amount:.4g} is above the upper limit "
                    f"{reference.ul:g} ({scope.scope}): {scope.reason}"
                ),
            )
        )
    return tuple(findings)
