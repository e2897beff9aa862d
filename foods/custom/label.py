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

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Annotated, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from foods.registry.nutrients import nutrient

Form = Literal["eu", "us"]
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
class DailyValue:
    """What 100 % of a vitamin or mineral is on labels, and what it counts as here."""

    key: str
    label: str
    unit: str
    us: float | None
    """[unit]"""
    eu: float | None
    counts_as: str
    """Nutrient key; empty when it is not among the nutrients counted here."""
    us_factor: float
    """Nutrient units per label unit on a US label."""
    eu_factor: float
    ceiling_as: str
    """Added form that has an upper limit of its own; empty where there is none."""
    us_ceiling_factor: float
    """Most units of the added form per label unit on a US label."""
    eu_ceiling_factor: float
    note: str

    def of(self, form: Form) -> float | None:
        """
        Give the daily value of one form of label, in the unit of the key.

        Parameters
        ----------
        form : Form
            Form of the label.
        """
        return self.us if form == "us" else self.eu

    def factor(self, form: Form) -> float:
        """
        Give nutrient units per label unit.

        Parameters
        ----------
        form : Form
            Form of the label.
        """
        return self.us_factor if form == "us" else self.eu_factor

    def ceiling_factor(self, form: Form) -> float:
        """
        Give the most units of the added form that a label unit may be.

        Parameters
        ----------
        form : Form
            Form of the label.
        """
        return self.us_ceiling_factor if form == "us" else self.eu_ceiling_factor


@cache
def daily_values() -> Mapping[str, DailyValue]:
    """
    Read the daily values of US labels and the reference values of European ones.

    Returns
    -------
    mapping of str to DailyValue
        By the label's key, in the order labels list them.

    References
    ----------
    .. [1] 21 CFR 101.9(c)(8)(iv), adults and children from 4 years.
    .. [2] Regulation (EU) 1169/2011, Annex XIII part A.
    """
    text = files("foods").joinpath("data", "daily_values.csv").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            row["key"]: DailyValue(
                key=row["key"],
                label=row["label"],
                unit=row["unit"],
                us=float(row["us"]) if row["us"] else None,
                eu=float(row["eu"]) if row["eu"] else None,
                counts_as=row["counts_as"],
                us_factor=float(row["us_factor"]),
                eu_factor=float(row["eu_factor"]),
                ceiling_as=row["ceiling_as"],
                us_ceiling_factor=float(row["us_ceiling_factor"] or 0),
                eu_ceiling_factor=float(row["eu_ceiling_factor"] or 0),
                note=row["note"],
            )
            for row in csv.DictReader(text.splitlines())
        }
    )


@dataclass(frozen=True)
class Span:
    """A declared amount with the least and most it may stand for, rounding being what it is."""

    value: float
    low: float
    high: float

    def times(self, factor: float) -> Span:
        """
        Scale it.

        Parameters
        ----------
        factor : float
            [1]

        Returns
        -------
        Span
        """
        return Span(self.value * factor, self.low * factor, self.high * factor)

    def plus(self, other: Span) -> Span:
        """
        Add another.

        Parameters
        ----------
        other : Span
            The other span, in the same unit.
        """
        return Span(self.value + other.value, self.low + other.low, self.high + other.high)

    def minus(self, other: Span) -> Span:
        """
        Take another off; nothing falls below 0.

        Parameters
        ----------
        other : Span
            The other span, in the same unit.
        """
        return Span(
            max(0.0, self.value - other.value),
            max(0.0, self.low - other.high),
            max(0.0, self.high - other.low),
        )

    @property
    def sd(self) -> float:
        """Standard deviation of an amount that lies anywhere in the span alike."""
        return (self.high - self.low) / math.sqrt(12)


def _us_step(name: str, value: float) -> tuple[float, float]:
    """Step of rounding, and what is printed as 0, by 21 CFR 101.9(c)."""
    if name == "energy_kcal":
        return (5.0 if value <= 50 else 10.0), 5.0
    if name == "energy_kj":
        return (20.0 if value <= 209 else 40.0), 20.0
    if name in ("sodium_mg", "potassium_mg"):
        return (5.0 if value <= 140 else 10.0), 5.0
    if name.endswith("fat_g"):
        return (0.5 if value < 5 else 1.0), 0.5
    return 1.0, 0.5


def _eu_step(name: str, value: float) -> tuple[float, float]:
    """Step of rounding, and what is printed as 0, by the Commission's guidance of 2012."""
    if name in ("energy_kcal", "energy_kj"):
        return 1.0, 0.5
    if name == "salt_g":
        return (0.1 if value >= 1 else 0.01), 0.0125
    if name == "sodium_mg":
        return (100.0 if value >= 1000 else 1.0), 5.0
    if name.endswith("fat_g") and name != "fat_g":
        return (1.0 if value >= 10 else 0.1), 0.1
    return (1.0 if value >= 10 else 0.1), 0.5


def _micro_step(name: str, value: float) -> float:
    """Last place of two significant figures, three for the minerals and vitamins of bulk."""
    if value <= 0:
        return 0.0
    figures = 3 if name in _THREE_FIGURES else 2
    return float(10.0 ** (math.floor(math.log10(value)) - figures + 1))


_THREE_FIGURES = frozenset(
    {
        "vitamin_a_ug", "folate_ug", "chloride_mg", "calcium_mg", "phosphorus_mg", "magnesium_mg",
        "iodine_ug", "potassium_mg",
    }
)  # fmt: skip


def _printed_step(value: float, step: float) -> float:
    """Narrow a step to the last place that is printed, where a label prints finer."""
    while step > 1e-4 and abs(value / step - round(value / step)) > 1e-6:
        step /= 5 if f"{step:e}"[0] == "5" else 2 if f"{step:e}"[0] == "2" else 10
    return step


def span_of(form: Form, name: str, value: float) -> Span:
    """
    Say what a printed amount may stand for.

    Parameters
    ----------
    form : {"eu", "us"}
    name : str
        Field of the label, such as ``fat_g``, or a key of :func:`daily_values`.
    value : float
        As printed. [unit of the field]

    Returns
    -------
    Span
        Same unit.
    """
    if name in daily_values() and (form == "eu" or name != "potassium_mg"):
        step = _printed_step(value, _micro_step(name, value))
        return Span(value, max(0.0, value - step / 2), value + step / 2)
    step, zero = (_us_step if form == "us" else _eu_step)(name, value)
    if value == 0:
        return Span(0.0, 0.0, zero)
    step = _printed_step(value, step)
    return Span(value, max(0.0, value - step / 2), value + step / 2)


def percent_span(form: Form, name: str, percent: float) -> Span:
    """
    Turn a share of the daily value into an amount.

    Parameters
    ----------
    form : {"eu", "us"}
    name : str
        Key of :func:`daily_values`.
    percent : float
        As printed. [%]

    Returns
    -------
    Span
        In the unit of the key. US labels round to 2 % up to 10 %, to 5 % up to 50 % and to 10 %
        above (21 CFR 101.9(c)(8)(iii)); European ones to whole per cents.
    """
    whole = daily_values()[name].of(form)
    if whole is None:
        raise ValueError(f"{form.upper()} labels have no daily value of {name}")
    step = 1.0
    if form == "us":
        step = 2.0 if percent <= 10 else 5.0 if percent <= 50 else 10.0
        step = _printed_step(percent, step)
    low, high = max(0.0, percent - step / 2), percent + step / 2
    if percent == 0 and form == "us":
        high = 2.0
    return Span(percent, low, high).times(whole / 100)


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
