"""
Nutrition labels: from what a package declares to amounts per 100 g, each with its rounding.

Two forms are read. A European label declares carbohydrate without fibre, salt instead of sodium,
and everything per 100 g or 100 ml [1]_; a US label declares total carbohydrate, sodium, and
everything per serving, with minerals and vitamins also as a share of a daily value [2]_. Only what
is declared becomes an amount: what a label leaves out is missing, and missing is not zero. Whether
a label can be true is asked in ``foods.custom.label_checks``.

References
----------
.. [1] Regulation (EU) 1169/2011, Annexes I, XIII, XIV and XV.
.. [2] US Code of Federal Regulations, 21 CFR 101.9(b)(5), (c)(1) to (c)(9).
.. [3] European Commission, guidance on tolerances for nutrient values declared on a label, December
   2012, section 6: rounding.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from foods.custom.daily_values import DailyValue, Form, daily_values
from foods.custom.label_rounding import Span, percent_span, span_of
from foods.registry.nutrients import nutrient

Per = Literal["100 g", "100 ml", "serving"]

KJ_PER_KCAL = 4.184
"""[kJ/kcal]"""
SALT_PER_SODIUM = 2.5
"""Salt is declared as sodium times 2.5 (Regulation 1169/2011, Annex I). [g/g]"""
NITROGEN_FACTOR = 6.25
"""Protein per nitrogen on labels of both forms (Annex I; 21 CFR 101.9(c)(7)). [g/g]"""


def _not_text(value: object) -> object:
    if isinstance(value, str) and value.lstrip().startswith(("<", "‹", "less")):
        raise ValueError(
            f"{value!r:.30}: write 0 for what a label gives as less than some amount; what its "
            "rounding may hide is counted as uncertainty"
        )
    if isinstance(value, bool | str):
        raise ValueError(f"should be a number, not {value!r:.30}; write digits without a unit")
    return value


Number = Annotated[float, BeforeValidator(_not_text), Field(ge=0, le=100_000)]


class Label(BaseModel):
    """
    What one nutrition table declares, as it is printed.

    Amounts are for ``per``; a field left out is not on the label.
    """

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, use_attribute_docstrings=True
    )

    form: Form
    """``eu``: carbohydrate without fibre, salt. ``us``: total carbohydrate, sodium."""
    per: Per
    """What the amounts are for."""
    serving_g: Number | None = Field(default=None, gt=0)
    """Weight of a serving, when the amounts are per serving. [g]"""
    serving_ml: Number | None = Field(default=None, gt=0)
    """Volume of a serving, when the label gives no weight. [ml]"""
    density_g_per_ml: Number | None = Field(default=None, ge=0.2, le=2)
    """Weight of a millilitre; needed where the label counts by volume. [g/ml]"""
    energy_kcal: Number | None = None
    energy_kj: Number | None = None
    fat_g: Number
    saturated_fat_g: Number | None = None
    trans_fat_g: Number | None = None
    monounsaturated_fat_g: Number | None = None
    polyunsaturated_fat_g: Number | None = None
    carbohydrate_g: Number
    """Without fibre on a European label, with it on a US one. [g]"""
    sugars_g: Number | None = None
    polyols_g: Number | None = None
    """Sugar alcohols, which are part of the carbohydrate. [g]"""
    starch_g: Number | None = None
    fibre_g: Number | None = None
    protein_g: Number
    alcohol_g: Number | None = None
    salt_g: Number | None = None
    sodium_mg: Number | None = None
    amounts: dict[str, Number] = {}
    """Vitamins and minerals in the label's own units, such as ``calcium_mg``."""
    percent: dict[str, Number] = {}
    """The same as a share of the daily value or reference value. [%]"""

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.energy_kcal is None and self.energy_kj is None:
            raise ValueError("a label states its energy: give energy_kcal, energy_kj or both")
        if self.per == "serving" and self.serving_g is None and self.serving_ml is None:
            raise ValueError("the amounts are per serving: give serving_g, or serving_ml")
        by_volume = self.per == "100 ml" or (self.per == "serving" and self.serving_g is None)
        if by_volume and self.density_g_per_ml is None:
            raise ValueError(
                "the label counts by volume: give density_g_per_ml, grams in a millilitre. Weigh "
                "100 ml and divide by 100; plant drinks are near 1.03, oils near 0.92"
            )
        for name in (*self.amounts, *self.percent):
            if name not in daily_values():
                raise ValueError(
                    f"{name} is no vitamin or mineral of a label; those known are "
                    + ", ".join(daily_values())
                )
        for name in self.percent:
            if daily_values()[name].of(self.form) is None:
                raise ValueError(
                    f"percent.{name}: {self.form.upper()} labels have no daily value of "
                    f"{daily_values()[name].label.lower()}; give the amount instead"
                )
        return self

    @property
    def basis_g(self) -> float:
        """Give the weight the amounts are for, in grams."""
        if self.per == "100 g":
            return 100.0
        if self.per == "100 ml":
            return 100.0 * (self.density_g_per_ml or math.nan)
        return self.serving_g or (self.serving_ml or math.nan) * (self.density_g_per_ml or math.nan)


@dataclass(frozen=True)
class LabelLine:
    """One amount per 100 g with how it came about."""

    key: str
    """Nutrient key; empty for what is not counted here."""
    label: str
    unit: str
    declared: str
    """As printed, with its unit."""
    per_100g: Span
    working: str
    note: str = ""


@dataclass(frozen=True)
class LabelReading:
    """Everything a label says, per 100 g."""

    lines: tuple[LabelLine, ...]
    basis_g: float

    @property
    def per_100g(self) -> dict[str, float]:
        """Nutrient key to amount; what is not declared is absent."""
        return {line.key: line.per_100g.value for line in self.lines if line.key}

    @property
    def sd_per_100g(self) -> dict[str, float]:
        """Nutrient key to the spread that rounding alone leaves."""
        return {line.key: line.per_100g.sd for line in self.lines if line.key}

    def span(self, key: str) -> Span | None:
        """
        Give one amount per 100 g with its span; None when it is not declared.

        Parameters
        ----------
        key : str
            Key of the nutrient.
        """
        return next((line.per_100g for line in self.lines if line.key == key), None)


_STRAIGHT = (
    "fat_g", "saturated_fat_g", "trans_fat_g", "monounsaturated_fat_g", "polyunsaturated_fat_g",
    "sugars_g", "starch_g", "fibre_g", "protein_g", "alcohol_g",
)  # fmt: skip
"""Fields that mean on both labels what their nutrient key means."""


class _Sheet:
    """Lines of one label while they are written."""

    def __init__(self, label: Label) -> None:
        self.label = label
        self.scale = 100.0 / label.basis_g
        self.told = "" if label.per == "100 g" else f" × 100 / {label.basis_g:g}"
        self.lines: list[LabelLine] = []

    def span(self, name: str, value: float) -> Span:
        return span_of(self.label.form, name, value).times(self.scale)

    def add(self, key: str, declared: str, per_100g: Span, working: str) -> None:
        item = nutrient(key)
        self.lines.append(LabelLine(key, item.label, item.unit, declared, per_100g, working))


def read_label(label: Label) -> LabelReading:
    """
    Turn a label into amounts per 100 g.

    Parameters
    ----------
    label : Label

    Returns
    -------
    LabelReading
        Energy first, then the nutrients in the order of a label. Nothing is judged.
    """
    sheet = _Sheet(label)
    kcal, kj, told = label.energy_kcal, label.energy_kj, sheet.told
    if kcal is not None:
        said = f"{kcal:g} kcal"
        sheet.add("energy_kcal", said, sheet.span("energy_kcal", kcal), said + told)
    elif kj is not None:
        in_kcal = sheet.span("energy_kj", kj).times(1 / KJ_PER_KCAL)
        sheet.add("energy_kcal", f"{kj:g} kJ", in_kcal, f"{kj:g} kJ / {KJ_PER_KCAL}{told}")
    if kj is not None:
        sheet.add("energy_kj", f"{kj:g} kJ", sheet.span("energy_kj", kj), f"{kj:g} kJ{told}")
    for name in _STRAIGHT:
        value = getattr(label, name)
        if value is not None:
            sheet.add(name, f"{value:g} g", sheet.span(name, value), f"{value:g} g{told}")
    _carbohydrate(sheet)
    _sodium(sheet)
    for name, item in daily_values().items():
        _micronutrient(sheet, name, item)
    order = {key: place for place, key in enumerate(_ORDER)}
    lines = sorted(sheet.lines, key=lambda line: order.get(line.key, len(order)))
    return LabelReading(tuple(lines), label.basis_g)


_ORDER = (
    "energy_kcal", "energy_kj", "fat_g", "saturated_fat_g", "trans_fat_g", "monounsaturated_fat_g",
    "polyunsaturated_fat_g", "carbohydrate_g", "net_carbohydrate_g", "sugars_g", "starch_g",
    "fibre_g", "protein_g", "alcohol_g", "sodium_mg",
)  # fmt: skip


def _carbohydrate(sheet: _Sheet) -> None:
    """Carbohydrate with and without fibre; the one that needs an undeclared fibre is missing."""
    label, told = sheet.label, sheet.told
    said = f"{label.carbohydrate_g:g} g"
    own = sheet.span("carbohydrate_g", label.carbohydrate_g)
    fibre = None if label.fibre_g is None else sheet.span("fibre_g", label.fibre_g)
    if label.form == "eu":
        sheet.add("net_carbohydrate_g", said, own, f"{said}{told}, declared without fibre")
        if fibre is not None:
            working = f"({said} + {label.fibre_g:g} g fibre){told}"
            sheet.add("carbohydrate_g", said, own.plus(fibre), working)
    else:
        sheet.add("carbohydrate_g", said, own, f"{said}{told}, declared with fibre")
        if fibre is not None:
            working = f"({said} − {label.fibre_g:g} g fibre){told}"
            sheet.add("net_carbohydrate_g", said, own.minus(fibre), working)


def _sodium(sheet: _Sheet) -> None:
    label, told = sheet.label, sheet.told
    if label.sodium_mg is not None:
        said = f"{label.sodium_mg:g} mg"
        sheet.add("sodium_mg", said, sheet.span("sodium_mg", label.sodium_mg), said + told)
    elif label.salt_g is not None:
        said = f"{label.salt_g:g} g salt"
        own = sheet.span("salt_g", label.salt_g).times(1000 / SALT_PER_SODIUM)
        sheet.add("sodium_mg", said, own, f"{said} × 1000 / {SALT_PER_SODIUM}{told}")


def _micronutrient(sheet: _Sheet, name: str, item: DailyValue) -> None:
    label, told = sheet.label, sheet.told
    amount, percent = label.amounts.get(name), label.percent.get(name)
    if amount is not None:
        found = span_of(label.form, name, amount)
        said = f"{amount:g} {item.unit}"
        working = said + told
    elif percent is not None:
        found = percent_span(label.form, name, percent)
        said = f"{percent:g} %"
        working = f"{percent:g} % of {item.of(label.form):g} {item.unit}{told}"
    else:
        return
    factor = item.factor(label.form)
    if factor != 1:
        working += f" × {factor:g}"
    unit = nutrient(item.counts_as).unit if item.counts_as else item.unit
    # A note is about one form of label, save where the nutrient is not counted at all.
    note = item.note if label.form == "eu" or not item.counts_as else ""
    if item.ceiling_as:
        most = item.ceiling_factor(label.form)
        sheet.add(
            item.ceiling_as,
            said,
            found.times(sheet.scale * most),
            f"{said}{told}{f' × {most:.3g}' if most != 1 else ''}, counted as added: its source is "
            "not stated, and the upper limit is on added forms",
        )
    per_100g = found.times(sheet.scale * factor)
    sheet.lines.append(LabelLine(item.counts_as, item.label, unit, said, per_100g, working, note))
