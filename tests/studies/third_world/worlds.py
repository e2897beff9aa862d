"""
The named worlds of the third kind: how much of each thing happens in them.

Sizes that nobody has published are ``common practice`` or ``assumption``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True)
class World:
    """
    How clients are drawn.

    Attributes
    ----------
    predicted_sd
        Of the logarithm of true over predicted expenditure (common practice: 10 % and more).
    bias, bias_sd
        Median and spread of logged over eaten: 0.84 to 0.92 by doubly labelled water in reviews of
        food records (from memory); nearer 1 where food is weighed (common practice).
    slack_chance, slack
        Share of clients who from some day on log less, and how much less (assumption).
    day_cv, log_cv
        Of what is eaten from day to day, and of what is written down of it (assumption).
    heavy_days, heavy_kcal, heavy_unlogged
        Share of days with a meal out, its size, the chance that the day is not logged (assumption).
    unlogged, unweighed : (low, high)
        Share of other days without a record (common practice).
    spells_kcal, spells_days
        Spread of a lifestyle, and how long it lasts on average before another (assumption; total
        expenditure repeats within 8 % over months: Black and Cole 2000, from memory).
    restless_kcal
        Spread of what a week's movement differs by (assumption).
    noise_fraction
        Spread of one morning, heavy tailed, over body mass: 0.5 % (common practice).
    salt_every_days, salt_kg
        Mean time between salty days and the water each holds for some days (assumption).
    diet_kg
        Spread of the water and gut content that come or go with the first days of the plan: 1 to
        1.5 g less or more of sodium a day are 0.3 to 0.5 kg by the model of Hall 2011, 15 g more of
        fibre some 0.15 kg (Cummings 1993, from memory). Told as a new diet.
    cycle_chance, other_scale, new_scale, holiday, sick, told
        Shares of women with a cycle of water, of readings elsewhere, of clients with an untold new
        scale, with a holiday, with a cold; and the chance that such things are told (assumption).
    jump_untold, jump_told
        Chances that training changes once by 150 to 450 kcal a day unsaid, or with the coach told.
    """

    name: str
    predicted_sd: float = 0.10
    bias: float = 0.98
    bias_sd: float = 0.05
    slack_chance: float = 0.0
    slack: float = 0.05
    day_cv: float = 0.08
    log_cv: float = 0.06
    heavy_days: float = 0.0
    heavy_kcal: float = 500.0
    heavy_unlogged: float = 0.5
    unlogged: tuple[float, float] = (0.0, 0.06)
    unweighed: tuple[float, float] = (0.05, 0.2)
    spells_kcal: float = 40.0
    spells_days: float = 40.0
    restless_kcal: float = 25.0
    noise_fraction: float = 0.0045
    salt_every_days: float = 40.0
    salt_kg: float = 0.5
    diet_kg: float = 0.0
    cycle_chance: float = 0.0
    other_scale: float = 0.0
    new_scale: float = 0.0
    holiday: float = 0.0
    sick: float = 0.0
    told: float = 1.0
    jump_untold: float = 0.0
    jump_told: float = 0.0


QUIET = World("quiet")
LIVELY = World(
    "lively",
    predicted_sd=0.12,
    bias=0.92,
    bias_sd=0.09,
    slack_chance=0.4,
    day_cv=0.12,
    heavy_days=0.1,
    unlogged=(0.02, 0.25),
    unweighed=(0.1, 0.5),
    spells_kcal=90.0,
    spells_days=35.0,
    restless_kcal=50.0,
    salt_every_days=20.0,
    salt_kg=0.8,
    diet_kg=0.35,
    cycle_chance=0.6,
    other_scale=0.05,
    new_scale=0.1,
    holiday=0.5,
    sick=0.35,
    told=0.75,
    jump_untold=0.25,
    jump_told=0.2,
)
WORLDS = {
    world.name: world
    for world in (
        QUIET,
        LIVELY,
        replace(QUIET, name="untold", jump_untold=1.0),
        replace(QUIET, name="told", jump_told=1.0),
    )
}
