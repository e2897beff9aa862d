"""
Supplement lines: what plants do not bring, in fixed doses, said openly.

Vitamin B12, vitamin D and iodine are on unless the coach says no; algae oil and calcium are
choices; iron is a line only when a clinician has prescribed it. Lines stand beside the plan, never
inside a food: a plan must not pretend that food alone reaches these nutrients.

References
----------
.. [1] Institute of Medicine 1998 (vitamin B12), 2001 (iodine), 2011 (vitamin D, calcium).
.. [2] EFSA 2010, dietary reference values for fats, doi:10.2903/j.efsa.2010.1461 (EPA and DHA).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from mealplan.errors import TargetError
from mealplan.nutrition.b12_uptake import b12_food_equivalent_ug
from mealplan.nutrition.reference_intakes import reference_intake
from mealplan.references.tables import (
    Condition,
    Provenance,
    Sex,
    SupplementRow,
    supplement_rows,
    weakest,
)

LineKey = Literal[
    "vitamin_b12", "vitamin_d", "iodine", "folic_acid", "algae_oil", "calcium", "iron"
]

LABELS: Mapping[LineKey, str] = {
    "vitamin_b12": "Vitamin B12",
    "vitamin_d": "Vitamin D",
    "iodine": "Iodine",
    "folic_acid": "Folic acid",
    "algae_oil": "Algae oil (EPA and DHA)",
    "calcium": "Calcium",
    "iron": "Iron (prescribed)",
}

IU_PER_UG = 40.0
"""International units of vitamin D in a microgram, by definition. [IU/µg]"""
ALWAYS_ON: tuple[LineKey, ...] = ("vitamin_b12", "vitamin_d", "iodine")
"""On unless the coach turns them off, which leaves a warning on the plan."""

CAUTIONS: Mapping[LineKey, str] = {
    "vitamin_b12": (
        "Safe at these doses. A blood test of B12 with methylmalonic acid or holotranscobalamin "
        "shows whether it works; numbness or a sore tongue: see a doctor."
    ),
    "vitamin_d": (
        "Vegan forms are D2 and lichen D3. Stay under 100 µg a day from all sources; kidney "
        "stones, sarcoidosis or high calcium: ask a doctor first."
    ),
    "iodine": (
        "Not with thyroid disease or thyroid medicine unless a doctor says so. Never from kelp: "
        "a fifth of a gram can pass the upper limit. Take the line or iodised salt, not both."
    ),
    "folic_acid": (
        "From before conception to the end of the first three months, and as the clinic says; more "
        "after a child with a neural tube defect, with diabetes or with epilepsy: ask the doctor."
    ),
    "algae_oil": "With anticoagulants, ask a doctor before starting.",
    "calcium": (
        "Up to 500 mg at once, with a meal but not the one richest in iron, and four hours from "
        "thyroid medicine. Kidney stones: ask a doctor first."
    ),
    "iron": (
        "Only as prescribed after a blood test. Keep away from children; not with "
        "haemochromatosis; four hours from thyroid medicine; not together with calcium, tea or "
        "coffee."
    ),
}


@dataclass(frozen=True)
class SupplementTaken:
    """
    One supplement as taken.

    ``nutrients`` is what is swallowed, averaged over a week; ``counted`` is what of it counts
    toward the day's floors in food terms, which differs for vitamin B12 because large doses are
    absorbed in small part. Both by nutrient key, amounts a day in the key's unit.
    """

    key: LineKey
    regimen: str
    label: str
    doses_per_week: float
    dose_steps: Mapping[str, tuple[float, ...]]
    nutrients: Mapping[str, float]
    counted: Mapping[str, float]
    always_on: bool
    prescribed_by: str
    caution: str
    source: str
    provenance: Provenance


def regimens(key: LineKey) -> tuple[str, ...]:
    """
    Name the ways one line can be taken, the usual one first.

    Parameters
    ----------
    key : LineKey
        Nutrient key.
    """
    rows = [row for row in supplement_rows() if row.line == key]
    if not rows:
        known = ", ".join(dict.fromkeys(row.line for row in supplement_rows()))
        raise TargetError(
            f"no supplement line {key!r}; there are {known}, and iron through prescribed_iron"
        )
    rows.sort(key=lambda row: not row.usual)
    return tuple(dict.fromkeys(row.regimen for row in rows))


def _counted(row: SupplementRow, dose: float) -> float:
    if row.nutrient == "vitamin_b12_ug":
        return b12_food_equivalent_ug(dose, row.doses_per_week)
    return dose * row.doses_per_week / 7


def supplement_line(
    key: LineKey, regimen: str | None = None, dose: float | None = None
) -> SupplementTaken:
    """
    Make one supplement line.

    Parameters
    ----------
    key : LineKey
        ``vitamin_b12``, ``vitamin_d``, ``iodine``, ``algae_oil`` or ``calcium``.
    regimen : str, optional
        One of :func:`regimens`; the usual one when left out.
    dose : float, optional
        Another dose of the same regimen; must be one of its steps. Lines with several nutrients
        come in their one strength only. [unit of the nutrient, per dose]

    Returns
    -------
    SupplementTaken
    """
    known = regimens(key)
    chosen = known[0] if regimen is None else regimen
    rows = [row for row in supplement_rows() if row.line == key and row.regimen == chosen]
    if not rows:
        raise TargetError(f"{key} has no regimen {chosen!r}; choose one of {', '.join(known)}")
    main = rows[0]
    if dose is not None and (len(rows) > 1 or dose not in main.dose_steps):
        steps = ", ".join(f"{step:g}" for step in main.dose_steps)
        raise TargetError(
            f"{key} is not sold at {dose:g} {main.unit} a dose in the {chosen} regimen; "
            f"steps: {steps}"
        )
    amounts = {row.nutrient: row.dose if dose is None else dose for row in rows}
    label = main.label
    if dose is not None and dose != main.dose:
        unit = "µg" if main.unit == "ug" else main.unit
        often = "a day" if main.doses_per_week == 7 else f"{main.doses_per_week:g} times a week"
        international = f" ({dose * IU_PER_UG:,.0f} IU)" if key == "vitamin_d" else ""
        label = f"{dose:g} {unit}{international} {often}"
    return SupplementTaken(
        key=key,
        regimen=chosen,
        label=f"{LABELS[key]}: {label}",
        doses_per_week=main.doses_per_week,
        dose_steps={row.nutrient: row.dose_steps for row in rows},
        nutrients={row.nutrient: amounts[row.nutrient] * row.doses_per_week / 7 for row in rows},
        counted={row.nutrient: _counted(row, amounts[row.nutrient]) for row in rows},
        always_on=key in ALWAYS_ON,
        prescribed_by="",
        caution=CAUTIONS[key],
        source="; ".join(dict.fromkeys(row.source for row in rows)),
        provenance=weakest(row.provenance for row in rows),
    )


def prescribed_iron(iron_mg_per_day: float, prescribed_by: str) -> SupplementTaken:
    """
    Make an iron line that a clinician prescribed.

    Parameters
    ----------
    iron_mg_per_day : float
        Elemental iron, averaged over days when taken every other day. [mg/day]
    prescribed_by : str
        Role of the clinician, such as general practitioner.

    Returns
    -------
    SupplementTaken

    Raises
    ------
    TargetError
        Without a prescriber: this program never starts iron by itself.
    """
    if len(prescribed_by.strip()) < 3:
        raise TargetError(
            "iron is a line only when a clinician prescribed it after a blood test; name their role"
        )
    if not 0 < iron_mg_per_day <= 200:
        raise TargetError(
            f"iron_mg_per_day={iron_mg_per_day:g} is outside 0 to 200; give elemental "
            "iron, not the salt"
        )
    return SupplementTaken(
        key="iron",
        regimen="prescribed",
        label=f"{LABELS['iron']}: {iron_mg_per_day:g} mg a day, by {prescribed_by.strip()}",
        doses_per_week=7,
        dose_steps={"iron_mg": (iron_mg_per_day,)},
        nutrients={"iron_mg": iron_mg_per_day},
        counted={"iron_mg": iron_mg_per_day},
        always_on=False,
        prescribed_by=prescribed_by.strip(),
        caution=CAUTIONS["iron"],
        source="the client's prescription",
        provenance="common practice",
    )


@dataclass(frozen=True)
class SupplementChoice:
    """The lines of a plan and what to warn about."""

    lines: tuple[SupplementTaken, ...]
    warnings: tuple[str, ...]

    @property
    def counted(self) -> dict[str, float]:
        """Add up what counts toward the day's floors, by nutrient key."""
        return _sum(line.counted for line in self.lines)

    @property
    def nutrients(self) -> dict[str, float]:
        """Add up what is swallowed a day, by nutrient key; compare upper limits with this."""
        return _sum(line.nutrients for line in self.lines)


def _sum(parts: Iterable[Mapping[str, float]]) -> dict[str, float]:
    total: dict[str, float] = {}
    for part in parts:
        for nutrient, amount in part.items():
            total[nutrient] = total.get(nutrient, 0.0) + amount
    return total


def choose_lines(
    sex: Sex,
    age_years: float,
    condition: Condition = "none",
    *,
    switches: Mapping[str, bool] | None = None,
    regimen: Mapping[str, str] | None = None,
) -> SupplementChoice:
    """
    Choose the supplement lines of one client.

    Parameters
    ----------
    sex, age_years, condition
        Pick the recommended intakes that the doses must reach.
    switches : mapping of str to bool, optional
        By line key; lines not named keep their default.
    regimen : mapping of str to str, optional
        Regimen by line key; the usual one when left out.

    Returns
    -------
    SupplementChoice
        Warnings name every default line that was turned off and every line that falls short of the
        recommended intake.
    """
    switches = dict(switches or {})
    regimen = dict(regimen or {})
    unknown = (set(switches) | set(regimen)) - set(LABELS)
    if unknown:
        raise TargetError(
            f"no supplement line {sorted(unknown)[0]!r}; there are {', '.join(LABELS)}"
        )
    if switches.get("iron"):
        raise TargetError(
            "iron cannot be switched on here: see a doctor for a blood test, then enter the dose "
            "as prescribed_iron"
        )
    lines: list[SupplementTaken] = []
    warnings: list[str] = []
    for key, label in LABELS.items():
        if key == "iron":
            continue
        on = switches.get(key, key in ALWAYS_ON)
        if not on:
            if key in ALWAYS_ON:
                warnings.append(
                    f"{label} was turned off: no plant food brings it reliably. Say where it comes "
                    "from, or ask a registered dietitian"
                )
            continue
        line = supplement_line(key, regimen.get(key))
        if key in ALWAYS_ON:
            line = _reach_goal(line, sex, age_years, condition, warnings)
        lines.append(line)
    return SupplementChoice(tuple(lines), tuple(warnings))


def _reach_goal(
    line: SupplementTaken,
    sex: Sex,
    age_years: float,
    condition: Condition,
    warnings: list[str],
) -> SupplementTaken:
    """Take the smallest dose step that reaches the goal, or warn that none does."""
    nutrient = next(iter(line.counted))
    goal = reference_intake(nutrient, sex, age_years, condition).goal
    if line.counted[nutrient] >= goal - 1e-9:
        return line
    if len(line.counted) == 1:
        for step in sorted(line.dose_steps[nutrient]):
            stronger = supplement_line(line.key, line.regimen, step)
            if stronger.counted[nutrient] >= goal - 1e-9:
                return stronger
    warnings.append(
        f"{line.label} brings {line.counted[nutrient]:.3g} of {goal:g}: the rest must come from "
        "food, or ask a registered dietitian"
    )
    return line
