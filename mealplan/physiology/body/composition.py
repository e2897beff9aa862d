"""
Body compartments from a scan, indices over height, and what changed between two scans.

Fat-free mass is body mass less fat: lean soft tissue and bone mineral together. Scan reports print
two percentages, fat of everything and fat of soft tissue; they differ by about half a point and are
kept apart. A change is only called one when it exceeds the least significant change.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mealplan.physiology.checks import (
    require_between,
    require_not_negative,
    require_positive,
)
from mealplan.physiology.tables import constants
from mealplan.references.tables import Sex
from mealplan.science.equations import equation

_C = {key: constant.value for key, constant in constants("body_composition").items()}

FatDefinition = Literal["whole body", "tissue"]


@dataclass(frozen=True)
class Compartments:
    """
    What a scan divides a body into.

    Attributes
    ----------
    fat_kg : float
        Fat mass. [kg]
    lean_soft_kg : float
        Lean soft tissue, bone left out. [kg]
    bone_kg : float
        Bone mineral content. [kg]
    """

    fat_kg: float
    lean_soft_kg: float
    bone_kg: float

    def __post_init__(self) -> None:
        """Refuse compartments that cannot be."""
        require_positive("fat_kg", self.fat_kg, "kg", mend="Copy it from the scan report.")
        require_positive("lean_soft_kg", self.lean_soft_kg, "kg", mend="Copy it from the report.")
        require_not_negative("bone_kg", self.bone_kg, "kg", mend="Copy it from the report.")

    @property
    def total_kg(self) -> float:
        """Body mass by the scan [kg]."""
        return self.fat_kg + self.lean_soft_kg + self.bone_kg

    @property
    def ffm_kg(self) -> float:
        """Fat-free mass [kg]."""
        return self.lean_soft_kg + self.bone_kg

    @property
    def fat_percent(self) -> float:
        """Fat of the whole body, bone in the total [%]."""
        return 100.0 * self.fat_kg / self.total_kg

    @property
    def tissue_fat_percent(self) -> float:
        """Fat of soft tissue, bone left out of the total [%]."""
        return 100.0 * self.fat_kg / (self.fat_kg + self.lean_soft_kg)


@equation("body size")
def compartments_from_percent(
    weight_kg: float, fat_percent: float, definition: FatDefinition, bone_kg: float
) -> Compartments:
    """
    Rebuild compartments from a report that prints only a percentage.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    fat_percent : float
        As printed. [%]
    definition : str
        ``"whole body"`` or ``"tissue"``; the report says which.
    bone_kg : float
        Bone mineral content; 2.5 to 3.5 kg in most adults. [kg]

    Returns
    -------
    Compartments
    """
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    require_between(
        "fat_percent",
        fat_percent,
        1.0,
        75.0,
        "%",
        reason="no adult lies outside",
        mend="Fifteen per cent is 15, not 0.15.",
    )
    require_between(
        "bone_kg",
        bone_kg,
        0.0,
        min(6.0, weight_kg / 5),
        "kg",
        reason="bone mineral is 2 to 4 kg in most adults",
        mend="Copy bone mineral content from the report.",
    )
    of = weight_kg if definition == "whole body" else weight_kg - bone_kg
    fat = of * fat_percent / 100.0
    return Compartments(fat, weight_kg - fat - bone_kg, bone_kg)


@equation("body size")
def fat_free_mass_index(ffm_kg: float, height_cm: float) -> float:
    """
    Divide fat-free mass by height squared.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass. [kg]
    height_cm : float
        Height. [cm]

    Returns
    -------
    float
        Fat-free mass index. [kg/m²]
    """
    require_positive("ffm_kg", ffm_kg, "kg", mend="Give fat-free mass from a scan.")
    require_positive("height_cm", height_cm, "cm", mend="Measure height in centimetres.")
    return ffm_kg / (height_cm / 100.0) ** 2


@equation("body size")
def fat_mass_index(fat_kg: float, height_cm: float) -> float:
    """
    Divide fat mass by height squared.

    Parameters
    ----------
    fat_kg : float
        Fat mass. [kg]
    height_cm : float
        Height. [cm]

    Returns
    -------
    float
        Fat mass index. [kg/m²]
    """
    require_positive("fat_kg", fat_kg, "kg", mend="Give fat mass from a scan.")
    require_positive("height_cm", height_cm, "cm", mend="Measure height in centimetres.")
    return fat_kg / (height_cm / 100.0) ** 2


@equation("body size")
def normalised_ffmi(
    ffm_kg: float, height_cm: float, *, slope: float = _C["ffmi_normal_slope"]
) -> float:
    """
    Correct the fat-free mass index to a height of 1.80 m.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass. [kg]
    height_cm : float
        Height. [cm]
    slope : float
        6.1 as usually computed; the paper's abstract prints 6.3. [kg/m²/m]

    Returns
    -------
    float
        Normalised index. The often quoted 25 was the limit of one sample, not of nature. [kg/m²]

    References
    ----------
    .. [1] Kouri et al., Clin J Sport Med 5(4), 1995, pages 223-228.
    """
    index = fat_free_mass_index(ffm_kg, height_cm)
    return index + slope * (_C["ffmi_normal_height"] - height_cm / 100.0)


@dataclass(frozen=True)
class IndexReading:
    """
    An index beside the ranges it can be compared with.

    Attributes
    ----------
    value : float
        The index. [kg/m²]
    low, high : float
        Range that goes with a body mass index of 18.5 to 25. [kg/m²]
    words : str
        Where the value lies.
    """

    value: float
    low: float
    high: float
    words: str


def _read_index(value: float, low: float, high: float, athletes: str) -> IndexReading:
    where = "below" if value < low else "above" if value > high else "within"
    return IndexReading(value, low, high, f"{where} {low:g} to {high:g}{athletes}")


@equation("body size")
def read_ffmi(ffm_kg: float, height_cm: float, sex: Sex) -> IndexReading:
    """
    Read the fat-free mass index against general and athletic ranges.

    Parameters
    ----------
    ffm_kg : float
        Fat-free mass. [kg]
    height_cm : float
        Height. [cm]
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    IndexReading

    References
    ----------
    .. [1] Schutz, Kyle and Pichard, Int J Obes 26(7), 2002, pages 953-960.
    """
    group = "men" if sex == "male" else "women"
    mean, sd = _C[f"college_ffmi_{group}"], _C[f"college_ffmi_{group}_sd"]
    athletes = (
        f"; college athletes {mean:g} ± {sd:g}, 97.5th centile {_C[f'college_ffmi_{group}_p97']:g}"
    )
    value = fat_free_mass_index(ffm_kg, height_cm)
    return _read_index(value, _C[f"ffmi_{group}_low"], _C[f"ffmi_{group}_high"], athletes)


@equation("body size")
def read_fmi(fat_kg: float, height_cm: float, sex: Sex) -> IndexReading:
    """
    Read the fat mass index against its range.

    Parameters
    ----------
    fat_kg : float
        Fat mass. [kg]
    height_cm : float
        Height. [cm]
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    IndexReading

    References
    ----------
    .. [1] Schutz, Kyle and Pichard, Int J Obes 26(7), 2002, pages 953-960.
    """
    group = "men" if sex == "male" else "women"
    value = fat_mass_index(fat_kg, height_cm)
    return _read_index(value, _C[f"fmi_{group}_low"], _C[f"fmi_{group}_high"], "")


Verdict = Literal["change", "no detectable change", "can't tell"]
