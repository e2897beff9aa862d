"""
The named worlds: how much of each thing happens in them.

Widths said to be ``common practice`` are what coaches report; nobody has published them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal


@dataclass(frozen=True)
class World:
    """
    How clients of one world are drawn; (mean, SD) unless said otherwise.

    Attributes
    ----------
    adherence : (low, mode, high)
        Of a triangle: share of the way from habit to the plan that is eaten.
    prediction_sd
        Of the logarithm of true over predicted expenditure. Within 10 % of measured for some seven
        in ten by the better equations for rest alone: Frankenfield 2005 (from memory).
    adaptation
        Share of a change of intake that expenditure gives way: 0.14 in Hall 2011 (confirmed by
        independent transcription); spread between people from memory.
    movement_response
        Share of energy surplus or deficit answered by movement: mean 0.34 of 1000 kcal surplus in
        Levine 1999 (published: two thirds of 531 of 1000), far less in deficit (from memory).
    movement_drift_kcal, movement_drift_days
        SD and memory of the wander of everyday movement (from memory; a repeat of total
        expenditure weeks apart differs by some 8 % within a person, Black and Cole 2000).
    compensation
        Share of training's cost made good by less of other things: 0.28 in Careau 2021,
        doi:10.1016/j.cub.2021.08.016 (published); none in Howard 2025 (published), so it varies.
    day_energy_cv
        Of what is eaten from day to day under a plan (from memory; 0.23 in free living).
    bias
        Median and SD of log of logged over eaten: 0.80 to 0.88 in recalls, Subar 2003,
        doi:10.1093/aje/kwg092 (published); nearer 1 for clients who weigh food (common practice).
    bias_drift
        SD of the change of log bias over 16 weeks (common practice).
    bad_days, bad_day_kcal
        Share of days overeaten and by how much, on top of the rest (common practice).
    bad_day_missing, bad_day_omitted
        Chance that such a day is not logged at all, or logged without the excess.
    log_missing : (low, high)
        Share of ordinary days not logged.
    weekend_kcal
        More eaten on Saturday and Sunday than on other days: Racette 2008,
        doi:10.1038/oby.2008.320 (published: higher on Saturdays, size from memory).
    sodium_sd_mg
        From day to day (from memory: a third of 3500 mg).
    hydration_sd_kg, hydration_memory
        What remains from morning to morning. First-morning mass varies by 0.4 to 0.6 kg in all,
        Cheuvront 2004 (from memory), most of it from parts modelled here.
    cycle
        Whether cycles move water: 0.45 kg higher at bleeding, Kanellakis 2023,
        doi:10.1002/ajhb.23951 (published); spread from memory.
    reading_missing : (low, high)
        Share of mornings without a reading, before reasons.
    avoidance
        Added to the log odds of skipping when the last reading was up (common practice).
    odd_readings
        Share of readings each: clothed, not fasted, on another scale.
    conditions_told
        Chance that such a condition is told.
    travel, sick, creatine, refeeds, new_scale
        Share of clients who have one or more in 16 weeks (refeeds: of those who cut).
    event_told
        Chance that such an event is told.
    new_diet
        Whether the plan begins with more fibre than the diet before.
    scans
        Share of clients who bring body scans.
    step : "none", "some", "untold", "logged"
        Training changed once by 150 to 400 kcal a day, real effect: in no client, in 45 % (half of
        them logged), in all untold, in all logged.
    """

    name: str
    adherence: tuple[float, float, float] = (0.9, 1.0, 1.05)
    prediction_sd: float = 0.09
    adaptation: tuple[float, float] = (0.14, 0.03)
    movement_response: tuple[float, float] = (0.0, 0.0)
    movement_drift_kcal: float = 30.0
    movement_drift_days: float = 21.0
    compensation: tuple[float, float] = (0.28, 0.05)
    day_energy_cv: float = 0.07
    bias: tuple[float, float] = (1.0, 0.05)
    bias_drift: float = 0.0
    bad_days: float = 0.0
    bad_day_kcal: float = 0.0
    bad_day_missing: float = 0.0
    bad_day_omitted: float = 0.0
    log_missing: tuple[float, float] = (0.0, 0.05)
    weekend_kcal: float = 0.0
    sodium_sd_mg: float = 500.0
    hydration_sd_kg: tuple[float, float] = (0.30, 0.06)
    hydration_memory: float = 0.3
    cycle: bool = False
    reading_missing: tuple[float, float] = (0.05, 0.2)
    avoidance: float = 0.0
    odd_readings: float = 0.0
    conditions_told: float = 1.0
    travel: float = 0.0
    sick: float = 0.0
    creatine: float = 0.0
    refeeds: float = 0.0
    new_scale: float = 0.0
    event_told: float = 1.0
    new_diet: bool = False
    scans: float = 0.0
    step: Literal["none", "some", "untold", "logged"] = "none"


PLAIN = World("plain")

LIFE = World(
    "life",
    adherence=(0.7, 0.95, 1.1),
    adaptation=(0.14, 0.06),
    movement_response=(0.08, 0.06),
    movement_drift_kcal=70.0,
    compensation=(0.28, 0.12),
    day_energy_cv=0.10,
    bias=(0.95, 0.08),
    bias_drift=0.03,
    bad_days=0.05,
    bad_day_kcal=600.0,
    bad_day_missing=0.4,
    bad_day_omitted=0.2,
    log_missing=(0.02, 0.15),
    weekend_kcal=200.0,
    sodium_sd_mg=1000.0,
    hydration_sd_kg=(0.33, 0.08),
    cycle=True,
    reading_missing=(0.05, 0.4),
    avoidance=0.5,
    odd_readings=0.02,
    conditions_told=0.9,
    travel=0.4,
    sick=0.35,
    creatine=0.1,
    refeeds=0.3,
    event_told=0.9,
    new_diet=True,
    scans=0.3,
)

EVERYTHING = replace(
    LIFE,
    name="everything",
    adherence=(0.6, 0.9, 1.1),
    prediction_sd=0.11,
    adaptation=(0.14, 0.08),
    movement_response=(0.12, 0.10),
    movement_drift_kcal=90.0,
    bias=(0.93, 0.10),
    bias_drift=0.05,
    bad_days=0.08,
    bad_day_kcal=700.0,
    bad_day_missing=0.4,
    bad_day_omitted=0.25,
    log_missing=(0.03, 0.25),
    weekend_kcal=250.0,
    reading_missing=(0.1, 0.55),
    avoidance=1.0,
    odd_readings=0.04,
    conditions_told=0.75,
    travel=0.5,
    sick=0.4,
    creatine=0.2,
    refeeds=0.4,
    new_scale=0.08,
    event_told=0.7,
    step="some",
)

WORLDS: dict[str, World] = {
    world.name: world
    for world in (
        PLAIN,
        LIFE,
        EVERYTHING,
        replace(PLAIN, name="untold training step", step="untold"),
        replace(PLAIN, name="logged training step", step="logged"),
    )
}
