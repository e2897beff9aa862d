"""
The ranges of one day: every nutrient a plan must reach, stay under, or merely show.

Given the day's energy, body and training load, this collects protein, fuel, fibre, amino acids,
vitamins, minerals and supplement lines into one table of :class:`TargetRange`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from foods.registry.nutrients import nutrient
from mealplan.client.intake import Intake, Weekday
from mealplan.errors import IntakeError
from mealplan.kitchen.avoided import avoided_foods
from mealplan.nutrition.amino_acids import minimums_g, pattern_source
from mealplan.nutrition.fluid import salt_g, sodium_target
from mealplan.nutrition.fuel import (
    KCAL_PER_G_CARBOHYDRATE,
    KCAL_PER_G_FAT,
    KCAL_PER_G_PROTEIN,
    Load,
    Range,
    carbohydrate_target,
    fat_target,
    fibre_target,
)
from mealplan.nutrition.plant_adjustments import adjusted_goal
from mealplan.nutrition.protein_told import ProteinTarget
from mealplan.nutrition.reference_intakes import ReferenceIntake, all_reference_intakes
from mealplan.nutrition.supplements import SupplementChoice
from mealplan.references.tables import Condition
from mealplan.targets.bloods import adjusted_for_bloods
from mealplan.targets.conditions import adjusted_for_health
from mealplan.targets.fuel_totals import taken_while_training, timed_carbohydrate_g
from mealplan.targets.fuelling import OTHER_MEALS_G_PER_KG
from mealplan.targets.ranges import DayTargets, FuelItem, TargetRange

NOT_ASSESSED = frozenset(
    {"biotin_ug", "chromium_ug", "molybdenum_ug", "chloride_mg", "fluoride_ug", "water_g"}
)
"""Not in the composition release, or so rarely measured that a total would mislead."""

HANDLED_ELSEWHERE = frozenset(
    {"carbohydrate_g", "fibre_g", "protein_g_per_kg", "sodium_mg", "iodine_ug"}
)

WEEKLY_GROUPS = frozenset({"vitamin", "mineral"})
"""Nutrients whose floors are means of the week."""

SUPPLEMENT_ONLY = frozenset({"vitamin_b12_ug", "vitamin_d_ug"})

TAKEN_BETWEEN_MEALS = "what is taken between meals, and while training"
TAKEN_WHILE_TRAINING = "what is taken while training"

CEILING_ABOVE = 1.1
"""A raised ceiling of carbohydrate lies so far above what is needed. [ratio] (common practice)"""
LOADING_FAT_SHARES = (0.08, 0.12, 0.18)
"""Least, aim and most of energy from fat on a loading day. [fraction] (common practice)"""
LOADING_FIBRE_G = 40.0
"""Most fibre of a loading day or a race's, as a wish. [g] (common practice)"""
ENERGY_BAND = 0.02
"""A planned day lies this close to its energy target, as a fraction."""


@dataclass(frozen=True)
class DayInputs:
    """What one day's ranges depend on."""

    weekday: Weekday
    energy_kcal: float
    load: Load
    training_hours: float
    protein: ProteinTarget
    condition: Condition
    sweat_l_per_h: float = 0.0
    """While training. [L/h]"""
    sweat_words: str = ""
    """Where the sweat rate comes from."""
    carbohydrate: Range | None = None
    """In place of the load's, before a race. [g/day]"""
    race: bool = False
    """The day of a race, low in fibre."""
    fuel: tuple[FuelItem, ...] = ()
    """Around the day's sessions."""
    meal_times: tuple[str, ...] = ()
    """Of the day's meals, HH:MM."""


def day_ranges(intake: Intake, inputs: DayInputs, supplements: SupplementChoice) -> DayTargets:
    """
    Collect a day's ranges.

    Parameters
    ----------
    intake : Intake
        Body mass, sex, age, and the coach's own bounds.
    inputs : DayInputs
        The day's energy, training and protein.
    supplements : SupplementChoice
        Lines taken each day.

    Returns
    -------
    DayTargets

    Raises
    ------
    IntakeError
        When a coach's bound names no nutrient or contradicts a ceiling.
    """
    ranges: dict[str, TargetRange] = {}

    def put(target: TargetRange) -> None:
        ranges[target.key] = target

    put(_energy(inputs))
    put(_protein(inputs.protein))
    for target in (*_fuel(intake, inputs), *_amino_acids(intake, inputs.protein)):
        put(target)
    supplied = {key: amount for line in supplements.lines for key, amount in line.counted.items()}
    names = {key: line.label for line in supplements.lines for key in line.counted}
    references = all_reference_intakes(intake.sex, intake.age_years, inputs.condition)
    avoided = avoided_foods(intake)
    algae = any(line.key == "algae_oil" for line in supplements.lines)
    for key, reference in references.items():
        if key in NOT_ASSESSED or key in HANDLED_ELSEWHERE:
            continue
        for target in _from_reference(reference, algae, supplied, names, avoided):
            put(target)
    put(_sodium(intake, inputs))
    for key, amount in taken_while_training(inputs.fuel).items():
        put(ranges[key].model_copy(update={"supplied": amount, "supplied_by": _beside(inputs)}))
    if not intake.nutrition.daily_floors:
        for key, target in ranges.items():
            if nutrient(key).group in WEEKLY_GROUPS:
                ranges[key] = target.weekly()
    return DayTargets(
        weekday=inputs.weekday,
        energy_kcal=inputs.energy_kcal,
        ranges=_with_bounds(
            adjusted_for_bloods(adjusted_for_health(ranges, intake), intake), intake
        ),
        fuel=inputs.fuel,
        meal_times=inputs.meal_times,
    )


def _beside(inputs: DayInputs) -> str:
    """Name what a day's meals leave room for."""
    loading = any(item.when == "between" for item in inputs.fuel)
    return TAKEN_BETWEEN_MEALS if loading else TAKEN_WHILE_TRAINING


def _energy(inputs: DayInputs) -> TargetRange:
    return TargetRange(
        key="energy_kcal",
        label="Energy",
        unit="kcal",
        low=inputs.energy_kcal * (1 - ENERGY_BAND),
        aim=inputs.energy_kcal,
        high=inputs.energy_kcal * (1 + ENERGY_BAND),
        low_tier="energy",
        high_tier="energy",
        low_source="energy worksheet; table kilocalories (specific Atwater factors)",
        provenance="worked by hand",
        reason="measured or predicted expenditure and the phase's surplus or deficit",
    )


def _protein(protein: ProteinTarget) -> TargetRange:
    return TargetRange(
        key="protein_g",
        label="Protein",
        unit="g",
        low=protein.low_g,
        aim=protein.aim_g,
        high=protein.high_g,
        low_tier="protein",
        high_tier="protein",
        low_source=protein.source,
        provenance=protein.provenance,
        reason="; ".join(protein.working),
    )


def _fuel(intake: Intake, inputs: DayInputs) -> tuple[TargetRange, ...]:
    adjusted = inputs.protein.per == "adjusted mass"
    mass = inputs.protein.reference_mass_kg if adjusted else intake.weight_kg
    carbohydrate = inputs.carbohydrate or _with_timed(
        carbohydrate_target(mass, inputs.load), inputs, mass
    )
    fat = fat_target(inputs.energy_kcal, mass, sex=intake.sex, age_years=intake.age_years)
    fibre = fibre_target(inputs.energy_kcal)
    if inputs.carbohydrate is not None:
        fat, fibre = _for_loading(fat, fibre, inputs.energy_kcal)
    if inputs.race:
        fibre = _little_fibre(fibre, "the day of a race: a gut that is not full of fibre")
    share = 0.93 if inputs.carbohydrate is None else 1.0
    return (
        _carbohydrate(carbohydrate, inputs, fat, share),
        TargetRange(
            key="fat_g",
            label="Fat",
            unit="g",
            low=fat.low,
            aim=fat.aim,
            high=fat.high,
            low_tier="floor",
            high_tier="fuel",
            low_source=fat.source,
            provenance=fat.provenance,
            reason="; ".join(fat.working),
        ),
        TargetRange(
            key="fibre_g",
            label="Fibre",
            unit="g",
            low=fibre.low,
            aim=fibre.aim,
            high=fibre.high,
            low_tier="comfort",
            high_tier="soft ceiling",
            low_source=fibre.source,
            provenance=fibre.provenance,
            reason="; ".join(fibre.working),
        ),
    )


def _carbohydrate(wanted: Range, inputs: DayInputs, fat: Range, share: float) -> TargetRange:
    """Protein comes first, fat keeps its floor; carbohydrate gets a share of what is left."""
    room = (
        inputs.energy_kcal - KCAL_PER_G_PROTEIN * inputs.protein.low_g - KCAL_PER_G_FAT * fat.low
    ) / KCAL_PER_G_CARBOHYDRATE
    low = min(wanted.low, max(130.0, share * room))
    reason = "; ".join(wanted.working)
    if low < wanted.low:
        reason += (
            f"; lowered from {wanted.low:.0f} g because energy, protein and the fat floor "
            f"leave room for {low:.0f} g"
        )
    return TargetRange(
        key="net_carbohydrate_g",
        label="Carbohydrate (available)",
        unit="g",
        low=low,
        aim=max(low, min(wanted.aim, room)),
        high=max(low, wanted.high),
        low_tier="fuel",
        high_tier="fuel",
        low_source=wanted.source,
        provenance=wanted.provenance,
        reason=reason,
    )


def _with_timed(carbohydrate: Range, inputs: DayInputs, mass_kg: float) -> Range:
    """Let the day hold what its timed lines ask for, and something at the other meals."""
    timed = timed_carbohydrate_g(inputs.fuel)
    needed = timed + OTHER_MEALS_G_PER_KG * mass_kg
    if needed <= carbohydrate.high:
        return carbohydrate
    words = (
        f"ceiling raised from {carbohydrate.high:.0f} g: {timed:.0f} g are timed around training, "
        f"and the other meals bring {OTHER_MEALS_G_PER_KG:g} g/kg"
    )
    return replace(
        carbohydrate,
        aim=max(carbohydrate.aim, needed),
        high=CEILING_ABOVE * needed,
        working=(*carbohydrate.working, words),
    )


def _for_loading(fat: Range, fibre: Range, energy_kcal: float) -> tuple[Range, Range]:
    """Make room for two days of loading: less fat, and fibre only as it comes."""
    low, aim, high = (share * energy_kcal / 9 for share in LOADING_FAT_SHARES)
    words = "two days of loading: little fat and fibre leave room for carbohydrate"
    return (
        replace(fat, low=low, aim=aim, high=high, working=(words,)),
        _little_fibre(fibre, words),
    )


def _little_fibre(fibre: Range, words: str) -> Range:
    """Take fibre only as it comes: its floor gives way about a race."""
    return replace(fibre, low=0.0, aim=0.0, high=LOADING_FIBRE_G, working=(words,))


def _amino_acids(intake: Intake, protein: ProteinTarget) -> tuple[TargetRange, ...]:
    # Amino acids serve lean tissue: with much fat they go by the mass that protein goes by.
    mass = protein.reference_mass_kg if protein.per == "adjusted mass" else intake.weight_kg
    pattern = intake.nutrition.amino_acid_pattern
    minimums = minimums_g(pattern, mass, age_years=intake.age_years)
    source, provenance = pattern_source(pattern, intake.age_years)
    return tuple(
        TargetRange(
            key=key,
            label=nutrient(key).label,
            unit="g",
            low=amount,
            low_tier="amino acid",
            low_source=f"{source}: safe level, {mass:.3g} kg",
            provenance=provenance,
            reason="digestible amounts: grams x content x digestibility of the food's protein",
            digestible=True,
        )
        for key, amount in minimums.items()
    )


def _from_reference(
    reference: ReferenceIntake,
    takes_epa_dha: bool,
    supplied: Mapping[str, float],
    names: Mapping[str, str],
    avoided: frozenset[str],
) -> tuple[TargetRange, ...]:
    """Turn one reference intake into a floor, and a ceiling on whatever its limit counts."""
    goal = adjusted_goal(reference, takes_epa_dha=takes_epa_dha, avoided=avoided)
    key = reference.nutrient
    info = nutrient(key)
    conflict = goal.conflict is not None
    relaxed = goal.relax[0] if goal.relax else None
    ceiling = reference.food_ceiling
    own = ceiling is not None and ceiling[0] == key
    soft = reference.ul_scope is not None and reference.ul_scope.strength == "soft"
    adjustment = f", {goal.basis}" if goal.basis not in ("RDA", "AI") else f" {goal.basis}"
    floor = TargetRange(
        key=key,
        label=info.label,
        unit=info.unit,
        # Beyond the upper limit nothing may push: the plain recommendation is what is left.
        low=reference.goal if conflict else goal.goal,
        aim=None if conflict else goal.wish if goal.wish is not None else goal.goal,
        high=ceiling[1] if ceiling is not None and own else None,
        low_tier="floor",
        high_tier="comfort" if soft else "ceiling",
        low_source=f"{reference.source}{adjustment}",
        high_source=f"{reference.source} UL" if own else "",
        provenance=reference.provenance,
        reason=goal.conflict or goal.wish_reason or goal.mend,
        supplied=supplied.get(key, 0.0),
        supplied_by=names.get(key, ""),
        from_supplement_only=key in SUPPLEMENT_ONLY,
        relaxed_low=relaxed.floor if relaxed is not None else None,
        relaxed_reason=relaxed.then if relaxed is not None else "",
    )
    if ceiling is None or own:
        return (floor,)
    limited, amount = ceiling
    return (
        floor,
        TargetRange(
            key=limited,
            label=nutrient(limited).label,
            unit=nutrient(limited).unit,
            high=amount,
            high_tier="ceiling",
            high_source=f"{reference.source} UL, counts {nutrient(limited).label.lower()} only",
            provenance=reference.ul_provenance or reference.provenance,
            reason=reference.ul_scope.reason if reference.ul_scope is not None else "",
            supplied=supplied.get(limited, 0.0),
            supplied_by=names.get(limited, ""),
        ),
    )


def _sodium(intake: Intake, inputs: DayInputs) -> TargetRange:
    sodium = sodium_target(
        inputs.training_hours,
        sweat_l_per_h=inputs.sweat_l_per_h,
        sweat_sodium_mg_per_l=intake.sweat.sodium_mg_per_l,
        sex=intake.sex,
        age_years=intake.age_years,
    )
    salt = salt_g(sodium.high)
    return TargetRange(
        key="sodium_mg",
        label=nutrient("sodium_mg").label,
        unit="mg",
        low=sodium.low,
        aim=sodium.aim,
        high=sodium.high,
        low_tier="comfort",
        high_tier="soft ceiling",
        low_source=sodium.source,
        high_source=sodium.source,
        provenance=sodium.provenance,
        reason="; ".join(
            (
                *sodium.working,
                inputs.sweat_words,
                "seasoning in the pot brings the floor; all salt, at the table too, stays under "
                f"{salt:.1f} g, the salt that holds the ceiling",
            )
        ),
    )


def _with_bounds(ranges: dict[str, TargetRange], intake: Intake) -> dict[str, TargetRange]:
    """Lay the coach's own bounds over the computed ranges."""
    for key, bound in intake.nutrition.bounds.items():
        if key == "energy_kcal":
            raise IntakeError(
                "nutrition.bounds.energy_kcal: set energy with goal.energy_kcal instead"
            )
        try:
            info = nutrient(key)
        except Exception as error:
            raise IntakeError(f"nutrition.bounds: {error}") from None
        base = ranges.get(key) or TargetRange(key=key, label=info.label, unit=info.unit)
        if (
            bound.high is not None
            and base.high is not None
            and base.high_tier == "ceiling"
            and bound.high > base.high
        ):
            raise IntakeError(
                f"nutrition.bounds.{key}: high {bound.high:g} passes the upper limit {base.high:g} "
                f"({base.high_source}); only a physician or registered dietitian may go there, "
                "outside this program"
            )
        low = bound.low if bound.low is not None else base.low
        high = bound.high if bound.high is not None else base.high
        if low is not None and high is not None and low > high:
            raise IntakeError(
                f"nutrition.bounds.{key}: low {low:g} and high {high:g} {info.unit} leave no room; "
                "give both ends"
            )
        source = f"coach: {bound.reason}" if bound.reason else "coach"
        ranges[key] = base.model_copy(
            update={
                "low": low,
                "high": high,
                "aim": None,
                "low_source": source if bound.low is not None else base.low_source,
                "high_source": source if bound.high is not None else base.high_source,
                "high_tier": base.high_tier if bound.high is None else "floor",
                "provenance": "stated",
                "reason": source,
            }
        )
    return ranges
