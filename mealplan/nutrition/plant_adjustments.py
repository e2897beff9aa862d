"""
What changes in the reference intakes when all food comes from plants, as named switches.

Each switch says why it is there and can be turned off by the coach. A goal that food cannot reach
never stops a plan: the record lists the floors it may relax to, in order, with what to do about it.

References
----------
.. [1] Institute of Medicine 2001, chapters on iron and zinc.
.. [2] Institute of Medicine 2005, alpha-linolenic acid.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal

from mealplan.errors import TargetError
from mealplan.nutrition.reference_intakes import ReferenceIntake
from mealplan.references.tables import Provenance, read_rows
from mealplan.references.uptake_tables import plant_adjustment_rows

SwitchName = Literal[
    "iron_1_8", "zinc_1_5", "alpha_linolenic_2", "calcium_oxalate", "b12_only_added", "protein_1_1"
]


@dataclass(frozen=True)
class Switch:
    """One adjustment: what it does, why, and whether it is on unless someone says no."""

    name: SwitchName
    nutrient: str
    effect: str
    reason: str
    on: bool
    source: str
    provenance: Provenance


def _switch(
    name: SwitchName, row: str, effect: str, reason: str, on: bool = True
) -> tuple[SwitchName, Switch]:
    numbers = plant_adjustment_rows()[row]
    return name, Switch(
        name, numbers.nutrient, effect, reason, on, numbers.source, numbers.provenance
    )


SWITCHES: Mapping[SwitchName, Switch] = dict(
    [
        _switch(
            "iron_1_8", "iron_factor", "goal and average requirement x 1.8",
            "about 10 % of the iron of plants is absorbed, against 18 % of a mixed diet",
        ),
        _switch(
            "zinc_1_5", "zinc_factor", "a wish of 1.5 x the goal; the goal itself stays",
            "phytate of grains and legumes binds zinc: up to half as much again may be needed",
        ),
        _switch(
            "alpha_linolenic_2", "alpha_linolenic_factor", "a wish of twice the adequate intake",
            "without EPA and DHA the body must make its own from alpha-linolenic acid",
        ),
        _switch(
            "calcium_oxalate", "oxalate_calcium_factor",
            "calcium of spinach, chard, beet greens, rhubarb and amaranth leaves counts 0.159",
            "oxalate binds it: 5.1 % of spinach's calcium is absorbed, against 32.1 % of milk's",
        ),
        _switch(
            "b12_only_added", "b12_food_credit", "only added vitamin B12 counts",
            "algae, ferments and unwashed produce hold look-alikes that do not work in people",
        ),
        _switch(
            "protein_1_1", "protein_uplift", "protein target x 1.1",
            "plant protein is digested less; off because digestible amino acids are counted",
            on=False,
        ),
    ]
)  # fmt: skip
"""Every switch by name; reasons fit on a worksheet."""


@dataclass(frozen=True)
class FloorRelaxation:
    """A lower floor to fall back on, and what to say and do when it is used."""

    floor: float
    basis: str
    then: str


@dataclass(frozen=True)
class AdjustedGoal:
    """
    One nutrient's goal on a plant-based diet; amounts a day in ``unit``.

    ``goal`` is what the plan aims to reach; ``wish`` a higher amount worth reaching if it costs
    little; ``relax`` the floors to fall back on, highest first. ``conflict`` is set when the goal
    exceeds the upper limit: then no plan may try to reach it.
    """

    nutrient: str
    unit: str
    goal: float
    basis: str
    wish: float | None
    wish_reason: str
    relax: tuple[FloorRelaxation, ...]
    conflict: str | None
    mend: str
    switches: tuple[SwitchName, ...]
    reference: ReferenceIntake


def mending(nutrient: str, avoided: Collection[str] = frozenset()) -> str:
    """
    Say the cheapest ways to mend a shortfall, in a cook's words.

    Parameters
    ----------
    nutrient : str
        Registry key.
    avoided : collection of str
        Catalogue keys this client does not eat; what names one of them is not said.

    Returns
    -------
    str
        Empty when nothing is known.
    """
    said = (
        row["suggestion"]
        for row in read_rows("mending.csv")
        if row["nutrient"] == nutrient and not set(row["foods"].split(";")) & set(avoided)
    )
    return ", ".join(said)


HARD_TO_REACH = frozenset(
    {"iron_mg", "zinc_mg", "calcium_mg", "choline_mg", "vitamin_e_mg", "fibre_g"}
)
"""Floors that whole-food plant days miss first; a planner should price them, not insist."""


def adjusted_goal(
    reference: ReferenceIntake,
    off: frozenset[SwitchName] = frozenset(),
    *,
    takes_epa_dha: bool = False,
    avoided: Collection[str] = frozenset(),
) -> AdjustedGoal:
    """
    Adjust one nutrient's goal for a diet of plants.

    Parameters
    ----------
    reference : ReferenceIntake
        From :func:`mealplan.nutrition.reference_intakes.reference_intake`.
    off : frozenset of SwitchName
        Adjustments the coach turned off.
    takes_epa_dha : bool
        True when the algae-oil line is on; then alpha-linolenic acid is not doubled.
    avoided : collection of str
        Catalogue keys this client does not eat, never suggested.

    Returns
    -------
    AdjustedGoal
    """
    unknown = off - set(SWITCHES)
    if unknown:
        raise TargetError(
            f"no plant-based adjustment {sorted(unknown)[0]!r}; there are {', '.join(SWITCHES)}"
        )
    rows = plant_adjustment_rows()
    goal, basis = reference.goal, str(reference.goal_kind)
    ear = reference.ear
    wish, wish_reason = None, ""
    used: list[SwitchName] = []
    then = mending(reference.nutrient, avoided) or "more of the foods that are rich in it"
    relax_basis = "EAR"
    if reference.nutrient == "iron_mg" and "iron_1_8" not in off:
        factor = rows["iron_factor"].value
        goal, basis = goal * factor, f"{factor:g} x RDA"
        ear, relax_basis = (None if ear is None else ear * factor), f"{factor:g} x EAR"
        then = "ask a doctor for a blood test of iron stores (ferritin)"
        used.append("iron_1_8")
    elif reference.nutrient == "zinc_mg" and "zinc_1_5" not in off:
        wish, wish_reason = goal * rows["zinc_factor"].value, SWITCHES["zinc_1_5"].reason
        used.append("zinc_1_5")
    elif reference.nutrient == "alpha_linolenic_g" and not takes_epa_dha:
        if "alpha_linolenic_2" not in off:
            wish = goal * rows["alpha_linolenic_factor"].value
            wish_reason = SWITCHES["alpha_linolenic_2"].reason
            used.append("alpha_linolenic_2")
    elif reference.nutrient == "calcium_mg" and "calcium_oxalate" not in off:
        used.append("calcium_oxalate")
    elif reference.nutrient == "vitamin_b12_ug" and "b12_only_added" not in off:
        used.append("b12_only_added")
    ceiling = reference.food_ceiling
    conflict = None
    if ceiling is not None and ceiling[0] == reference.nutrient and goal > ceiling[1]:
        conflict = (
            f"{reference.nutrient} goal {goal:g} ({basis}) exceeds its upper limit {ceiling[1]:g}: "
            "a physician or registered dietitian must set it; no plan tries to reach it"
        )
    relax: tuple[FloorRelaxation, ...] = ()
    if ear is not None and conflict is None:
        relax = (FloorRelaxation(ear, relax_basis, then),)
    return AdjustedGoal(
        nutrient=reference.nutrient,
        unit=reference.unit,
        goal=goal,
        basis=basis,
        wish=wish,
        wish_reason=wish_reason,
        relax=relax,
        conflict=conflict,
        mend=mending(reference.nutrient, avoided),
        switches=tuple(used),
        reference=reference,
    )
