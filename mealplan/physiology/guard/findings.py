"""
A finding: one thing that speaks against acting on a plan or a number, with its basis.

Severities
----------
refuse
    Not done by this program, whoever asks.
override
    Only with a named health professional, a reason and an end date.
warn
    Look twice and confirm.
note
    Worth knowing.

Thresholds are the rows of ``safety_thresholds.csv``. A coach without a health licence must not
override a finding whose ``see`` names a clinician. Nothing here is medical advice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from mealplan.physiology.tables import Constant, constants
from mealplan.references.tables import Provenance

_T = constants("safety_thresholds")

Severity = Literal["refuse", "override", "warn", "note"]
SEVERITIES: tuple[Severity, ...] = ("refuse", "override", "warn", "note")

PHYSICIAN = "a physician"
DIETITIAN = "a registered dietitian"
BOTH = "a physician and a registered dietitian"
EATING = "a physician or a service for eating disorders"
NOBODY = ""


@dataclass(frozen=True)
class Finding:
    """
    One thing that speaks against acting on a plan or a number.

    Attributes
    ----------
    code : str
        Stable name.
    severity : str
        ``"refuse"``, ``"override"``, ``"warn"`` or ``"note"``.
    message : str
        What, with the value.
    reason : str
        Why it matters.
    see : str
        Whom to see; empty when checking the number is enough.
    source : str
        Basis of the threshold.
    provenance : str
        How well the basis is attested.
    """

    code: str
    severity: Severity
    message: str
    reason: str
    see: str
    source: str
    provenance: Provenance


def finding(
    code: str, severity: Severity, message: str, reason: str, see: str, basis: Constant
) -> Finding:
    """
    Make a finding that rests on a reference value.

    Parameters
    ----------
    code, severity, message, reason, see : str
        As in :class:`Finding`.
    basis : Constant
        The threshold it rests on.

    Returns
    -------
    Finding
    """
    return Finding(code, severity, message, reason, see, basis.source, basis.provenance)


def practice(code: str, severity: Severity, message: str, reason: str, see: str) -> Finding:
    """
    Make a finding that rests on good practice alone.

    Parameters
    ----------
    code, severity, message, reason, see : str
        As in :class:`Finding`.

    Returns
    -------
    Finding
    """
    return Finding(code, severity, message, reason, see, "good practice", "common practice")


def limit(key: str) -> float:
    """
    Look a threshold up.

    Parameters
    ----------
    key : str
        Row of ``safety_thresholds.csv``.

    Returns
    -------
    float
        Its value, in the row's unit.
    """
    return _T[key].value


def ordered(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """
    Put findings in order, gravest first, otherwise as they came.

    Parameters
    ----------
    findings : sequence of Finding
        Any.

    Returns
    -------
    tuple of Finding
    """
    return tuple(sorted(findings, key=lambda f: SEVERITIES.index(f.severity)))


def worst(findings: Sequence[Finding]) -> Severity | None:
    """
    Give the gravest severity.

    Parameters
    ----------
    findings : sequence of Finding
        Any.

    Returns
    -------
    str or None
        None when there is no finding.
    """
    return min((f.severity for f in findings), key=SEVERITIES.index, default=None)
