"""What a physician or dietitian has to know or has decided."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

from pydantic import Field

from mealplan.client.fields import Date, IntakePart, Words, YesNo

HealthFlag = Literal[
    "pregnant",
    "breastfeeding",
    "postpartum 6 months",
    "eating disorder history",
    "fear of food groups",
    "kidney disease",
    "dialysis",
    "kidney stones",
    "one kidney",
    "diabetes medicines",
    "type 1 diabetes",
    "insulin or sulfonylurea",
    "sglt2 inhibitor",
    "glp-1 medicine",
    "metformin",
    "potassium-raising medicines",
    "lithium",
    "mao inhibitor",
    "anticoagulant",
    "thyroid disease",
    "heart symptoms",
    "fainting",
    "missed periods 3 months",
    "polycystic ovary syndrome",
    "stress fracture",
    "unintended weight loss",
    "bariatric surgery",
    "bowel disease",
    "coeliac disease",
    "phenylketonuria",
    "haemochromatosis",
    "g6pd deficiency",
    "high blood pressure",
    "sleep apnoea",
    "gallstones",
    "wheelchair user",
    "limb loss",
    "irritable bowel",
    "frequent illness",
    "low libido",
    "low mood",
    "gut complaints",
    "tired and slower",
    "other medicines",
    "anaphylaxis",
]


class Override(IntakePart):
    """A named professional's decision to go past a guard rail, until a date."""

    finding: Words = Field(max_length=80)
    """Code of the finding, as the refusal prints it."""
    by: Words = Field(min_length=3, max_length=80)
    """Role of the professional, such as sports dietitian."""
    reason: Words = Field(min_length=10, max_length=400)
    until: Date


HIDING_FLAGS = frozenset({"eating disorder history", "fear of food groups"})
"""Health flags of clients who are not shown weights or calories in any case."""


SITTING_FLAGS = frozenset({"wheelchair user", "limb loss"})
"""Health flags of bodies that equations on height, mass or tape do not fit."""


LimbLost = Literal[
    "foot",
    "below knee",
    "above knee",
    "whole leg",
    "hand",
    "below elbow",
    "above elbow",
    "whole arm",
]
"""A part of one limb that is missing, with all that lies below it."""

_LIMB_WORDS: Mapping[str, LimbLost] = {
    "ankle": "foot",
    "calf": "below knee",
    "lower leg": "below knee",
    "lower leg and foot": "below knee",
    "shin": "below knee",
    "transtibial": "below knee",
    "thigh": "above knee",
    "transfemoral": "above knee",
    "hip": "whole leg",
    "leg": "whole leg",
    "wrist": "hand",
    "forearm": "below elbow",
    "forearm and hand": "below elbow",
    "lower arm": "below elbow",
    "transradial": "below elbow",
    "transhumeral": "above elbow",
    "upper arm": "above elbow",
    "arm": "whole arm",
    "shoulder": "whole arm",
}


def limb_said(value: object) -> object:
    """
    Read which part of a limb is missing, in the words that people use for it.

    Parameters
    ----------
    value : object
        As written, such as ``lower leg and foot`` or ``left leg below the knee``.

    Returns
    -------
    object
        A name of :data:`LimbLost`; anything else as it came, to be asked about.
    """
    if not isinstance(value, str):
        return value
    words = [word for word in value.lower().split() if word not in ("the", "left", "right", "one")]
    said = " ".join(words)
    for side in ("leg ", "arm "):
        if said.startswith((f"{side}below ", f"{side}above ")):
            said = said.removeprefix(side)
    if said in _LIMB_WORDS:
        return _LIMB_WORDS[said]
    return said if said in get_args(LimbLost) else value


FEMALE_FLAGS = frozenset(
    {
        "pregnant",
        "breastfeeding",
        "postpartum 6 months",
        "missed periods 3 months",
        "polycystic ovary syndrome",
    }
)


class DeficiencyAnswers(IntakePart):
    """Answers to the questions on relative energy deficiency; left out means not asked."""

    no_period_a_year: YesNo | None = None
    """No period for a year or more."""
    never_a_period: YesNo | None = None
    """No first period by the age of 15."""
    periods_rare: YesNo | None = None
    """Periods more than 35 days apart, or fewer than nine a year."""
    bone_stress_grave: YesNo | None = None
    """In two years a bone stress injury of femoral neck, sacrum or pelvis, or two elsewhere."""
    bone_stress_once: YesNo | None = None
    """In two years one bone stress injury elsewhere."""
    bone_density_low: YesNo | None = None
    """Z-score below -1, or falling."""
    growth_fell_back: YesNo | None = None
    """Under 18: height or mass behind its own course."""
    hormones_low: YesNo | None = None
    """Testosterone (men) or T3 low or in the lowest quarter of its range."""
    mood_diagnosed: YesNo | None = None
    """Depression or anxiety diagnosed by a clinician."""
