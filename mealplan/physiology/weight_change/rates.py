"""How fast: default rates of gain and loss by phase and training status, and the clamps on them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_positive
from mealplan.physiology.tables import constants
from mealplan.references.tables import Sex
from mealplan.science.equations import equation

_C = {key: constant.value for key, constant in constants("rates").items()}

PhaseKind = Literal["gain", "hold", "cut", "endurance"]
PHASE_KINDS: tuple[PhaseKind, ...] = ("gain", "hold", "cut", "endurance")
TrainingStatus = Literal["novice", "intermediate", "advanced"]


LEAN_BLEND_POINTS = 2.0
"""Half the width of the step from lean to not lean, blended. [points of %fat] (common practice)"""


def is_lean(sex: Sex, fat_percent: float | None) -> bool:
    """
    Say whether a client is already lean, which slows a cut.

    Parameters
    ----------
    sex : str
        ``"male"`` or ``"female"``.
    fat_percent : float or None
        Fat of body mass; None counts as not lean. [%]

    Returns
    -------
    bool
        True for men below 12 % and women below 20 %.
    """
    limit = _C["lean_men"] if sex == "male" else _C["lean_women"]
    return fat_percent is not None and fat_percent < limit


@equation("rates of gain and loss")
def default_rate(
    phase: PhaseKind, status: TrainingStatus, sex: Sex, fat_percent: float | None = None
) -> float:
    """
    Give the rate of change a phase starts from.

    Parameters
    ----------
    phase : str
        ``"gain"``, ``"hold"``, ``"cut"`` or ``"endurance"``.
    status : str
        ``"novice"``, ``"intermediate"`` or ``"advanced"``.
    sex : str
        ``"male"`` or ``"female"``.
    fat_percent : float, optional
        Fat of body mass. [%]

    Returns
    -------
    float
        Rate, positive for gain. [%/week]

    References
    ----------
    .. [1] Iraki et al., Sports 7(7), 2019, 154.
    .. [2] Helms et al., J Int Soc Sports Nutr 11, 2014, 20.
    .. [3] Garthe et al., Int J Sport Nutr Exerc Metab 21(2), 2011, pages 97-104.
    """
    if phase not in PHASE_KINDS:
        raise IntakeError(f"phase {phase!r} is not known: choose one of {', '.join(PHASE_KINDS)}.")
    if phase == "gain":
        key = f"gain_{status}"
        if key not in _C:
            raise IntakeError(
                f"training status {status!r} is not known: novice, intermediate or advanced."
            )
        return _C[key]
    if phase == "cut":
        return -_cut_rate(sex, fat_percent)
    return 0.0


def _cut_rate(sex: Sex, fat_percent: float | None) -> float:
    """Lead the slower loss of the lean over to the usual one about their line [%/week]."""
    lean, usual = _C["cut_lean_default"], _C["cut_default"]
    if fat_percent is None:
        return usual
    line = _C["lean_men"] if sex == "male" else _C["lean_women"]
    share = (fat_percent - line) / (2 * LEAN_BLEND_POINTS) + 0.5
    return lean + min(1.0, max(0.0, share)) * (usual - lean)


@equation("rates of gain and loss")
def loss_cap(sex: Sex, fat_percent: float | None = None) -> float:
    """
    Give the fastest loss to plan for.

    Parameters
    ----------
    sex : str
        ``"male"`` or ``"female"``.
    fat_percent : float, optional
        Fat of body mass. [%]

    Returns
    -------
    float
        Rate, as a positive number. [%/week]
    """
    return _C["cut_cap_lean"] if is_lean(sex, fat_percent) else _C["cut_cap"]


@equation("rates of gain and loss")
def loss_cap_kg(weight_kg: float, sex: Sex, fat_percent: float | None = None) -> float:
    """
    Give the fastest loss to plan for in kilograms.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    sex : str
        ``"male"`` or ``"female"``.
    fat_percent : float, optional
        Fat of body mass. [%]

    Returns
    -------
    float
        Loss, as a positive number. [kg/week]
    """
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    return weight_kg * loss_cap(sex, fat_percent) / 100.0


@dataclass(frozen=True)
class Clamped:
    """
    A number held within its limits.

    Attributes
    ----------
    value : float
        After the limits. [as asked]
    asked : float
        Before them. [as asked]
    reason : str
        Which limit held it; empty when none did.
    """

    value: float
    asked: float
    reason: str


def clamp_energy_change(change_kcal: float, maintenance_kcal: float) -> Clamped:
    """
    Hold a planned surplus or deficit within the planning limits.

    A surplus lies between 5 and 20 % of maintenance and at 500 kcal at most; a deficit at 25 % and
    750 kcal at most. No change stays no change.

    Parameters
    ----------
    change_kcal : float
        Planned change of intake. [kcal/day]
    maintenance_kcal : float
        Intake in balance. [kcal/day]

    Returns
    -------
    Clamped
        In [kcal/day].
    """
    require_positive("maintenance_kcal", maintenance_kcal, "kcal/day", mend="Work it out first.")
    if change_kcal > 0:
        low = _C["surplus_low"] / 100.0 * maintenance_kcal
        by_share = _C["surplus_high"] / 100.0 * maintenance_kcal
        high = min(by_share, _C["surplus_kcal"])
        low = min(low, high)
        if change_kcal < low:
            return Clamped(low, change_kcal, f"raised to {_C['surplus_low']:g} % of maintenance")
        if change_kcal > high:
            limit = "20 % of maintenance" if by_share < _C["surplus_kcal"] else "500 kcal a day"
            return Clamped(high, change_kcal, f"lowered to {limit}")
    elif change_kcal < 0:
        by_share = _C["deficit_percent"] / 100.0 * maintenance_kcal
        most = min(by_share, _C["deficit_kcal"])
        if -change_kcal > most:
            limit = "25 % of maintenance" if by_share < _C["deficit_kcal"] else "750 kcal a day"
            return Clamped(-most, change_kcal, f"deficit reduced to {limit}")
    return Clamped(change_kcal, change_kcal, "")


@equation("rates of gain and loss")
def maintenance_share(maintenance_kcal: float, percent: float) -> float:
    """
    Give a share of maintenance.

    Parameters
    ----------
    maintenance_kcal : float
        Intake in balance. [kcal/day]
    percent : float
        Share. [%]

    Returns
    -------
    float
        Energy. [kcal/day]
    """
    require_positive("maintenance_kcal", maintenance_kcal, "kcal/day", mend="Work it out first.")
    return maintenance_kcal * percent / 100.0
