"""An explanation names wishes that truly clash, no superfluous one, and what each must give."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from mealplan.lp.build import build_day
from mealplan.lp.daymodel import Choice, DayModel
from mealplan.lp.explain.blend import Blend
from mealplan.lp.explain.clash import find_clash, relax_each
from mealplan.lp.explain.day import explain_day
from mealplan.lp.explain.ends import MET, End, ends_of
from mealplan.lp.explain.prices import dearest_floors
from mealplan.lp.search import solve_day
from mealplan.lp.solver import solve
from mealplan.rules.rows.base import TIER_PRICE, Row, Slot

WOMAN = {"sex": "female", "age_years": 30, "height_cm": 165, "weight_kg": 60}


def must(model, price: float = 12.0):
    """The same day with every end as dear as a vitamin floor, and none out of reach by ratios."""
    rows = tuple(
        replace(
            row,
            price_low=price / (abs(row.low) if math.isfinite(row.low) and row.low else 1.0),
            price_high=price / (abs(row.high) if math.isfinite(row.high) and row.high else 1.0),
        )
        for row in model.rows
    )
    return replace(model, rows=rows)


def hard(model, factor: float):
    """Ask so much more of every floor that some must clash."""
    rows = tuple(replace(row, low=row.low * factor) for row in model.rows)
    return must(replace(model, rows=rows))


def least_miss(model) -> float:
    """Sum of relative misses of all musts that no blend can go below."""
    ends = ends_of(model)
    _, bound, _ = Blend(model, ends).least(np.ones(len(ends)), enough=MET / 2)
    return max(0.0, bound)


def least_by_solver(model, ends) -> float:
    """Least relative miss of these ends over blends, as one problem through the seam."""
    offers = tuple(
        tuple(
            replace(
                c,
                cost=0.0,
                deviation=np.zeros(len(c.foods)),
                far=np.zeros(len(c.foods)),
                ratios=(),
            )
            for c in offer
        )
        for offer in model.offers
    )
    rows = tuple(
        replace(
            end.row,
            name=f"{end.row.name}/{end.side}",
            low=end.bound if end.side == "floor" else -math.inf,
            high=end.bound if end.side == "ceiling" else math.inf,
            price_low=1 / end.scale,
            price_high=1 / end.scale,
        )
        for end in ends
    )
    ceiling = np.full(len(model.food_ceiling_g), np.inf)
    plain = replace(model, offers=offers, rows=rows, food_ceiling_g=ceiling, family_price=0.0)
    return solve(build_day(plain, relaxed=True, whole_steps=False)).objective


# ------------------------------------------------------------------- against a second method


@pytest.mark.parametrize("factor", [1.0, 1.6, 2.2])
@pytest.mark.parametrize("seed", range(10))
def test_the_least_miss_is_that_of_the_whole_problem(random_day, seed, factor):
    model = hard(random_day(seed, shared=False), factor)
    expected = least_by_solver(model, ends_of(model))
    found = least_miss(model)
    assert found == pytest.approx(expected, abs=2e-3) or expected < MET
    assert found <= expected + 1e-6


@pytest.mark.parametrize("factor", [1.6, 2.2, 3.0])
@pytest.mark.parametrize("seed", range(10))
def test_a_clash_cannot_be_met_and_each_smaller_set_can(random_day, seed, factor):
    model = hard(random_day(seed, shared=False), factor)
    ends = ends_of(model)
    blend = Blend(model, ends)
    clash = [ends[i] for i in find_clash(blend, range(len(ends)))]
    if not clash:
        assert least_by_solver(model, ends) <= MET + 1e-6
        return
    assert least_by_solver(model, clash) > MET
    for left_out in clash:
        rest = [end for end in clash if end is not left_out]
        assert not rest or least_by_solver(model, rest) <= MET + 1e-6


def test_some_of_those_days_really_clash_in_more_than_one_way(random_day):
    """Keeps the tests above from passing on days that have nothing to explain."""
    sizes = []
    for seed in range(10):
        model = hard(random_day(seed, shared=False), 2.2)
        blend = Blend(model, ends_of(model))
        sizes.append(len(find_clash(blend, range(len(blend.ends)))))
    assert sum(size == 1 for size in sizes) >= 1
    assert sum(size >= 2 for size in sizes) >= 2


@pytest.mark.parametrize("seed", range(8))
def test_giving_way_as_far_as_said_makes_room_and_less_does_not(random_day, seed):
    model = hard(random_day(seed, shared=False), 2.2)
    blend = Blend(model, ends_of(model))
    clash = find_clash(blend, range(len(blend.ends)))
    for relaxing in relax_each(blend, clash, ()):
        assert relaxing.to is not None  # within a minimal clash each one alone makes room
        others = [blend.ends[i] for i in clash if blend.ends[i] is not relaxing.end]
        for share, fits in ((1.0, True), (0.9, False)):
            bound = relaxing.end.bound + share * (relaxing.to - relaxing.end.bound)
            side = "low" if relaxing.end.side == "floor" else "high"
            moved = End(replace(relaxing.end.row, **{side: bound}), relaxing.end.side)
            left = least_by_solver(model, [*others, moved])
            slack = 3 * MET  # the others may each be missed by next to nothing
            assert (left <= slack) if fits else (left > 1e-4)


# ---------------------------------------------------------------- impossible on purpose, by size


def test_a_day_asked_for_more_than_its_portions_hold_is_told_so(random_day):
    model = random_day(3, shared=False)
    most = sum(
        max(float(c.high @ model.rows[0].per_gram[c.foods]) for c in offer)
        for offer in model.offers
    )
    asked = replace(model.rows[0], low=3 * most, high=math.inf, base=0.0, slots=None)
    model = must(replace(model, rows=(asked,)))
    told = explain_day(model, solve_day(model))
    assert [end.words for end in told.clash] == [End(asked, "floor").words]
    # source: worked by hand (each meal's richest dish at its high end)
    assert told.clashes[0].relaxings[0].to == pytest.approx(most, rel=1e-3)
    assert "out of reach on its own" in told.sentences[0]


def test_a_floor_above_its_own_ceiling_is_a_clash_of_the_two(random_day):
    model = random_day(5, shared=False)
    # A nutrient of every food, so that the floor itself is within reach.
    row = replace(
        model.rows[0],
        per_gram=np.ones(9),
        low=500.0,
        high=300.0,
        base=0.0,
        slots=None,
        price_low=1.0,
        price_high=1.0,
    )
    least = sum(min(float(c.low[~c.optional].sum()) for c in o) for o in model.offers)
    most = sum(max(float(c.high.sum()) for c in o) for o in model.offers)
    assert least < 300
    assert most > 500
    blend = Blend(replace(model, rows=(row,)), ends_of(replace(model, rows=(row,))))
    assert [blend.ends[i].side for i in find_clash(blend, (0, 1))] == ["floor", "ceiling"]


# -------------------------------------------------------- impossible on purpose, invented clients

CASES = {
    # name: (fields, keys that must be named, keys of which one at least must be named)
    "nine hundred grams of protein": (
        {"kcal": 3000, "nutrition": {"bounds": {"protein_g": {"low": 900, "high": 950}}}},
        {"protein_g"},
        {"protein_g"},
    ),
    "protein of 190 g without legumes, soy or gluten": (
        {
            "kcal": 2600,
            "tastes": {"allergies": ["soy", "gluten"], "never": ["legumes"]},
            "nutrition": {"bounds": {"protein_g": {"low": 190, "high": 250}}},
        },
        {"protein_g"},
        {"protein_g", "energy_kcal", "phosphorus_mg", "iron_mg", "zinc_mg"},
    ),
    "iron for a menstruating vegan on 1,000 kcal without soy, gluten and nuts": (
        {
            "kcal": 1000,
            "person": WOMAN,
            "tastes": {"allergies": ["soy", "gluten", "tree_nut", "peanut", "sesame"]},
        },
        {"energy_kcal"},
        {"iron_mg", "choline_mg", "vitamin_e_mg", "protein_g", "calcium_mg"},
    ),
    "calcium without soy, fortified drinks and greens": (
        {
            "kcal": 1700,
            "person": WOMAN,
            "tastes": {
                "allergies": ["soy"],
                "never": ["plant milks", "brassicas", "leafy greens", "juices"],
            },
            "nutrition": {"bounds": {"calcium_mg": {"low": 1300}}},
        },
        {"calcium_mg"},
        {"energy_kcal"},
    ),
    "2.2 g/kg protein on a cut without soy": (
        {
            "kcal": 1800,
            "person": {"sex": "male", "age_years": 28, "height_cm": 185, "weight_kg": 95},
            "tastes": {"allergies": ["soy"]},
            "nutrition": {"protein": {"low_g_per_kg": 2.2, "high_g_per_kg": 2.6}},
        },
        {"protein_g", "energy_kcal"},
        {"protein_g"},
    ),
    "sixty grams of carbohydrate": (
        {"kcal": 2500, "nutrition": {"bounds": {"carbohydrate_g": {"high": 60}}}},
        {"carbohydrate_g"},
        {"carbohydrate_g"},
    ),
    "three hundred milligrams of sodium": (
        {"kcal": 3800, "nutrition": {"bounds": {"sodium_mg": {"low": 50, "high": 150}}}},
        {"sodium_mg"},
        {"sodium_mg"},
    ),
    "vitamin E from food at four times its floor": (
        {"kcal": 2000, "nutrition": {"bounds": {"vitamin_e_mg": {"low": 60}}}},
        {"vitamin_e_mg"},
        {"vitamin_e_mg"},
    ),
    "two thousand milligrams of choline": (
        {"kcal": 2400, "nutrition": {"bounds": {"choline_mg": {"low": 2000}}}},
        {"choline_mg"},
        {"choline_mg", "energy_kcal"},
    ),
}


@pytest.fixture(scope="module", params=CASES, ids=lambda name: name)
def told(request, client_day):
    fields, *_ = CASES[request.param]
    model = client_day(**fields)
    return request.param, model, explain_day(model, solve_day(model))


def test_the_explanation_names_the_real_clash(told):
    name, _, explanation = told
    _, all_of, one_of = CASES[name]
    assert explanation.clashes, "nothing was said to clash"
    assert explanation.clashes[0].proven
    # What cannot be had is named, alone or with what it clashes with.
    named = {end.row.name.partition(":")[0] for clash in explanation.clashes for end in clash.ends}
    assert all_of <= named
    assert one_of & named


def test_a_clash_is_of_a_few_and_of_something_that_is_missed(told):
    _, _, explanation = told
    missed = {(miss.end.row.name, miss.end.side) for miss in explanation.missed}
    for clash in explanation.clashes:
        assert len(clash.ends) <= 5
        assert {(end.row.name, end.side) for end in clash.ends} & missed


def test_a_clash_of_real_dishes_is_minimal(told):
    _, model, explanation = told
    for clash in explanation.clashes:
        blend = Blend(model, clash.ends)
        everything = np.ones(len(clash.ends))
        assert blend.least(everything)[1] > MET
        for left_out in range(len(clash.ends)):
            weight = everything.copy()
            weight[left_out] = 0.0
            assert blend.least(weight)[0] <= MET


def test_every_sentence_ends_and_the_first_quotes_the_reason(told):
    _, _, explanation = told
    assert all(text.endswith(".") for text in explanation.sentences)
    assert all(end.row.why in explanation.sentences[0] for end in explanation.clash)


def test_giving_way_as_far_as_said_is_never_further_than_nothing(told):
    _, _, explanation = told
    for clash in explanation.clashes:
        for relaxing in clash.relaxings:
            if relaxing.to is None:
                continue
            if relaxing.end.side == "floor":
                assert 0 <= relaxing.to < relaxing.end.bound
            else:
                assert relaxing.to > relaxing.end.bound


def test_prices_belong_to_musts_that_bind(told):
    _, _, explanation = told
    prices = [item.per_percent for item in explanation.prices]
    assert prices == sorted(prices, reverse=True)
    for item in explanation.prices:
        assert item.per_unit > 0
        # No end can cost more at the margin than missing it costs.
        assert item.per_unit * item.end.scale <= item.end.worth * (1 + 1e-6)


# ---------------------------------------------------------------------------- nothing in the way


def test_an_easy_day_has_no_clash(client_day):
    model = client_day(kcal=2800)
    explanation = explain_day(model, solve_day(model))
    assert not [miss for miss in explanation.missed if miss.must]
    assert explanation.clashes == ()
    assert explanation.least_kcal is not None


def test_no_day_gets_by_on_less_than_the_least_energy_said(client_day):
    model = client_day(kcal=2800)
    said = explain_day(model, solve_day(model)).least_kcal
    assert said is not None
    energy = model.rows[0]
    assert energy.name == "energy_kcal"
    for factor, fits in ((1.01, True), (0.97, False)):
        rows = tuple(
            replace(row, low=0.0, high=said * factor)
            if row.name == "energy_kcal"
            else replace(row, low=-math.inf, high=math.inf)
            if row.name == "energy_kcal:aim"
            else row
            for row in model.rows
        )
        assert (least_miss(replace(model, rows=rows)) <= MET) is fits


def one_food_day(*, iron_low: float = 10.0):
    """One meal of 50 to 300 g of one food with 4 kcal and 0.1 mg of iron a gram."""
    slot = Slot(0, "small", "Porridge", "08:00", 1.0)
    grams = np.array
    choice = Choice(
        dish="porridge",
        foods=np.array([0], dtype=np.int64),
        low=grams([50.0]),
        typical=grams([100.0]),
        high=grams([300.0]),
        step=grams([10.0]),
        optional=np.array([False]),
        cost=0.0,
        deviation=grams([0.0]),
    )

    def row(name, label, unit, per_gram, low, tier):
        price = 2 * TIER_PRICE["floor"] / low
        return Row(
            name=name,
            label=label,
            unit=unit,
            per_gram=grams([per_gram]),
            low=low,
            high=math.inf,
            price_low=price,
            price_high=0.0,
            tier=tier,
            why="it is asked",
        )

    rows = (
        row("energy_kcal", "Energy", "kcal", 4.0, 300.0, "energy"),
        row("iron_mg", "Iron", "mg", 0.1, iron_low, "floor"),
    )
    return DayModel(rows, (slot,), ((choice,),), grams([1000.0]))


def test_the_floor_that_costs_most_energy_and_money_is_named_with_its_price():
    energy, money = dearest_floors(one_food_day(), np.array([0.02]), "EUR")
    # source: worked by hand: 10 mg take 100 g, so one per cent more takes a gram: 4 kcal, 0.02 EUR
    assert energy.startswith("At least 9.98 mg of iron costs most energy")
    assert "about 4 kcal" in energy
    assert money.startswith("At least 9.98 mg of iron costs most money")
    assert "about 0.02 EUR" in money


def test_without_prices_only_energy_is_spoken_of_and_where_musts_clash_nothing_is():
    assert len(dearest_floors(one_food_day())) == 1
    assert dearest_floors(one_food_day(iron_low=40.0)) == ()
