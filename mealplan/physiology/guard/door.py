"""
When to stop: one door to every safety finding.

The thresholds are the rows of ``safety_thresholds.csv``. A coach without a health licence must not
override a finding whose ``see`` names a clinician. Nothing here is medical advice.
"""

from mealplan.physiology.guard.findings import (
    BOTH,
    DIETITIAN,
    EATING,
    NOBODY,
    PHYSICIAN,
    SEVERITIES,
    Finding,
    Severity,
    finding,
    limit,
    ordered,
    practice,
    worst,
)
from mealplan.physiology.guard.inputs import check_inputs
from mealplan.physiology.guard.person import check_person
from mealplan.physiology.guard.plan import check_energy
from mealplan.physiology.guard.proposal import EnergyProposal
from mealplan.physiology.guard.screen import Screen

__all__ = [
    "BOTH",
    "DIETITIAN",
    "EATING",
    "NOBODY",
    "PHYSICIAN",
    "SEVERITIES",
    "EnergyProposal",
    "Finding",
    "Screen",
    "Severity",
    "check_energy",
    "check_inputs",
    "check_person",
    "finding",
    "limit",
    "ordered",
    "practice",
    "worst",
]
