"""
Carbohydrate, fat and fibre by the day and around training, and whether it all fits the energy.

Shares of energy use 4, 9 and 4 kcal a gram of protein, fat and carbohydrate. Food tables use
factors per food, so on plant-based days these shares add up to 4 to 5.5 % more than the tables'
kilocalories; they serve for shares and for the fit check only.

References
----------
.. [1] Thomas, Erdman and Burke 2016, Med Sci Sports Exerc 48:543,
   doi:10.1249/MSS.0000000000000852 (ACSM, AND and DC position).
.. [2] Burke et al. 2011, J Sports Sci 29(S1):S17, doi:10.1080/02640414.2011.585473.
.. [3] Institute of Medicine 2005, Dietary Reference Intakes for energy, carbohydrate, fiber, fat.
.. [4] National Academies 2019, Dietary Reference Intakes for sodium and potassium.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from mealplan.errors import TargetError
from mealplan.nutrition.equivalents import energy_kcal
from mealplan.nutrition.reference_intakes import energy_share
from mealplan.references.tables import Provenance, Sex, sport_range, sport_ranges
from mealplan.science.equations import equation

KCAL_PER_G_PROTEIN = 4.0
KCAL_PER_G_CARBOHYDRATE = 4.0
KCAL_PER_G_FAT = 9.0
"""Atwater's general factors; for shares of energy only. [kcal/g]"""

ULTRA_MINUTES = 360
"""Sessions beyond this are ultra-endurance. [min]"""

Load = Literal["light", "moderate", "hard", "very hard"]
Effort = Literal["easy", "moderate", "hard"]

_LOAD_KEY: dict[Load, str] = {
    "light": "carbohydrate_light",
    "moderate": "carbohydrate_moderate",
    "hard": "carbohydrate_hard",
    "very hard": "carbohydrate_very_hard",
}


@dataclass(frozen=True)
class Range:
    """A target with its working: low <= aim <= high, all in ``unit``."""

    low: float
    aim: float
    high: float
    unit: str
    source: str
    provenance: Provenance
    working: tuple[str, ...]


def check_mass(body_mass_kg: float) -> None:
    """Refuse a body mass that no client has [kg]."""
    if not 20 <= body_mass_kg <= 350:
        raise TargetError(
            f"body_mass_kg={body_mass_kg:g} is outside 20 to 350; was it pounds? 165 lb is 74.8 kg"
        )


def check_energy(energy_kcal: float) -> None:
    """Refuse an energy that no day has [kcal/day]."""
    if not 500 <= energy_kcal <= 12000:
        raise TargetError(
            f"energy_kcal={energy_kcal:g} is outside 500 to 12,000 kcal a day; was it kilojoules? "
            "divide by 4.184"
        )


def check_minutes(minutes: float) -> None:
    """Refuse more minutes than a day has [min]."""
    if not 0 <= minutes <= 1440:
        raise TargetError(f"minutes={minutes:g} is outside 0 to 1440, the minutes of a day")


def _per_kg(key: str, body_mass_kg: float, unit: str, extra: tuple[str, ...] = ()) -> Range:
    check_mass(body_mass_kg)
    row = sport_ranges()[key]
    low, usual, high = sport_range(key)
    return Range(
        low=low * body_mass_kg,
        aim=usual * body_mass_kg,
        high=high * body_mass_kg,
        unit=unit,
        source=row.source,
        provenance=row.provenance,
        working=(
            f"{row.population}: {low:g} to {high:g} {row.unit} x {body_mass_kg:g} kg, "
            f"aim {usual:g}",
            *extra,
        ),
    )


def training_load(minutes: float, effort: Effort = "moderate") -> Load:
    """
    Name a day's training load from its minutes and effort.

    Parameters
    ----------
    minutes : float
        Training on that day, all sessions together. [min]
    effort : {"easy", "moderate", "hard"}
        Effort of most of it; easy skill work counts one step lower.

    Returns
    -------
    Load
        The bands of the position stand: about an hour a day is moderate, one to three hours hard,
        beyond four very hard; the gap between three and four hours counts as hard.
    """
    check_minutes(minutes)
    if effort not in get_args(Effort):
        raise TargetError(f"effort={effort!r} is not one of {', '.join(get_args(Effort))}")
    loads: tuple[Load, ...] = get_args(Load)
    step = sum(minutes > edge for edge in (30, 75, 240))
    if effort == "hard" and 45 <= minutes <= 75:
        step += 1
    if effort == "easy" and step:
        step -= 1
    return loads[step]


def carbohydrate_target(body_mass_kg: float, load: Load) -> Range:
    """
    Set a day's carbohydrate by that day's training load.

    Parameters
    ----------
    body_mass_kg : float
        Body mass. [kg]
    load : {"light", "moderate", "hard", "very hard"}
        The day's load; see :func:`training_load`.

    Returns
    -------
    Range
        Available carbohydrate. [g/day]
    """
    if load not in _LOAD_KEY:
        raise TargetError(f"load={load!r} is not one of {', '.join(_LOAD_KEY)}")
    return _per_kg(_LOAD_KEY[load], body_mass_kg, "g/day")


@equation("fuel and fluid")
def carbohydrate_loading(body_mass_kg: float) -> Range:
    """Set carbohydrate for the 36 to 48 h before an event of over 90 min. [g/day]."""
    return _per_kg("carbohydrate_loading", body_mass_kg, "g/day")


@equation("fuel and fluid")
def carbohydrate_before(body_mass_kg: float, hours_before: float) -> Range:
    """
    Set carbohydrate for the meal before a session of over an hour.

    Parameters
    ----------
    body_mass_kg : float
        Body mass. [kg]
    hours_before : float
        1 to 4; about one gram a kg for each hour. [h]

    Returns
    -------
    Range
        The aim follows the hours, within the published 1 to 4 g/kg. [g]
    """
    if not 0 < hours_before <= 24:
        raise TargetError(f"hours_before={hours_before:g} is outside 0 to 24")
    base = _per_kg("carbohydrate_before", body_mass_kg, "g")
    aim = min(max(hours_before * body_mass_kg, base.low), base.high)
    return Range(
        base.low, aim, base.high, "g", base.source, base.provenance,
        (*base.working, f"1 g/kg for each of {hours_before:g} h gives {aim:.0f} g"),
    )  # fmt: skip


@equation("fuel and fluid")
def carbohydrate_after(body_mass_kg: float, hours_to_next_session: float) -> Range | None:
    """
    Set hourly carbohydrate for fast refuelling, when it matters.

    Parameters
    ----------
    body_mass_kg : float
        Body mass. [kg]
    hours_to_next_session : float
        Eight hours or more: ordinary meals do. [h]

    Returns
    -------
    Range or None
        For each of the first four hours; None when there is time enough. [g/h]
    """
    if hours_to_next_session >= 8:
        return None
    return _per_kg("carbohydrate_after", body_mass_kg, "g/h")


@equation("fuel and fluid")
def session_carbohydrate(minutes: float, effort: Effort = "moderate") -> Range:
    """
    Set carbohydrate during a session.

    Parameters
    ----------
    minutes : float
        Length of the session. [min]
    effort : {"easy", "moderate", "hard"}
        Under 75 min only hard sessions gain from any, and a mouth rinse is enough.

    Returns
    -------
    Range
        [g/h]; above 60 g/h only as glucose with fructose.
    """
    check_minutes(minutes)
    if minutes < 75 or (effort == "easy" and minutes <= 90):
        key = "carbohydrate_session_45_75_min"
    elif minutes <= 150:
        key = "carbohydrate_session_1_2_5_h"
    elif minutes <= ULTRA_MINUTES:
        key = "carbohydrate_session_long"
    else:
        key = "carbohydrate_session_ultra"
    row = sport_ranges()[key]
    low, usual, high = sport_range(key)
    notes: tuple[str, ...] = (f"{row.population}: {low:g} to {high:g} g/h",)
    if high > 60:
        notes += ("above 60 g/h as glucose with fructose, practised in training",)
    return Range(low, usual, high, "g/h", row.source, row.provenance, notes)


def fat_target(
    energy_kcal: float, body_mass_kg: float, *, sex: Sex = "female", age_years: float = 30
) -> Range:
    """
    Set a day's fat from the share of energy and a floor by body mass.

    Parameters
    ----------
    energy_kcal : float
        The day's energy. [kcal/day]
    body_mass_kg : float
        Body mass. [kg]
    sex : {"male", "female"}
        Picks the row; the shares are alike.
    age_years : float
        14 to 18 years have a higher share. [years]

    Returns
    -------
    Range
        Low is the larger of the lowest share and 0.5 g/kg; aim the larger of a third of the way up
        the shares and 0.8 g/kg, held to the highest share. [g/day]
    """
    check_energy(energy_kcal)
    check_mass(body_mass_kg)
    share = energy_share("fat_g", sex, age_years)
    low_fraction = share.low_fraction or 0.0
    low_kg, usual_kg, _ = sport_range("fat_per_kg")
    by_share = low_fraction * energy_kcal / KCAL_PER_G_FAT
    high = share.high_fraction * energy_kcal / KCAL_PER_G_FAT
    low = max(by_share, low_kg * body_mass_kg)
    middle = (
        (low_fraction + (share.high_fraction - low_fraction) / 3) * energy_kcal / KCAL_PER_G_FAT
    )
    high = max(high, low)
    aim = min(max(middle, usual_kg * body_mass_kg, low), high)
    return Range(
        low=low,
        aim=aim,
        high=high,
        unit="g/day",
        source=f"{share.source}; {sport_ranges()['fat_per_kg'].source}",
        provenance=share.provenance,
        working=(
            f"{low_fraction:.0%} to {share.high_fraction:.0%} of {energy_kcal:,.0f} kcal, 9 kcal/g",
            f"at least {low_kg:g} g/kg x {body_mass_kg:g} kg",
        ),
    )


def fibre_target(energy_kcal: float, comfort_ceiling_g: float | None = None) -> Range:
    """
    Set a day's fibre: a floor by energy and a soft ceiling for comfort in training.

    Parameters
    ----------
    energy_kcal : float
        The day's energy. [kcal/day]
    comfort_ceiling_g : float, optional
        The client's own ceiling; 70 g when left out (most manage 50 to 80). There is no upper
        limit for fibre: this is about gas and fullness. [g/day]

    Returns
    -------
    Range
        [g/day]; the floor stops at the low end of what most manage, 50 g of a ceiling of 70, so
        that a day always has room between the two.
    """
    check_energy(energy_kcal)
    row = sport_ranges()["fibre_per_1000_kcal"]
    least, usual, _ = sport_range("fibre_comfort")
    ceiling = usual if comfort_ceiling_g is None else comfort_ceiling_g
    if not ceiling > 0:
        raise TargetError(f"comfort_ceiling_g={ceiling:g} must be above 0, or left out for 70 g")
    floor = sport_range("fibre_per_1000_kcal")[1] * energy_kcal / 1000
    notes = [
        f"14 g for each 1,000 kcal gives {floor:.0f} g",
        f"comfort ceiling {ceiling:g} g, soft",
    ]
    most = ceiling * least / usual
    if floor > most:
        notes.append(f"the floor gives way to comfort and stops at {most:.0f} g")
    low = min(floor, most)
    return Range(low, low, ceiling, "g/day", row.source, row.provenance, tuple(notes))


@equation("fuel and fluid")
def energy_of(protein_g: float, carbohydrate_g: float, fat_g: float) -> float:
    """Add up energy with the general factors 4, 4 and 9; for shares only. [kcal]."""
    return energy_kcal(protein_g, fat_g, carbohydrate_g)
