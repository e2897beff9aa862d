"""
Every conversion factor the program uses, and the functions that apply them.

The calorie is the thermochemical one throughout; the International Table calorie differs by 0.07 %
and is never mixed in.
"""

from __future__ import annotations

KJ_PER_KCAL = 4.184
"""Thermochemical kilocalorie. [kJ/kcal]"""
KG_PER_LB = 0.45359237
"""Exact by definition (international avoirdupois pound). [kg/lb]"""
LB_PER_STONE = 14.0
"""Exact by definition. [lb/st]"""
CM_PER_INCH = 2.54
"""Exact by definition (international inch). [cm/in]"""
G_PER_OUNCE = 28.349523125
"""Exact by definition (avoirdupois ounce, one sixteenth of a pound). [g/oz]"""
MINUTES_PER_DAY = 1440.0
"""[min/day]"""
DAYS_PER_WEEK = 7.0
"""[day/week]"""


def kcal_from_kj(energy_kj: float) -> float:
    """
    Convert kilojoules to kilocalories.

    Parameters
    ----------
    energy_kj : float
        Energy. [kJ]

    Returns
    -------
    float
        The same energy. [kcal]
    """
    return energy_kj / KJ_PER_KCAL


def kcal_from_mj(energy_mj: float) -> float:
    """
    Convert megajoules to kilocalories.

    Parameters
    ----------
    energy_mj : float
        Energy. [MJ]

    Returns
    -------
    float
        The same energy. [kcal]
    """
    return kcal_from_kj(1000.0 * energy_mj)
