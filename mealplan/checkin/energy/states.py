"""
The states of the filter, what is believed of each before any data, and where that comes from.

The sizes are published or common magnitudes; none was fitted to a simulated client.

References
----------
.. [1] Orsama et al., Obes Facts 7(1), 2014, doi:10.1159/000356147: weight over the week.
.. [2] Kreitzman et al., Am J Clin Nutr 56(1), 1992: glycogen, its water and weight.
.. [3] Careau et al., Curr Biol 31(20), 2021: about 28 % of added activity is compensated.
.. [4] Rosenbaum and Leibel, Int J Obes 34(S1), 2010: adaptive thermogenesis.
.. [5] Hall et al., Lancet 378(9793), 2011, doi:10.1016/S0140-6736(11)60812-X.
.. [6] Black and Cole, Eur J Clin Nutr 54(5), 2000 (size from memory).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MASS, BASE, JUMP, ADAPT, STORE, SLOW, FAST, COMING, FOOD, WEEK_COS, WEEK_SIN = range(11)
"""Places in the state.

Mass without passing water; expenditure; its last jump; share of a changed intake that spending
answers; relative error of stored density; slow and passing water; water still to come; mass of
glycogen, its water and the gut a surplus brings; the week's wave.
"""
TRAINED, WALKED, SCALE, CLOTHES, MEAL, MONTH_COS, MONTH_SIN = range(11, 18)
"""Shares of logged training and of steps that show in expenditure; offsets of another scale, of
clothes and of a meal; the month's wave."""
STATES = 18

FAST_CORRELATION = 0.3
"""Neighbouring days' noise correlates 0.2 to 0.4 (common practice)."""
SLOW_TIME_DAYS = 12.0
"""Memory of slow water: salt, carbohydrate, soreness, hormones (assumption). [days]"""
SETTLING_TIME_DAYS = 3.5
"""A water step fades in with this time constant; 94 % is over after ten days. [days]"""
FOOD_TIME_DAYS = 3.0
"""Glycogen and gut content follow eating with this time constant (assumption). [days]"""
ADAPTING_TIME_DAYS = 14.0
"""Spending adapts to intake with this time constant [5]_. [days]"""
READING_SD_KG = 0.05
"""Rounding of the scale. [kg]"""
OTHER_SCALE_SD_KG = 0.3
"""Scatter between other scales, beside their common offset (assumption). [kg]"""

NOISE_FRACTION = 0.006
"""Usual noise of one weigh-in as a fraction of body mass (0.6 %, worked from published counts)."""
NOISE_FACTORS = (0.6, 0.85, 1.2, 1.7)
NOISE_LOG_SD = 0.4
"""Spread of that noise between people, natural log (assumption)."""
SLOW_FRACTIONS = ((0.0013, 0.5), (0.0027, 0.35), (0.0053, 0.15))
"""Slow water as a fraction of body mass, each with its prior: 0.1, 0.2 or 0.4 kg at 75 kg."""
UNREST = ((3.0, 0.03, 0.9), (12.0, 0.04, 0.1))
"""How restless expenditure is: drift per root day, chance of a jump in a week, prior. [kcal/day]

Total expenditure measured twice some three months apart differs by 8 % within a person [6]_, of
which the method makes 5: some 150 kcal of 2,500. Drift and jumps of both kinds of people come to
170 over that time, nearly all of it jumps, once or twice a year: few and heavy ones are seen
sooner, and widen the band less meanwhile, than a drift as large. How it is shared out is an
assumption. Which of them a client is, is learnt.
"""
JUMP_SD_KCAL = 250.0
"""Spread of a jump of expenditure: training changes by 150 to 400 a day. [kcal/day]"""
TOLD_JUMP_CHANCE = 0.5
"""Of one beyond what was reckoned, when a change of training is told (assumption)."""
JUMP_EVERY_DAYS, JUMP_SLOTS = 7, 9
LEVEL_SD_KG = 0.7
"""Spread of an untold step of water: creatine, a carbohydrate load, salt (assumption). [kg]"""
LEVEL_CHANCE = 0.01
"""Of one in two days: about one in six months (assumption)."""
LEVEL_EVERY_DAYS, LEVEL_SLOTS = 2, 7


@dataclass(frozen=True)
class Characters:
    """
    Candidate characters of one client's noise; arrays of length G.

    Attributes
    ----------
    noise_kg, slow_kg : (G,)
        Passing and slow water. [kg]
    drift_kcal : (G,)
        Drift of expenditure per root day. [kcal/day]
    jump_chance : (G,)
        Of a jump of expenditure in a week.
    log_prior : (G,)
    """

    noise_kg: Floats
    slow_kg: Floats
    drift_kcal: Floats
    jump_chance: Floats
    log_prior: Floats

    def __len__(self) -> int:
        """Return the number of candidates."""
        return len(self.log_prior)


def characters_of(mass_kg: float) -> Characters:
    """
    Lay out the candidates with their prior.

    Parameters
    ----------
    mass_kg : float
        [kg]

    Returns
    -------
    Characters
    """
    grid = list(itertools.product(NOISE_FACTORS, SLOW_FRACTIONS, UNREST))
    prior = np.array(
        [
            math.exp(-0.5 * (math.log(noise) / NOISE_LOG_SD) ** 2) * slow * unrest
            for noise, (_, slow), (*_, unrest) in grid
        ]
    )
    return Characters(
        noise_kg=np.array([noise * NOISE_FRACTION * mass_kg for noise, _, _ in grid]),
        slow_kg=np.array([slow * mass_kg for _, (slow, _), _ in grid]),
        drift_kcal=np.array([drift for _, _, (drift, _, _) in grid]),
        jump_chance=np.array([chance for _, _, (_, chance, _) in grid]),
        log_prior=np.log(prior / prior.sum()),
    )


USUAL: dict[int, tuple[float, float]] = {
    ADAPT: (0.14, 0.10),
    FOOD: (0.4, 0.25),
    COMING: (0.0, 0.4),
    TRAINED: (0.72, 0.25),
    WALKED: (0.7, 0.3),
    SCALE: (0.0, 0.9),
    CLOTHES: (0.8, 0.4),
    MEAL: (0.6, 0.5),
}
"""Mean and spread of states that are alike for everybody.

Adaptation 0.14 of a changed intake [5]_; 0.4 kg of glycogen, water and gut for each 1,000 kcal
above expenditure (a third of the 1.5 kg between full and empty stores [2]_); 0.72 of logged
training shows [3]_; household scales differ by a kilogram; light clothes 0.5 to 1.2 kg; a meal
with its drink about half a kilogram (common practice).
"""
MASS_SD_KG = 1.0
WEEK_FRACTION = 0.0018
"""Spread of each part of the week's wave as a fraction of mass (0.35 % from top to bottom) [1]_."""
MONTH_SD_KG = {"none": 0.0, "logged": 0.3, "unlogged": 0.2}
"""Spread of each part of the month's wave: about 0.5 kg on average where there is one. [kg]"""
