"""
What a client's blood tests change: notices, supplement lines and floors.

The latest value of each analyte counts; one older than a year is said to be old and counts no more.
"""

from __future__ import annotations

from mealplan.client.intake import BloodTest, Intake
from mealplan.nutrition.bloods import Side, analyte, side_of
from mealplan.targets.ranges import Notice, TargetRange

OLD_DAYS = 365
"""Older than this a value says nothing of today. [day] (common practice)"""


_NO_PUSH: tuple[tuple[str, tuple[tuple[str, Side], ...], str], ...] = (
    (
        "iron_mg",
        (("ferritin", "high"), ("transferrin_saturation", "high")),
        "ferritin or transferrin saturation is high: no floor until a physician has looked",
    ),
    (
        "potassium_mg",
        (("potassium", "high"), ("egfr", "low")),
        "blood potassium is high or filtration low: no floor until a physician has looked",
    ),
    (
        "phosphorus_mg",
        (("phosphate", "high"),),
        "blood phosphate is high: no floor until a physician has looked",
    ),
)
"""Nutrient, the tests and sides that take its floor off, and the reason shown."""


def latest(intake: Intake) -> dict[str, BloodTest]:
    """
    Give the newest value of each analyte.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    dict of str to BloodTest
    """
    found: dict[str, BloodTest] = {}
    for test in sorted(intake.bloods, key=lambda test: test.date):
        found[test.analyte] = test
    return found


def _old(test: BloodTest, intake: Intake) -> bool:
    return (intake.start - test.date).days > OLD_DAYS


def sides(intake: Intake) -> dict[str, Side]:
    """
    Say which analytes lie outside the laboratory's range, and on which side.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    dict of str to str
        Values older than a year are left out.
    """
    found: dict[str, Side] = {}
    for key, test in latest(intake).items():
        side = side_of(test.value, test.low, test.high)
        if side is not None and not _old(test, intake):
            found[key] = side
    return found


def blood_notices(intake: Intake) -> tuple[Notice, ...]:
    """
    Say what the latest values mean and whom to see.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    tuple of Notice
        In the order of the tests; an ``override`` waits for a physician's decision.
    """
    notices = []
    outside = sides(intake)
    for key, test in latest(intake).items():
        known = analyte(key, test.unit)
        ends = _ends(test)
        told = f"{known.label} {test.value:g} {test.unit} on {test.date} (laboratory: {ends})"
        if _old(test, intake):
            message, severity, see = f"{told}: over a year old, test again.", "note", ""
        elif key in outside and known.words[outside[key]]:
            side = outside[key]
            message = f"{told}: {known.words[side]}."
            severity, see = known.severity[side], known.see
        else:
            continue
        notices.append(
            Notice.model_validate(
                {
                    "code": f"blood_{key}",
                    "severity": severity,
                    "message": message,
                    "see": see,
                    "source": known.source,
                    "provenance": known.provenance,
                }
            )
        )
    return tuple(notices)


def _ends(test: BloodTest) -> str:
    """Write the laboratory's range as a report prints it."""
    if test.low is None:
        return f"up to {test.high:g}"
    if test.high is None:
        return f"from {test.low:g}"
    return f"{test.low:g} to {test.high:g}"


def blood_course(intake: Intake) -> tuple[str, ...]:
    """
    Tell the course of each analyte that was tested more than once.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    tuple of str
        One sentence an analyte, values in order of time in the laboratory's unit, with its code;
        values in other units stand apart, since laboratories are not compared by arithmetic.
    """
    by_kind: dict[tuple[str, str], list[BloodTest]] = {}
    for test in sorted(intake.bloods, key=lambda one: one.date):
        by_kind.setdefault((test.analyte, test.unit), []).append(test)
    sentences = []
    for (key, unit), tests in by_kind.items():
        if len(tests) < 2:
            continue
        known = analyte(key, unit)
        code = f" (LOINC {known.loinc})" if known.loinc else ""
        values = ", ".join(f"{one.value:g} on {one.date}" for one in tests)
        first, last = tests[0], tests[-1]
        where = side_of(last.value, last.low, last.high)
        place = (
            f"below its range ({_ends(last)})"
            if where == "low"
            else (
                f"above its range ({_ends(last)})" if where == "high" else f"inside {_ends(last)}"
            )
        )
        way = "rising" if last.value > first.value else "falling"
        way = "unchanged" if last.value == first.value else way
        sentences.append(f"{known.label}{code}: {values} {unit}; {way}, now {place}.")
    return tuple(sentences)


def line_switches(intake: Intake) -> tuple[dict[str, bool], dict[str, str]]:
    """
    Say which supplement lines the tests switch, and to which regimen.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    switches : dict of str to bool
    regimens : dict of str to str
    """
    outside = sides(intake)
    switches: dict[str, bool] = {}
    regimens: dict[str, str] = {}
    if outside.get("vitamin_d") == "low":
        regimens["vitamin_d"] = "larger"
    elif outside.get("vitamin_d") == "high":
        switches["vitamin_d"] = False
    if "tsh" in outside or "free_t4" in outside:
        switches["iodine"] = False
    return switches, regimens


def adjusted_for_bloods(ranges: dict[str, TargetRange], intake: Intake) -> dict[str, TargetRange]:
    """
    Take the push off a mineral where a test says there may be too much.

    Parameters
    ----------
    ranges : dict of str to TargetRange
        By nutrient key.
    intake : Intake
        The client.

    Returns
    -------
    dict of str to TargetRange
    """
    outside = sides(intake)
    changed = dict(ranges)
    for nutrient, tests, reason in _NO_PUSH:
        if any(outside.get(key) == side for key, side in tests) and nutrient in ranges:
            update = {"low": None, "aim": None, "day_low": None, "relaxed_low": None}
            changed[nutrient] = ranges[nutrient].model_copy(update={**update, "reason": reason})
    return changed
