"""
Can this label be true: energy against the parts, parts against the whole, shares against amounts.

What cannot be is refused. What is only odd is asked about, and whoever holds the package may
confirm that it really says so.

References
----------
.. [1] Regulation (EU) 1169/2011, Annex XIV: energy per gram of carbohydrate 4 kcal, polyols 2.4,
   protein 4, fat 9, alcohol 7, fibre 2.
.. [2] 21 CFR 101.9(c)(1)(i)(B) and (C): 4, 4 and 9 kcal per gram of protein, total carbohydrate and
   fat; insoluble fibre may be left out.
.. [3] 21 CFR 101.9(g)(5): calories may exceed the declared value by a fifth at most. The
   Commission's guidance of December 2012 gives a fifth for parts of 10 to 40 g per 100 g.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from foods.custom.daily_values import daily_values
from foods.custom.label import KJ_PER_KCAL, SALT_PER_SODIUM, Label, LabelReading, read_label
from foods.custom.label_rounding import Span, percent_span, span_of

KCAL_PER_G = {"carbohydrate": 4.0, "polyols": 2.4, "protein": 4.0, "fat": 9.0, "alcohol": 7.0}
"""Energy factors of both forms. [kcal/g]"""
FIBRE_KCAL_PER_G_EU = 2.0
"""[kcal/g]"""
ENERGY_TOLERANCE = 0.2
"""Energy may differ this much from what the parts give, as a share of the declared value."""
MOST_KCAL_PER_100G = 902.0
"""Of pure fat, the densest food there is, at the release's factor for plant fat. [kcal/100 g]"""


@dataclass(frozen=True)
class LabelFinding:
    """One thing about a label that cannot be, or that has to be asked about."""

    code: str
    weight: Literal["refuse", "ask"]
    text: str
    """What, why, and how to mend or confirm it."""


@dataclass(frozen=True)
class EnergyCheck:
    """Energy declared against energy of the parts, per 100 g."""

    declared: Span
    """[kcal]"""
    parts: Span
    """[kcal]"""
    working: str

    @property
    def holds(self) -> bool:
        """True when the two overlap with the tolerance."""
        slack = ENERGY_TOLERANCE * self.declared.value
        return (
            self.declared.low - slack <= self.parts.high
            and self.parts.low <= self.declared.high + slack
        )


def energy_of_parts(label: Label) -> EnergyCheck:
    """
    Work the energy out of the declared parts.

    Parameters
    ----------
    label : Label

    Returns
    -------
    EnergyCheck
        A European label counts fibre at 2 kcal; on a US one fibre counts between nothing and 4.
    """
    reading = read_label(label)
    zero = Span(0.0, 0.0, 0.0)
    scale = 100.0 / label.basis_g
    fat, protein = reading.span("fat_g") or zero, reading.span("protein_g") or zero
    alcohol, fibre = reading.span("alcohol_g") or zero, reading.span("fibre_g")
    total = fat.times(KCAL_PER_G["fat"]).plus(protein.times(KCAL_PER_G["protein"]))
    total = total.plus(alcohol.times(KCAL_PER_G["alcohol"]))
    working = f"9 × {fat.value:.4g} fat + 4 × {protein.value:.4g} protein"
    if label.form == "eu":
        carbohydrate = reading.span("net_carbohydrate_g") or zero
        total = total.plus(carbohydrate.times(KCAL_PER_G["carbohydrate"]))
        working += f" + 4 × {carbohydrate.value:.4g} carbohydrate"
        if fibre is not None:
            total = total.plus(fibre.times(FIBRE_KCAL_PER_G_EU))
            working += f" + 2 × {fibre.value:.4g} fibre"
    else:
        carbohydrate = reading.span("carbohydrate_g") or zero
        whole = carbohydrate.times(KCAL_PER_G["carbohydrate"])
        least = carbohydrate.minus(fibre).times(KCAL_PER_G["carbohydrate"]) if fibre else whole
        total = total.plus(Span(whole.value, least.low, whole.high))
        working += f" + 4 × {carbohydrate.value:.4g} carbohydrate"
        if fibre is not None and fibre.value:
            working += ", of which fibre may be left out"
    if label.polyols_g:
        less = KCAL_PER_G["carbohydrate"] - KCAL_PER_G["polyols"]
        total = total.minus(span_of(label.form, "polyols_g", label.polyols_g).times(scale * less))
        working += f" − 1.6 × {label.polyols_g * scale:.4g} polyols"
    declared = reading.span("energy_kcal") or zero
    return EnergyCheck(declared, total, f"{working} = {total.value:.4g} kcal")


def check_label(label: Label) -> tuple[LabelFinding, ...]:
    """
    List what cannot be true of a label, and what has to be confirmed.

    Parameters
    ----------
    label : Label

    Returns
    -------
    tuple of LabelFinding
        Refusals first; empty when everything holds.
    """
    reading = read_label(label)
    found = [
        *_energy(label, reading),
        *_parts(label, reading),
        *_twice(label),
    ]
    return tuple(sorted(found, key=lambda finding: finding.weight != "refuse"))


def _energy(label: Label, reading: LabelReading) -> list[LabelFinding]:
    found: list[LabelFinding] = []
    kcal, kj = label.energy_kcal, label.energy_kj
    if kcal is not None and kj is not None:
        a = span_of(label.form, "energy_kcal", kcal)
        b = span_of(label.form, "energy_kj", kj).times(1 / KJ_PER_KCAL)
        slack = 0.03 * max(a.value, b.value) + 1
        if a.low - slack > b.high or b.low - slack > a.high:
            swapped = abs(kcal / KJ_PER_KCAL - kj) < 0.05 * max(kj, 1.0)
            hint = "they look exchanged" if swapped else "copy both again"
            found.append(
                LabelFinding(
                    "energy_units",
                    "refuse",
                    f"energy_kcal={kcal:g} and energy_kj={kj:g} do not agree: {kcal:g} kcal are "
                    f"{kcal * KJ_PER_KCAL:.0f} kJ; {hint}.",
                )
            )
            return found
    check = energy_of_parts(label)
    if check.declared.low > MOST_KCAL_PER_100G:
        hint = (
            f" Was it kilojoules? {check.declared.value:.0f} kJ is "
            f"{check.declared.value / KJ_PER_KCAL:.0f} kcal: write energy_kj."
            if kcal is not None
            else " Check the energy and the serving."
        )
        found.append(
            LabelFinding(
                "energy_high",
                "refuse",
                f"{check.declared.value:.0f} kcal per 100 g is more than pure fat gives "
                f"({MOST_KCAL_PER_100G:.0f}).{hint}",
            )
        )
    elif not check.holds:
        ratio = check.declared.value / max(check.parts.value, 1e-9)
        if kcal is not None and kj is None and 3.6 <= ratio <= 4.8:
            found.append(
                LabelFinding(
                    "energy_units",
                    "refuse",
                    f"energy_kcal={kcal:g} looks like kilojoules: the parts give "
                    f"{check.parts.value:.0f} kcal per 100 g. Write energy_kj={kcal:g}.",
                )
            )
        else:
            found.append(
                LabelFinding(
                    "energy",
                    "ask",
                    f"the label declares {check.declared.value:.0f} kcal per 100 g, its parts give "
                    f"{check.parts.low:.0f} to {check.parts.high:.0f}: {check.working}. Labels may "
                    f"be off by {ENERGY_TOLERANCE:.0%}, and this is more. Copy it again, or "
                    "confirm that the package really says so.",
                )
            )
    return found


def _parts(label: Label, reading: LabelReading) -> list[LabelFinding]:
    found: list[LabelFinding] = []

    def refuse(code: str, text: str) -> None:
        found.append(LabelFinding(code, "refuse", text))

    zero = Span(0.0, 0.0, 0.0)
    sodium = reading.span("sodium_mg") or zero
    salt = sodium.times(SALT_PER_SODIUM / 1000)
    carbohydrate = reading.span("carbohydrate_g") or reading.span("net_carbohydrate_g") or zero
    whole = [
        reading.span("fat_g") or zero,
        reading.span("protein_g") or zero,
        carbohydrate,
        reading.span("alcohol_g") or zero,
        salt,
    ]
    least = sum(part.low for part in whole)
    if least > 100:
        refuse(
            "sum",
            f"fat, carbohydrate with fibre, protein, alcohol and salt weigh {least:.1f} g at least "
            f"in 100 g. Check the amounts, and what they are for: {label.per}"
            + (f" of {label.basis_g:g} g." if label.per != "100 g" else "."),
        )
    for part, of in (
        ("saturated_fat_g", "fat_g"),
        ("trans_fat_g", "fat_g"),
        ("monounsaturated_fat_g", "fat_g"),
        ("polyunsaturated_fat_g", "fat_g"),
        ("sugars_g", "carbohydrate_g"),
        ("starch_g", "carbohydrate_g"),
        ("polyols_g", "carbohydrate_g"),
        *((("fibre_g", "carbohydrate_g"),) if label.form == "us" else ()),
    ):
        value, total = getattr(label, part), getattr(label, of)
        if value is None:
            continue
        if span_of(label.form, part, value).low > span_of(label.form, of, total).high:
            refuse(
                part,
                f"{part}={value:g} is more than {of}={total:g}, of which it is a part; copy both "
                "again."
                + (
                    " If the label declares carbohydrate without fibre, its form is eu."
                    if part == "fibre_g"
                    else ""
                ),
            )
    fats = [label.saturated_fat_g, label.monounsaturated_fat_g, label.polyunsaturated_fat_g]
    known = sum(span_of(label.form, "saturated_fat_g", f).low for f in fats if f is not None)
    if known > span_of(label.form, "fat_g", label.fat_g).high:
        refuse(
            "fats",
            f"saturated, mono- and polyunsaturated fat together are more than fat_g={label.fat_g:g}"
            "; copy them again.",
        )
    return found


def _twice(label: Label) -> list[LabelFinding]:
    """Hold what is declared in two ways against itself."""
    found: list[LabelFinding] = []
    if label.salt_g is not None and label.sodium_mg is not None:
        salt = span_of(label.form, "salt_g", label.salt_g).times(1000 / SALT_PER_SODIUM)
        sodium = span_of(label.form, "sodium_mg", label.sodium_mg)
        if salt.low > sodium.high * 1.05 + 1 or sodium.low > salt.high * 1.05 + 1:
            found.append(
                LabelFinding(
                    "salt",
                    "refuse",
                    f"salt_g={label.salt_g:g} and sodium_mg={label.sodium_mg:g} do not agree: "
                    f"{label.salt_g:g} g of salt hold {salt.value:.0f} mg of sodium (salt is sodium"
                    f" × {SALT_PER_SODIUM}). Keep the one that is printed.",
                )
            )
    for name, percent in label.percent.items():
        amount = label.amounts.get(name)
        if amount is None:
            continue
        item = daily_values()[name]
        by_share = percent_span(label.form, name, percent)
        by_amount = span_of(label.form, name, amount)
        slack = 0.05 * max(amount, by_share.value)
        if by_amount.low - slack > by_share.high or by_share.low - slack > by_amount.high:
            found.append(
                LabelFinding(
                    f"percent_{name}",
                    "ask",
                    f"{item.label}: {percent:g} % of {item.of(label.form):g} {item.unit} is "
                    f"{by_share.value:.4g} {item.unit}, the label says {amount:g}. The amount is "
                    "counted. Copy both again, or confirm that the package really says so.",
                )
            )
    return found
