"""When to stop: findings on a planned intake and on a weight trend."""

from __future__ import annotations

from mealplan.physiology.guard.findings import (
    BOTH,
    DIETITIAN,
    NOBODY,
    PHYSICIAN,
    Finding,
    finding,
    limit,
    ordered,
    practice,
)
from mealplan.physiology.guard.proposal import EnergyProposal
from mealplan.physiology.guard.screen import Screen
from mealplan.physiology.tables import constants

_T = constants("safety_thresholds")


def check_energy(plan: EnergyProposal, screen: Screen) -> tuple[Finding, ...]:
    """
    Check a planned intake.

    Parameters
    ----------
    plan : EnergyProposal
        What the plan would do.
    screen : Screen
        Whose plan it is.

    Returns
    -------
    tuple of Finding
        Gravest first.
    """
    energy = [
        *_floors(plan, screen),
        *_availability(plan, screen),
        *_losing_speeds(plan, screen),
        *_gaining_speeds(plan, screen),
    ]
    if plan.set_by_team:
        energy = _of_the_team(plan, energy)
    return ordered([*energy, *_tops(plan), *_protein(plan, screen)])


TEAM_DECIDES = frozenset({"energy_low", "below_rmr", "deficit_large", "loss_fast"})
"""What a surgical team's own energy is meant to bring about, decided on once."""


def _of_the_team(plan: EnergyProposal, found: list[Finding]) -> list[Finding]:
    """Gather what an energy set by the surgical team brings into one decision: theirs."""
    meant = [one for one in found if one.code in TEAM_DECIDES and one.severity == "override"]
    if not meant:
        return found
    said = "; ".join(one.message for one in meant)
    return [
        practice(
            "bariatric_team_energy",
            "override",
            f"{plan.intake_kcal:,.0f} kcal a day, taken as the surgical team's own: {said}",
            "after bariatric surgery that is meant, for who is seen and has bloods taken; the "
            "team's recorded decision on the surgery (bariatric_surgery) covers it",
            "the surgical team",
        ),
        *(one for one in found if one not in meant),
    ]


def loss_allowed(screen: Screen) -> bool:
    """
    Say whether any loss of weight, however slow, is open to a client.

    Parameters
    ----------
    screen : Screen
        What is known.

    Returns
    -------
    bool
        False when pregnant, breastfeeding or soon after birth, growing, or thin.
    """
    months = screen.months_postpartum
    carrying = screen.pregnant or screen.lactating
    carrying |= months is not None and months <= limit("postpartum_months")
    return not (carrying or screen.age_years < limit("adult_age") or _thin(screen))


def _thin(screen: Screen) -> bool:
    return screen.weight_kg / (screen.height_cm / 100.0) ** 2 < limit("bmi_low")


REGAIN = (
    "getting back to a healthy mass this fast is no fault, and is watched: bloods when little was "
    "eaten before"
)
"""What a quick gain means to who is underweight (common practice)."""


def _floors(plan: EnergyProposal, screen: Screen) -> list[Finding]:
    found = []
    intake = plan.intake_kcal
    by_sex = "energy_men" if screen.sex == "male" else "energy_women"
    if intake < limit("energy_never"):
        found.append(
            finding(
                "energy_never",
                "refuse",
                f"{intake:.0f} kcal a day is below 800",
                "diets this low are a medical treatment",
                PHYSICIAN,
                _T["energy_never"],
            )
        )
    elif intake < limit(by_sex):
        found.append(
            finding(
                "energy_low",
                "override",
                f"{intake:.0f} kcal a day is below {limit(by_sex):.0f}",
                "nutrients and lean mass are hard to keep at this intake",
                BOTH,
                _T[by_sex],
            )
        )
    if intake < plan.rmr_kcal and plan.weeks > limit("below_rmr_weeks"):
        found.append(
            finding(
                "below_rmr",
                "override",
                f"{intake:.0f} kcal is below resting energy ({plan.rmr_kcal:.0f}) for "
                f"{plan.weeks:g} weeks, more than {limit('below_rmr_weeks'):g}",
                "a long stay below resting energy costs lean mass, hormones and training",
                BOTH,
                _T["below_rmr_weeks"],
            )
        )
    return found


def _availability(plan: EnergyProposal, screen: Screen) -> list[Finding]:
    found = []
    ea = plan.availability
    if ea is not None and ea < limit("ea_low"):
        found.append(
            finding(
                "availability_low",
                "override",
                f"energy availability {ea:.0f} kcal/kg is below 30",
                "hormones and bone suffer in proportion to depth and length",
                BOTH,
                _T["ea_low"],
            )
        )
    ea_table = constants("energy_availability")
    signs = screen.missed_periods_months > 0 or screen.stress_fracture
    enough = ea_table["adequate" if screen.sex == "female" else "men_adequate"]
    if ea is not None and signs and ea < enough.value:
        found.append(
            finding(
                "availability_recovery",
                "warn",
                f"energy availability {ea:.0f} kcal/kg with signs of too little energy: getting "
                f"well takes {enough.value:g} and more",
                "eat more, train less, or both, for months; steady periods, libido and healing say "
                "that it is enough",
                BOTH,
                enough,
            )
        )
    if ea is not None and plan.gaining and ea < ea_table["gain_floor"].value:
        found.append(
            finding(
                "gain_in_deficit",
                "warn",
                f"a gaining phase with an energy availability of {ea:.0f} kcal/kg, below 40",
                "it is likely a deficit by mistake; check intake and training entries",
                NOBODY,
                ea_table["gain_floor"],
            )
        )
    elif ea is not None and limit("ea_low") <= ea < ea_table["cut_caution"].value:
        long = plan.weeks > ea_table["cut_weeks"].value
        if plan.percent_per_week < 0:
            found.append(
                finding(
                    "availability_reduced",
                    "override" if long else "warn",
                    f"energy availability {ea:.0f} kcal/kg for {plan.weeks:g} weeks",
                    "tolerable for 8 to 12 watched weeks, not longer",
                    DIETITIAN,
                    ea_table["cut_weeks"],
                )
            )
    return found


def _losing_speeds(plan: EnergyProposal, screen: Screen) -> list[Finding]:
    found = []
    slower = "ask for a slower loss" if loss_allowed(screen) else "no loss is planned here"
    deficit = plan.deficit_percent
    if deficit > limit("deficit_percent"):
        watched = plan.much_fat and deficit <= limit("deficit_percent_heavy")
        watched |= plan.set_by_team
        found.append(
            finding(
                "deficit_large",
                "override" if watched else "refuse",
                f"deficit of {deficit:.0f} % of total energy, more than "
                f"{limit('deficit_percent'):g} %",
                "with much fat to lose a dietitian may go further than this program by itself"
                if watched
                else "larger deficits take lean mass and training with them; " + slower,
                DIETITIAN,
                _T["deficit_percent"],
            )
        )
    rate = plan.percent_per_week
    if -rate > limit("loss_percent"):
        found.append(
            finding(
                "loss_fast",
                "override" if plan.set_by_team else "refuse",
                f"loss of {-rate:.2g} % a week, more than {limit('loss_percent'):g} %",
                "faster loss costs lean mass",
                DIETITIAN,
                _T["loss_percent"],
            )
        )
    return found


def _gaining_speeds(plan: EnergyProposal, screen: Screen) -> list[Finding]:
    found = []
    thin = _thin(screen)
    rate = plan.percent_per_week
    if rate > limit("gain_refuse"):
        found.append(
            finding(
                "gain_fast",
                "refuse",
                f"gain of {rate:.2g} % a week, more than {limit('gain_refuse'):g} %",
                "nearly all of it would be fat",
                DIETITIAN,
                _T["gain_refuse"],
            )
        )
    elif rate > limit("gain_warn"):
        found.append(
            finding(
                "gain_quick",
                "warn",
                f"gain of {rate:.2g} % a week, more than {limit('gain_warn'):g} %",
                REGAIN if thin else "faster gain adds mainly fat",
                NOBODY,
                _T["gain_warn"],
            )
        )
    if -plan.deficit_percent > limit("surplus_warn"):
        found.append(
            finding(
                "surplus_large",
                "warn",
                f"surplus of {-plan.deficit_percent:.0f} %, more than {limit('surplus_warn'):g} %",
                REGAIN if thin else "a larger surplus adds mainly fat",
                NOBODY,
                _T["surplus_warn"],
            )
        )
    return found


def _tops(plan: EnergyProposal) -> list[Finding]:
    found = []
    pal = plan.maintenance_kcal / plan.rmr_kcal
    if plan.intake_kcal > limit("energy_confirm"):
        found.append(
            finding(
                "energy_high",
                "warn",
                f"{plan.intake_kcal:.0f} kcal a day is above 6,000",
                "few people eat that; check the training week",
                NOBODY,
                _T["energy_confirm"],
            )
        )
    if pal > limit("pal_confirm"):
        found.append(
            finding(
                "pal_high",
                "warn",
                f"total energy is {pal:.2f} times resting energy, above 2.5",
                "not kept up for months; check the training week",
                NOBODY,
                _T["pal_confirm"],
            )
        )
    return found


def _protein(plan: EnergyProposal, screen: Screen) -> list[Finding]:
    protein, most = plan.protein_g_per_kg, screen.kidney_protein_most
    if most is None or protein is None or protein <= most + 1e-9:
        return []
    return [
        finding(
            "kidney_protein",
            "override",
            f"{protein:.2g} g/kg of protein with a kidney condition, more than {most:g}",
            "protein is part of treatment in kidney disease; enter the dietitian's own range",
            BOTH,
            _T["ckd_protein_disease"],
        )
    ]
