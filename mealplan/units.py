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
INCHES_PER_FOOT = 12.0
"""Exact by definition. [in/ft]"""
G_PER_OUNCE = 28.349523125
"""Exact by definition (avoirdupois ounce, one sixteenth of a pound). [g/oz]"""
M_PER_MILE = 1609.344
"""Exact by definition (international mile). [m/mi]"""
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


def kj_from_kcal(energy_kcal: float) -> float:
    """
    Convert kilocalories to kilojoules.

    Parameters
    ----------
    energy_kcal : float
        Energy. [kcal]

    Returns
    -------
    float
        The same energy. [kJ]
    """
    return energy_kcal * KJ_PER_KCAL


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


def mj_from_kcal(energy_kcal: float) -> float:
    """
    Convert kilocalories to megajoules.

    Parameters
    ----------
    energy_kcal : float
        Energy. [kcal]

    Returns
    -------
    float
        The same energy. [MJ]
    """
    return kj_from_kcal(energy_kcal) / 1000.0


def kg_from_lb(mass_lb: float) -> float:
    """
    Convert pounds to kilograms.

    Parameters
    ----------
    mass_lb : float
        Mass. [lb]

    Returns
    -------
    float
        The same mass. [kg]
    """
    return mass_lb * KG_PER_LB


def lb_from_kg(mass_kg: float) -> float:
    """
    Convert kilograms to pounds.

    Parameters
    ----------
    mass_kg : float
        Mass. [kg]

    Returns
    -------
    float
        The same mass. [lb]
    """
    return mass_kg / KG_PER_LB


def kg_from_stone(stone: float, pounds: float = 0.0) -> float:
    """
    Convert stones, with any odd pounds, to kilograms.

    Parameters
    ----------
    stone : float
        Whole stones. [st]
    pounds : float
        Pounds on top. [lb]

    Returns
    -------
    float
        The same mass. [kg]
    """
    return kg_from_lb(stone * LB_PER_STONE + pounds)


def g_from_ounces(mass_oz: float) -> float:
    """
    Convert avoirdupois ounces to grams.

    Parameters
    ----------
    mass_oz : float
        Mass. [oz]

    Returns
    -------
    float
        The same mass. [g]
    """
    return mass_oz * G_PER_OUNCE


def cm_from_inches(length_in: float) -> float:
    """
    Convert inches to centimetres.

    Parameters
    ----------
    length_in : float
        Length. [in]

    Returns
    -------
    float
        The same length. [cm]
    """
    return length_in * CM_PER_INCH


def inches_from_cm(length_cm: float) -> float:
    """
    Convert centimetres to inches.

    Parameters
    ----------
    length_cm : float
        Length. [cm]

    Returns
    -------
    float
        The same length. [in]
    """
    return length_cm / CM_PER_INCH


def cm_from_feet(feet: float, inches: float = 0.0) -> float:
    """
    Convert feet and inches to centimetres.

    Parameters
    ----------
    feet : float
        Whole feet. [ft]
    inches : float
        Inches on top. [in]

    Returns
    -------
    float
        The same length. [cm]
    """
    return cm_from_inches(feet * INCHES_PER_FOOT + inches)


def m_per_min_from_km_per_h(speed_km_h: float) -> float:
    """
    Convert a speed in kilometres an hour to metres a minute.

    Parameters
    ----------
    speed_km_h : float
        Speed. [km/h]

    Returns
    -------
    float
        The same speed. [m/min]
    """
    return speed_km_h * 1000.0 / 60.0


def m_per_min_from_mph(speed_mph: float) -> float:
    """
    Convert a speed in miles an hour to metres a minute.

    Parameters
    ----------
    speed_mph : float
        Speed. [mi/h]

    Returns
    -------
    float
        The same speed. [m/min]
    """
    return speed_mph * M_PER_MILE / 60.0
