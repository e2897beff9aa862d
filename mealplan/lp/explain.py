"""
Why a day misses what it misses: the few wishes that clash, and what relaxing each would buy.

Every wish is one *end* of a row, its floor or its ceiling. A set of ends clashes when not even a
day that blends dishes freely can meet them together; as a blend is allowed more than a plan, such a
clash is proven for every plan made of these dishes. From the prices of a blend that fails, the ends
that take part are read; dropping them one by one while the rest still clashes leaves a few of which
none is superfluous (a deletion filter). All of it runs on one small programme kept warm.

Where a blend could meet everything, whole dishes in kitchen measures are what stands in the way,
and the filter is run once more on the dishes that were chosen; that answer holds for those dishes
only and is said so.

References
----------
.. [1] J. W. Chinneck, E. W. Dravnieks, ORSA Journal on Computing 3(2), 1991, 157-168,
   doi:10.1287/ijoc.3.2.157: deletion filter.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from mealplan.lp.amounts import AmountsLP
from mealplan.lp.column_bound import best_portions
from mealplan.lp.daymodel import DayModel, Floats
from mealplan.lp.search import DayAnswer
from mealplan.lp.warm_start import HotLP
from mealplan.rules.rows.base import TIER_PRICE, Row
from mealplan.rules.rows.nutrients import INSET

Side = Literal["floor", "ceiling"]

MET = INSET
"""A miss below this fraction of its bound is none: rows are drawn in by as much."""

MUST = 0.9 * TIER_PRICE["floor"]
"""An end whose whole miss costs at least this is a must; cheaper ones are wishes."""

MOST_CLASHES = 3
MOST_ROUNDS = 80


@dataclass(frozen=True)
class End:
    """The floor or the ceiling of one row."""

    row: Row
    side: Side

    @property
    def bound(self) -> float:
        """Where it lies [row unit]."""
        return self.row.low if self.side == "floor" else self.row.high

    @property
    def scale(self) -> float:
        """What a whole miss is [row unit]."""
        return abs(self.bound) or 1.0

    @property
    def worth(self) -> float:
        """Price of missing it whole."""
        price = self.row.price_low if self.side == "floor" else self.row.price_high
        return price * self.scale

    @property
    def words(self) -> str:
        """Say it, such as ``at least 14.4 mg of iron``."""
        least = "at least" if self.side == "floor" else "at most"
        return (
            f"{least} {in_unit(self.asked(self.bound), self.row.unit)} of {thing(self.row.label)}"
        )

    def asked(self, amount: float) -> float:
        """Undo the inset rows of nutrients are drawn in by, for the reader's eye [row unit]."""
        if self.row.tier == "energy" or "@" in self.row.name:
            return amount
        return amount / (1 + INSET if self.side == "floor" else 1 - INSET)


@dataclass(frozen=True)
class Miss:
    """An end the day does not meet."""

    end: End
    amount: float
    """What the day gives. [row unit]"""
    must: bool

    @property
    def fraction(self) -> float:
        """How much of the bound is missing or too much, 0 to 1 and beyond."""
        return abs(self.amount - self.end.bound) / self.end.scale


@dataclass(frozen=True)
class EndPrice:
    """What a binding end costs the day's other wishes."""

    end: End
    per_unit: float
    """Rise of the day's objective when the end is tightened by one unit. [1/row unit]"""
    per_percent: float
    """The same for tightening it by 1 % of its bound."""
    kcal_per_unit: float = 0.0
    """Energy one more unit takes, on the day that meets every must for least energy. [kcal]"""

    @property
    def sentence(self) -> str:
        """Say what one more unit costs, measured in shortfall of another floor."""
        share = self.per_unit / TIER_PRICE["floor"]
        unit, name = self.end.row.unit, thing(self.end.row.label)
        one = f"one more {unit}" if self.end.side == "floor" else f"one {unit} less"
        cost = f"as much as falling {share:.2%} short of a vitamin or mineral floor"
        energy = f" and take about {self.kcal_per_unit:,.3g} kcal" if self.kcal_per_unit > 0 else ""
        return f"With these dishes {one} of {name} would cost {cost}{energy}."


@dataclass(frozen=True)
class Relaxing:
    """How far one end of a clash has to give for the rest to hold."""

    end: End
    to: float | None
    """New bound at best; None when giving it up whole is not enough. [row unit]"""


@dataclass(frozen=True)
class Clash:
    """Ends that cannot all be met, none superfluous."""

    ends: tuple[End, ...]
    proven: bool
    """True for every plan of these dishes; False for the dishes of this day only."""
    relaxings: tuple[Relaxing, ...] = ()


@dataclass(frozen=True)
class Explanation:
    """Why this day is as good as it is."""

    missed: tuple[Miss, ...]
    """Musts first, then by how much."""
    clashes: tuple[Clash, ...]
    prices: tuple[EndPrice, ...]
    """Binding musts, dearest first."""
    least_kcal: float | None
    """Least energy at which these dishes meet every other must; None when they cannot. [kcal]"""
    sentences: tuple[str, ...]

    @property
    def clash(self) -> tuple[End, ...]:
        """Ends of the first clash; empty when every must is met."""
        return self.clashes[0].ends if self.clashes else ()


def in_unit(value: float, unit: str) -> str:
    """Write an amount as a reader wants it, three figures at most."""
    shown = f"{value:,.0f}" if abs(value) >= 100 else f"{value:.3g}"
    return f"{shown} {unit}"


def thing(label: str) -> str:
    """Write a label inside a sentence: its first letter small unless it is a name of letters."""
    first = label.split(" ", 1)[0]
    return (
        label if len(first) < 2 or first[1:] != first[1:].lower() else label[0].lower() + label[1:]
    )


def ends_of(model: DayModel, *, least_worth: float = MUST) -> tuple[End, ...]:
    """
    List a day's floors and ceilings.

    Parameters
    ----------
    model : DayModel
        The day.
    least_worth : float
        Only ends whose whole miss costs at least this.

    Returns
    -------
    tuple of End
        In the order of the rows.
    """
    found = []
    for row in model.rows:
        ends = (End(row, "floor"), End(row, "ceiling"))
        found += [e for e in ends if math.isfinite(e.bound) and e.worth >= least_worth]
    return tuple(found)


class Blend:
    """
    The freest day these dishes allow: meals may mix portions of dishes, serving costs nothing.

    Some ends are dear and the rest cost nothing; the programme finds how little the dear ones can
    be missed. Dishes come in as their prices ask (column generation), and stay for later solves.

    Parameters
    ----------
    model : DayModel
        The day.
    ends : sequence of End
        Every end that will ever be priced.
    """

    def __init__(self, model: DayModel, ends: Sequence[End]) -> None:
        self.ends = tuple(ends)
        place = {row.name: index for index, row in enumerate(model.rows)}
        used = sorted({place[end.row.name] for end in ends})
        at = {row: index for index, row in enumerate(used)}
        self._rows = len(used)
        self._slots = len(model.tables)
        self.row_of = np.array([at[place[end.row.name]] for end in ends], dtype=np.int64)
        zero = np.zeros
        self._tables = [
            replace(
                table,
                per_gram=np.ascontiguousarray(table.per_gram[:, used]),
                deviation=zero(len(table.deviation)),
                cost=zero(len(table.cost)),
            )
            for table in model.tables
        ]
        priced = {(end.row.name, end.side) for end in ends}
        low = [
            model.low[row] if (model.rows[row].name, "floor") in priced else -math.inf
            for row in used
        ]
        high = [
            model.high[row] if (model.rows[row].name, "ceiling") in priced else math.inf
            for row in used
        ]
        # An end is a row of its own, so that a floor above a ceiling is a clash and not a fault.
        self._lp = HotLP()
        floors = [end.side == "floor" for end in ends]
        self._sign = np.where(floors, 1.0, -1.0)
        self._lp.add_rows(
            np.array(
                [low[r] if f else -math.inf for r, f in zip(self.row_of, floors, strict=True)]
                + [1.0] * self._slots
            ),
            np.array(
                [math.inf if f else high[r] for r, f in zip(self.row_of, floors, strict=True)]
                + [1.0] * self._slots
            ),
        )
        self._scale = np.array([end.scale for end in ends])
        for index in range(len(ends)):
            self._lp.add_unit_columns(
                zero(1), np.array([index], dtype=np.int64), float(self._sign[index])
            )
        self._first = self._lp.columns
        self._linear = zero(self._rows)
        self._values: list[Floats] = []
        for slot, table in enumerate(self._tables):
            for choice in range(min(4, len(table.choices))):
                self._add(slot, table.typical[table.lines_of(choice)], table.lines_of(choice))

    def _add(self, slot: int, grams: Floats, lines: slice) -> None:
        totals = grams @ self._tables[slot].per_gram[lines]
        values = np.zeros(len(self.ends) + self._slots)
        values[: len(self.ends)] = totals[self.row_of]
        values[len(self.ends) + slot] = 1.0
        self._lp.add_column(float(totals @ self._linear), values)
        self._values.append(totals)

    def aim(self, row: int | None) -> None:
        """Let the blend cost what it holds of one row (numbered as in ``row_of``), or nothing."""
        self._linear = np.zeros(self._rows)
        if row is not None:
            self._linear[row] = 1.0
        count = len(self._values)
        costs = np.array(self._values) @ self._linear
        self._lp.set_costs(np.arange(self._first, self._first + count), costs)

    def least(
        self, weight: Floats, *, enough: float = -math.inf, proof: float = math.inf
    ) -> tuple[float, float, Floats]:
        """
        Find the least weighted relative miss.

        Parameters
        ----------
        weight : array (ends,)
            Price of missing each end whole; 0 for those that do not count.
        enough : float
            Stop once the miss is known to be this small.
        proof : float
            Stop once the miss is known to be larger than this.

        Returns
        -------
        value : float
            Miss of the best blend found.
        bound : float
            No blend can miss less.
        price : array (ends,)
            What tightening each end by its whole bound would add, where the bound was found.
        """
        self._lp.set_costs(np.arange(len(self.ends)), weight / self._scale)
        bound, best = -math.inf, np.zeros(len(self.ends))
        value = math.inf
        for _ in range(MOST_ROUNDS):
            value, dual = self._lp.solve()
            price, convexity = dual[: len(self.ends)], dual[len(self.ends) :]
            worth = np.bincount(self.row_of, price, minlength=self._rows) - self._linear
            low = value
            fresh = []
            for slot, table in enumerate(self._tables):
                grams, cost = best_portions(table, worth)
                reduced = cost - convexity[slot]
                low += min(0.0, float(reduced.min()))
                fresh += [
                    (slot, grams[table.lines_of(int(choice))], int(choice))
                    for choice in np.argsort(reduced, kind="stable")[:3]
                    if reduced[choice] < -1e-9
                ]
            if low > bound:
                bound, best = low, price
            if value <= enough or bound > proof or value - bound <= 1e-4 * (1e-3 + abs(value)):
                break
            if not fresh:
                break
            for slot, grams, choice in fresh:
                self._add(slot, grams, self._tables[slot].lines_of(choice))
        return value, bound, best * self._sign * self._scale

    def missed(self) -> Floats:
        """Relative miss of each end in the last blend, (ends,)."""
        missed: Floats = self._lp.values()[: len(self.ends)] / self._scale
        return missed


def find_clash(
    blend: Blend, among: Iterable[int], keep_last: Sequence[int] = ()
) -> tuple[int, ...]:
    """
    Reduce ends that cannot all be met to a few that still cannot.

    Parameters
    ----------
    blend : Blend
        The freest day.
    among : iterable of int
        Ends to look at, as indices into ``blend.ends``.
    keep_last : sequence of int
        Ends a reader wants to see in the answer if it is possible: tried last for dropping.

    Returns
    -------
    tuple of int
        Indices of a minimal clash, or empty when a blend meets them all.
    """
    among = tuple(among)
    weight = np.zeros(len(blend.ends))
    weight[list(among)] = 1.0
    _, bound, price = blend.least(weight, enough=MET / 2, proof=MET)
    if bound <= MET:
        return ()
    energy = [end for end in among if blend.ends[end].row.tier == "energy"]
    kept = sorted({*np.flatnonzero((np.abs(price) > 1e-9) & (weight > 0)).tolist(), *energy})
    order = sorted(kept, key=lambda end: (end in keep_last, _telling(blend.ends[end]), price[end]))
    for end in order:
        if end not in kept:
            continue
        trial = [other for other in kept if other != end]
        weight = np.zeros(len(blend.ends))
        weight[trial] = 1.0
        _, bound, price = blend.least(weight, enough=MET / 2, proof=MET)
        if bound > MET:
            kept = [other for other in trial if abs(price[other]) > 1e-9]
    return tuple(kept)


def _telling(end: End) -> int:
    """Rank how much an end tells a reader; what tells least is tried for dropping first."""
    if end.row.tier == "energy":
        return 3
    if end.side == "ceiling":
        return 0
    return 2 if end.row.tier in ("protein", "amino acid") else 1


def relax_each(blend: Blend, clash: Sequence[int], others: Iterable[int]) -> tuple[Relaxing, ...]:
    """
    Say how far each end of a clash must give so that the other ends hold.

    Parameters
    ----------
    blend : Blend
        The freest day.
    clash : sequence of int
        Ends that clash.
    others : iterable of int
        Further ends that should hold as well.

    Returns
    -------
    tuple of Relaxing
        The least each must give in a blend: a plan of whole dishes may need a little more.
    """
    held = sorted({*clash, *others})
    found = []
    for end in clash:
        weight = np.zeros(len(blend.ends))
        weight[held] = 1000.0
        weight[end] = 1.0
        blend.least(weight)
        missed = blend.missed()
        rest = sum(float(missed[other]) for other in held if other != end)
        this = blend.ends[end]
        step = float(missed[end]) * this.scale
        to = this.bound - step if this.side == "floor" else this.bound + step
        found.append(Relaxing(this, to if rest <= MET else None))
    return tuple(found)


def least_miss(model: DayModel) -> float:
    """
    Find how little of all musts together any day of these dishes can miss.

    Parameters
    ----------
    model : DayModel
        The day.

    Returns
    -------
    float
        Sum of relative misses, as a proven lower bound; 0 when a blend meets every must.
    """
    ends = ends_of(model)
    _, bound, _ = Blend(model, ends).least(np.ones(len(ends)), enough=MET / 2)
    return max(0.0, bound)


def explain_day(model: DayModel, answer: DayAnswer) -> Explanation:
    """
    Say why a planned day misses what it misses, and what its musts cost.

    Parameters
    ----------
    model : DayModel
        The day as it was planned.
    answer : DayAnswer
        Its plan.

    Returns
    -------
    Explanation
        With no clash when every must is met.
    """
    missed = _misses(model, answer)
    ends = ends_of(model)
    blend = Blend(model, ends)
    clashes = _clashes(model, answer, blend, [miss.end for miss in missed if miss.must])
    least_kcal, kcal = _energy_prices(blend)
    prices = _prices(model, answer, ends, kcal)
    return Explanation(
        missed=missed,
        clashes=clashes,
        prices=prices,
        least_kcal=least_kcal,
        sentences=tuple(_sentences(missed, clashes, prices, least_kcal)),
    )


def _misses(model: DayModel, answer: DayAnswer) -> tuple[Miss, ...]:
    totals = model.totals(answer.picks, answer.grams)
    amounts = {row.name: float(t) + row.base for row, t in zip(model.rows, totals, strict=True)}
    found = []
    for end in ends_of(model, least_worth=0.0):
        amount = amounts[end.row.name]
        over = end.bound - amount if end.side == "floor" else amount - end.bound
        if over > MET * end.scale and end.worth > 0 and not end.row.name.endswith(":aim"):
            found.append(Miss(end, amount, must=end.worth >= MUST))
    return tuple(sorted(found, key=lambda miss: (not miss.must, -miss.fraction * miss.end.worth)))


def _clashes(
    model: DayModel, answer: DayAnswer, blend: Blend, missed: Sequence[End]
) -> tuple[Clash, ...]:
    if not missed:
        return ()
    at = {(end.row.name, end.side): index for index, end in enumerate(blend.ends)}
    wanted = [at[end.row.name, end.side] for end in missed]
    met = [index for index in range(len(blend.ends)) if index not in wanted]
    found: list[tuple[int, ...]] = []
    for index in wanted:
        if any(index in clash for clash in found) or len(found) == MOST_CLASHES:
            continue
        clash = find_clash(blend, [*met, index], keep_last=wanted)
        if clash:
            found.append(clash)
    if not found:
        clash = find_clash(blend, range(len(blend.ends)), keep_last=wanted)
        if clash:
            found.append(clash)
    if found:
        return tuple(
            Clash(tuple(blend.ends[index] for index in clash), True, relax_each(blend, clash, met))
            for clash in found
        )
    chosen = replace(
        model, offers=tuple((o[p],) for o, p in zip(model.offers, answer.picks, strict=True))
    )
    narrow = Blend(chosen, blend.ends)
    clash = find_clash(narrow, range(len(blend.ends)), keep_last=wanted)
    return (Clash(tuple(blend.ends[index] for index in clash), proven=False),) if clash else ()


def _prices(
    model: DayModel, answer: DayAnswer, ends: Sequence[End], kcal: Mapping[tuple[str, Side], float]
) -> tuple[EndPrice, ...]:
    """Prices of the musts that bind once these dishes are chosen."""
    lp = AmountsLP(model)
    for slot, pick in enumerate(answer.picks):
        lp.put(slot, pick)
    _, dual = lp.solve()
    price = {row.name: float(value) for row, value in zip(model.rows, dual, strict=True)}
    found = []
    for end in ends:
        value = price[end.row.name] * (1 if end.side == "floor" else -1)
        if value * end.scale > 1e-6:
            found.append(
                EndPrice(
                    end,
                    value,
                    value * end.scale / 100,
                    kcal.get((end.row.name, end.side), 0.0),
                )
            )
    return tuple(sorted(found, key=lambda item: -item.per_percent))


def _energy_prices(blend: Blend) -> tuple[float | None, dict[tuple[str, Side], float]]:
    """Least energy that meets every must, and what one more unit of each adds to it."""
    energy = [i for i, end in enumerate(blend.ends) if end.row.name == "energy_kcal"]
    return _least_prices(blend, energy) if energy else (None, {})


def _least_prices(
    blend: Blend, freed: Sequence[int]
) -> tuple[float | None, dict[tuple[str, Side], float]]:
    """
    Find the least of one row that meets every must, and what one more unit of each adds to it.

    Parameters
    ----------
    blend : Blend
        The freest day.
    freed : sequence of int
        Ends of the row; they do not hold here.

    Returns
    -------
    least : float or None
        None when the musts cannot all be met. [row unit]
    price : dict
        By row and side. [row unit per unit of that row]
    """
    row = int(blend.row_of[freed[0]])
    weight = np.full(len(blend.ends), 1e5)
    weight[freed] = 0.0
    blend.aim(row)
    value, _, price = blend.least(weight)
    missed = blend.missed()
    blend.aim(None)
    missed[freed] = 0.0
    if missed.sum() > MET:
        return None, {}
    return value - float(missed @ weight) + blend.ends[freed[0]].row.base, {
        (end.row.name, end.side): float(price[i]) / end.scale
        for i, end in enumerate(blend.ends)
        if price[i] > 1e-6
    }


def dearest_floors(
    model: DayModel, worth_per_gram: Floats | None = None, currency: str = ""
) -> tuple[str, ...]:
    """
    Say which must costs a day most energy, and most money when prices are known.

    On the day that meets every must for least energy, or least money, whatever its dishes, the
    price of each must is what one per cent more of it would add.

    Parameters
    ----------
    model : DayModel
        The day.
    worth_per_gram : array (foods,), optional
        What a gram eaten is worth. [currency/g]
    currency : str
        Its unit.

    Returns
    -------
    tuple of str
        One sentence each; none where the musts cannot all be met or none of them costs anything.
    """
    said: list[str] = []
    ends = ends_of(model)
    energy = [i for i, end in enumerate(ends) if end.row.name == "energy_kcal"]
    if energy:
        said += _dearest(
            Blend(model, ends),
            energy,
            "energy",
            lambda add: (
                f"{add:.2g} kcal to the least on which a day of these dishes meets everything"
            ),
        )
    if worth_per_gram is not None and worth_per_gram.any():
        money = Row(
            name="worth of the food",
            label="Worth of the food",
            unit=currency,
            per_gram=worth_per_gram,
            low=-math.inf,
            high=1e9,
            price_low=0.0,
            price_high=1.0,
            tier="comfort",
            why="",
        )
        priced = replace(model, rows=(*model.rows, money))
        # Spending has its own wish where there is a budget; here it is what is made least.
        ends = tuple(end for end in ends if end.row.name != "spending")
        blend = Blend(priced, (*ends, End(money, "ceiling")))
        said += _dearest(
            blend,
            [len(ends)],
            "money",
            lambda add: f"{add:.2g} {currency} to the least for which a day meets everything",
        )
    return tuple(said)


def _dearest(
    blend: Blend, freed: Sequence[int], what: str, say: Callable[[float], str]
) -> Iterable[str]:
    _, price = _least_prices(blend, freed)
    costly = [
        (price[end.row.name, end.side] * end.scale / 100, end)
        for end in blend.ends
        if end.row.name != "energy_kcal" and (end.row.name, end.side) in price
    ]
    if costly:
        add, end = max(costly, key=lambda item: item[0])
        yield (
            f"{end.words[0].upper()}{end.words[1:]} costs most {what}: one per cent more would add "
            f"about {say(add)}."
        )


def _sentences(
    missed: Sequence[Miss],
    clashes: Sequence[Clash],
    prices: Sequence[EndPrice],
    least_kcal: float | None,
) -> Iterable[str]:
    for clash in clashes:
        yield _clash_sentence(clash)
        if clash.relaxings:
            yield _relaxing_sentence(clash)
    if missed and missed[0].must and not clashes:
        yield (
            "Portions could be found that meet everything, but not in whole kitchen measures of "
            "the dishes tried; asking for another day may find them."
        )
    costly = [item for item in prices if item.kcal_per_unit > 0]
    if costly and not clashes:
        worst = max(costly, key=lambda item: item.kcal_per_unit * item.end.scale)
        yield (
            f"{worst.end.words[0].upper()}{worst.end.words[1:]} costs most energy of all: one per "
            f"cent more would take about {worst.kcal_per_unit * worst.end.scale / 100:,.0f} kcal."
        )
    if missed and missed[0].must and prices:
        yield prices[0].sentence
    if least_kcal is not None:
        yield (
            "Energy aside, no day of these dishes meets every must on less than about "
            f"{round(least_kcal, -1):,.0f} kcal."
        )


def _clash_sentence(clash: Clash) -> str:
    reasons = "; ".join(dict.fromkeys(end.row.why for end in clash.ends))
    words = [end.words for end in clash.ends]
    if len(words) == 1:
        said = f"{words[0]} is out of reach on its own"
    else:
        said = f"{', '.join(words[:-1])} and {words[-1]} cannot be had together"
    scope = "whatever dishes on offer are chosen" if clash.proven else "with the dishes of this day"
    return f"{said[0].upper()}{said[1:]}, {scope} ({reasons})."


def _relaxing_sentence(clash: Clash) -> str:
    ways = []
    for relaxing in clash.relaxings:
        end = relaxing.end
        if relaxing.to is not None:
            how = "reaches {} at best" if end.side == "floor" else "rises to {} at least"
            amount = in_unit(end.asked(relaxing.to), end.row.unit)
            ways.append(f"{thing(end.row.label)} {how.format(amount)}")
    if not ways:
        return "Giving way on any one of them alone is not enough for all the rest."
    return f"For all the rest to hold, {', or '.join(ways)}."


def explain_lifting(model: DayModel, without: Mapping[str, DayModel]) -> tuple[str, ...]:
    """
    Say which exclusions stand in the way of the musts.

    Parameters
    ----------
    model : DayModel
        The day with every exclusion.
    without : mapping of str to DayModel
        For each word of the client's exclusions, the day with that word lifted.

    Returns
    -------
    tuple of str
        One sentence for each word whose lifting helps, the most helpful first.
    """
    now = least_miss(model)
    if now <= MET:
        return ()
    lifted = {word: least_miss(other) for word, other in without.items()}
    helpful = sorted((left, word) for word, left in lifted.items() if left < now * 0.98 - MET)
    return tuple(
        f"If {word} could be eaten, every must could be met."
        if left <= MET
        else f"If {word} could be eaten, {1 - left / now:.0%} of what is missed could be mended."
        for left, word in helpful
    )
