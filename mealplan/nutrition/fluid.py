"""Sweat, fluid and sodium around training, and what the day may hold of salt."""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.errors import TargetError
from mealplan.nutrition.fuel import ULTRA_MINUTES, Range, _per_kg, check_minutes
from mealplan.nutrition.reference_intakes import reference_intake
from mealplan.references.tables import Sex, sport_range, sport_ranges
from mealplan.science.equations import equation

SODIUM_FRACTION_OF_SALT = 0.3934
"""Sodium by mass in sodium chloride: 22.990 / 58.443."""


@equation("fuel and fluid")
def sweat_rate_l_per_h(
    mass_before_kg: float, mass_after_kg: float, drunk_l: float, urine_l: float, hours: float
) -> float:
    """
    Work out sweat rate from weighing before and after a session.

    Parameters
    ----------
    mass_before_kg, mass_after_kg : float
        Towelled dry, same clothes. [kg]
    drunk_l, urine_l : float
        Between the two weighings. [L]
    hours : float
        Length of the session. [h]

    Returns
    -------
    float
        Sweat rate; 0.5 to 2.0 is usual. [L/h]
    """
    if not hours > 0:
        raise TargetError(f"hours={hours:g} must be above 0")
    rate = (mass_before_kg - mass_after_kg + drunk_l - urine_l) / hours
    if not -0.1 <= rate <= 4:
        raise TargetError(
            f"a sweat rate of {rate:.1f} L/h cannot be; check the two weighings and what was drunk"
        )
    return max(rate, 0.0)


def sodium_target(
    training_hours: float = 0.0,
    *,
    sweat_l_per_h: float | None = None,
    sweat_sodium_mg_per_l: float | None = None,
    sex: Sex = "female",
    age_years: float = 30,
) -> Range:
    """
    Set a day's sodium: the adequate intake plus what sweat takes.

    Parameters
    ----------
    training_hours : float
        Hours of sweating that day. [h]
    sweat_l_per_h, sweat_sodium_mg_per_l : float, optional
        Measured; usual values of 1.0 L/h and 1,000 mg/L when left out. [L/h], [mg/L]
    sex, age_years
        Pick the reference row.

    Returns
    -------
    Range
        Soft at both ends: high is the reduce-if-above level plus the same sweat loss, since that
        level was not meant for heavy sweat losses. [mg/day]
    """
    if not 0 <= training_hours <= 24:
        raise TargetError(f"training_hours={training_hours:g} is outside 0 to 24")
    rate = sport_range("sweat_rate")[1] if sweat_l_per_h is None else sweat_l_per_h
    content = (
        sport_range("sweat_sodium")[1] if sweat_sodium_mg_per_l is None else sweat_sodium_mg_per_l
    )
    if rate < 0 or content < 0:
        raise TargetError(f"sweat of {rate:g} L/h at {content:g} mg/L: neither can be negative")
    loss = training_hours * rate * content
    row = reference_intake("sodium_mg", sex, age_years)
    ceiling = row.cdrr if row.cdrr is not None else row.goal
    return Range(
        low=row.goal,
        aim=row.goal + loss,
        high=ceiling + loss,
        unit="mg/day",
        source=f"{row.source}; {sport_ranges()['sweat_sodium'].source}",
        provenance="common practice",
        working=(
            f"adequate intake {row.goal:.0f} mg, reduce if above {ceiling:.0f} mg",
            f"sweat {training_hours:g} h x {rate:g} L/h x {content:.0f} mg/L = {loss:.0f} mg",
        ),
    )


@dataclass(frozen=True)
class FluidPlan:
    """Fluid around one session, with the caution that goes with it."""

    before_ml: Range
    during_l_per_h: Range
    sodium_in_drink_mg_per_l: Range | None
    caution: str


@equation("fuel and fluid")
def fluid_plan(
    body_mass_kg: float, minutes: float, sweat_l_per_h: float | None = None
) -> FluidPlan:
    """
    Set fluid before and during a session.

    Parameters
    ----------
    body_mass_kg : float
        Body mass. [kg]
    minutes : float
        Length of the session. [min]
    sweat_l_per_h : float, optional
        Sweat rate, measured or estimated; drinking never aims above it. [L/h]

    Returns
    -------
    FluidPlan
        Sodium in the drink only for sessions of over 90 min.
    """
    check_minutes(minutes)
    key = "fluid_session_ultra" if minutes > ULTRA_MINUTES else "fluid_during"
    row = sport_ranges()[key]
    low, usual, high = sport_range(key)
    notes: tuple[str, ...] = (f"{low:g} to {high:g} L/h",)
    if sweat_l_per_h is not None:
        if sweat_l_per_h < 0:
            raise TargetError(f"sweat_l_per_h={sweat_l_per_h:g} cannot be negative")
        low, usual, high = (min(value, sweat_l_per_h) for value in (low, usual, high))
        notes += (f"never above the sweat rate of {sweat_l_per_h:.2g} L/h",)
    drink = None
    if minutes > 90:
        drink_row = sport_ranges()["drink_sodium"]
        drink = Range(
            *sport_range("drink_sodium"), "mg/L", drink_row.source, drink_row.provenance,
            ("sessions of over 90 min",),
        )  # fmt: skip
    return FluidPlan(
        before_ml=_per_kg("fluid_before", body_mass_kg, "ml"),
        during_l_per_h=Range(low, usual, high, "L/h", row.source, row.provenance, notes),
        sodium_in_drink_mg_per_l=drink,
        caution=(
            "Do not gain weight during a session: drinking beyond sweat loss can dilute blood "
            "sodium and kill. Headache, vomiting or confusion after long events: emergency care."
        ),
    )


@equation("fuel and fluid")
def fluid_after_l(mass_lost_kg: float) -> Range:
    """
    Set fluid after a session from the mass lost.

    Parameters
    ----------
    mass_lost_kg : float
        Mass before minus after. [kg]

    Returns
    -------
    Range
        Over the next hours, with food or salt. [L]
    """
    if mass_lost_kg < 0:
        raise TargetError(
            f"mass_lost_kg={mass_lost_kg:g} is a gain: drink less during the next session"
        )
    row = sport_ranges()["fluid_after"]
    low, usual, high = (value * mass_lost_kg for value in sport_range("fluid_after"))
    return Range(
        low, usual, high, "L", row.source, row.provenance,
        (f"1.25 to 1.5 L for each of {mass_lost_kg:g} kg lost",),
    )  # fmt: skip


@equation("fuel and fluid")
def salt_g(sodium_mg: float) -> float:
    """
    Turn sodium into the salt that holds it.

    Parameters
    ----------
    sodium_mg : float
        Sodium. [mg]

    Returns
    -------
    float
        Sodium chloride. [g]
    """
    return sodium_mg / 1000 / SODIUM_FRACTION_OF_SALT
