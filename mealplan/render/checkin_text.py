"""A check-in as lines to read in a terminal."""

from __future__ import annotations

from mealplan.checkin.decide.status import Standing
from mealplan.checkin.log.entries import KG_PER_UNIT, MassUnit


def checkin_text(role: str, standing: Standing, unit: MassUnit) -> str:
    """
    Write where a client stands: mass, proposal, what it rests on, warnings.

    Parameters
    ----------
    role : str
        Who the client is.
    standing : Standing
    unit : {"kg", "lb"}
        In which masses are read.

    Returns
    -------
    str
    """
    proposal = standing.proposal
    lines = [f"{role.capitalize()}, {proposal.on.day} {proposal.on:%B %Y}", ""]
    if standing.refused:
        lines += [standing.refused, ""]
    trend = standing.trend
    if trend is None:
        lines.append(f"{_sentence(standing.too_little)}")
    else:
        last, factor = trend.days[-1], KG_PER_UNIT[unit]
        lines.append(
            f"Body mass without passing water {last.level_kg / factor:.1f} {unit} "
            f"({last.low_kg / factor:.1f} to {last.high_kg / factor:.1f})."
        )
    lines += ["", proposal.summary]
    lines += [f"- {_sentence(reason)}" for reason in proposal.reasons]
    lines += [f"- Please confirm: {question}" for question in proposal.questions]
    if standing.bloods:
        lines += ["", "Bloods so far", *(f"- {text}" for text in standing.bloods)]
    for warning in standing.warnings:
        lines += ["", f"{warning.message} {warning.reason}"]
        if warning.see:
            lines.append(f"See {warning.see}.")
    return "\n".join(lines)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
