"""The kitchen catalogue agrees with the release it points at and with published facts."""

from __future__ import annotations

import csv
from importlib.resources import files

import pytest

from foods.composition.catalogue import (
    AISLES,
    ALLERGENS,
    CAUTIONS,
    Catalogue,
    KitchenFood,
)
from foods.composition.table import FoodTable
from foods.composition.unlisted.amino_acids import AMINO_ACIDS, Imputation
from foods.registry.errors import FoodError
from tests.folded import for_each

CATALOGUE = Catalogue.load()
TABLE = FoodTable.load()
FOODS = CATALOGUE.foods
LISTED = tuple(food for food in FOODS if food.ndb is not None)
"""Foods that are a row of the release; the others are tested in ``test_unlisted.py``."""


def per_100g(food: KitchenFood) -> dict[str, float]:
    return CATALOGUE.per_100g(food.key, TABLE)


def keys(found: tuple[KitchenFood, ...]) -> set[str]:
    return {food.key for food in found}


def spans(text: str) -> set[int]:
    """Numbers in a list such as ``12061-12063;12565``."""
    found: set[int] = set()
    for part in text.split(";"):
        low, _, high = part.partition("-")
        found |= set(range(int(low), int(high or low) + 1))
    return found


# ------------------------------------------------------------------------------- rows of the table


def test_there_are_at_least_three_hundred_foods():
    assert len(CATALOGUE) >= 300


@for_each(LISTED, lambda food: food.key)
def test_every_food_is_plant_based_by_nature_or_says_that_the_label_must_confirm_it(food):
    assert food.ndb in TABLE
    verdict = TABLE.food(food.ndb).plant_based
    assert verdict in ("yes", "label")
    assert (food.ndb in TABLE.offered) == (verdict == "yes")
    if verdict == "label":
        assert food.plant_label, food.key


def test_what_a_shelf_calls_a_food_is_one_name_for_one_thing_to_buy():
    called: dict[str, set[str]] = {}
    for food in FOODS:
        called.setdefault(food.shop_name, set()).add(food.bought_name)
        assert food.shop_name == food.shop_name.strip()
        assert len(food.shop_name) <= 60
    assert {name: bought for name, bought in called.items() if len(bought) > 1} == {}
    bought = {food.bought_name: food.shop_name for food in FOODS}
    assert all(bought[food.bought_name] == food.shop_name for food in FOODS)


# source: published (21 CFR 101.4, Regulation (EU) 1169/2011 Annex VI: names under which foods are
# sold); the words a laboratory table adds for its samples are not among them
@pytest.mark.parametrize("word", ["set with", "solids", "nigari", "mature seeds", "unprepared"])
def test_no_shelf_uses_the_words_of_a_composition_table(word):
    assert [food.key for food in FOODS if word in food.shop_name] == []


def test_no_mushroom_lit_by_ultraviolet_light_is_offered():
    # source: published (USDA SR28: the four rows described as exposed to ultraviolet light)
    assert not {"11936", "11938", "11939", "11998"} & {food.ndb for food in FOODS}


def test_a_raw_pulse_is_offered_only_to_be_cooked_and_says_so():
    raw = [
        food
        for food in LISTED
        if TABLE.food(food.ndb).group_code == "1600"
        and TABLE.food(food.ndb).description.endswith("raw")
        and not TABLE.food(food.ndb).description.startswith("Tofu")
    ]
    assert keys(tuple(raw)) == {"lentils_red_dry", "peanuts_raw"}
    assert all(food.caution in {"boil_soft", "roast_or_boil"} and not food.raw_ok for food in raw)


def test_kelp_and_infant_foods_are_not_in_the_catalogue():
    words = " ".join(TABLE.food(food.ndb).description.lower() for food in LISTED)
    assert "kelp" not in words
    assert not {TABLE.food(food.ndb).group_code for food in LISTED} & {"0300"}


# ------------------------------------------------------------------------------ columns complete


@for_each(FOODS, lambda food: food.key)
def test_every_column_a_kitchen_and_a_shop_need_is_filled(food):
    assert food.group
    assert food.state
    assert food.texture
    assert food.words
    if food.key == "water":
        assert food.aisle == ""
        assert food.pack_metric_g == ()
    else:
        assert food.aisle in AISLES
        assert food.bought_name
        assert food.pack_metric_g
        assert food.pack_us_g
    assert all(0.5 <= grams <= 5000 for grams in food.pack_metric_g + food.pack_us_g)
    assert food.caution == "" or food.caution in CAUTIONS
    assert set(food.allergens) | set(food.label_check) <= set(ALLERGENS)
    assert not set(food.allergens) & set(food.label_check)


def test_every_caution_is_used_and_carries_its_provenance():
    text = files("foods").joinpath("data", "cautions.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert {row["key"] for row in rows} == {food.caution for food in FOODS} - {""}
    assert {row["provenance"] for row in rows} <= {"published", "common practice", "from memory"}


@for_each(FOODS, lambda food: food.key)
def test_steps_and_ceilings_are_sane(food):
    assert food.step_g == pytest.approx(food.measure_g * food.step_fraction, rel=1e-3)
    assert food.step_g <= food.max_g_day
    assert food.max_g_day / food.step_g <= 128
    energy = per_100g(food)["energy_kcal"] * food.step_g / 100
    # source: common practice (no kitchen step should move a day by more than a twentieth)
    assert energy <= 100


@for_each([food for food in FOODS if food.measure_seq], lambda food: food.key)
def test_household_measures_weigh_what_the_release_says(food):
    portion = next(p for p in TABLE.portions(food.ndb) if p.sequence == food.measure_seq)
    assert food.measure_g * food.measure_divisor == pytest.approx(portion.grams_each, rel=2e-3)


def test_a_measure_without_a_release_weight_is_flagged():
    guessed = [food for food in FOODS if food.measure_seq is None]
    assert all(food.measure_provenance == "common practice" for food in guessed)
    assert len([food for food in guessed if food.ndb is not None]) <= 14


# -------------------------------------------------------------------------------- buying


@for_each(
    [food for food in FOODS if food.yield_source.startswith("dry matter")],
    lambda food: food.key,
)
def test_yields_conserve_dry_matter(food):
    dry = 100 - TABLE.per_100g(food.bought_ndb)["water_g"]
    eaten = 100 - TABLE.per_100g(food.ndb)["water_g"]
    assert food.yield_factor == pytest.approx(dry / eaten, rel=0.02)
    assert food.yield_low <= food.yield_factor <= food.yield_high


# source: worked by hand from the water of both SR28 rows: black beans (100-11.02)/(100-65.74)
@pytest.mark.parametrize(
    ("key", "factor"),
    [
        ("black_beans_cooked", 2.597),
        ("chickpeas_cooked", 2.320),
        ("lentils_cooked", 3.022),
        ("rice_white_cooked", 2.800),
        ("pasta_cooked", 2.379),
        ("oatmeal_cooked", 5.440),
        ("quinoa_cooked", 3.055),
        ("broccoli_cooked", 0.995),
        ("peas_frozen_cooked", 0.978),
    ],
)
def test_yields_match_the_handbook_pairs(key, factor):
    assert CATALOGUE.food(key).yield_factor == pytest.approx(factor, rel=0.02)


def test_a_can_of_chickpeas_gives_three_fifths_of_its_weight_drained():
    # source: common practice (a 400 g can holds about 240 g of drained chickpeas)
    assert CATALOGUE.food("chickpeas_canned").bought_g(240) == pytest.approx(400)


# source: worked by hand (grams eaten / yield / (1 - refuse))
@pytest.mark.parametrize(
    ("key", "eaten_g", "bought_g"),
    [
        ("banana", 118, 184.4),
        ("rice_white_cooked", 280, 100.0),
        ("olive_oil", 13.5, 13.5),
        ("potato_boiled", 184.2, 266.7),
    ],
)
def test_bought_amounts_count_yield_and_refuse(key, eaten_g, bought_g):
    assert CATALOGUE.food(key).bought_g(eaten_g) == pytest.approx(bought_g, rel=0.002)


# source: published (USDA SR28 states shells, hulls or stones for these rows), but they are sold
# without: common practice
@pytest.mark.parametrize(
    "key",
    ["almonds", "brazil_nuts", "hazelnuts", "pecans", "pine_nuts", "walnuts", "pumpkin_seeds",
     "sunflower_seeds", "dates", "prunes", "potato_baked"],
)  # fmt: skip
def test_what_is_sold_without_shell_or_eaten_with_skin_has_no_refuse(key):
    assert CATALOGUE.food(key).bought_refuse_pct == 0


def test_a_refuse_called_published_is_the_release_value():
    for food in LISTED:
        if food.refuse_provenance == "published":
            row = TABLE.food(food.bought_ndb or food.ndb)
            own = TABLE.food(food.ndb)
            assert food.bought_refuse_pct in {row.refuse_pct, own.refuse_pct}, food.key


# -------------------------------------------------------------------------------- allergens

# source: published (Food Allergen Labeling and Consumer Protection Act 2004, FASTER Act 2021;
# Regulation (EU) 1169/2011 Annex II), applied to the release's numbers by description
FACTS = {
    "peanut": "16087-16100;16150-16156;16167;16389-16399;42291;4042;19821;27059",
    "wheat": "20012-20013;20028-20029;20066;20071-20087;20115-20117;20120-20125;20129;20138-20141;"
    "20420-20421;20466;20481;48052;16123;16424;8172;8084;4038;18041-18042;18413;18217;18219;"
    "18338;18450;28295;28327;18001-18002;18029-18030;18060;18069;18075-18076;18044;18235;18258;18266;"
    "18348-18353;19813;28285;8147;8157;42237;27059;6112",
    "barley": "20004-20006;20130-20131;42237",
    "rye": "20062-20065;18216;18226;18060;18044",
    "oats": "8120-8123;20033;20038;20132;19015",
    "gluten": "20004-20006;20012-20013;20028-20029;20033;20062-20066;20069-20087;20120-20125;"
    "20138-20141;8120-8121;48052;16123;16424;18216;18226;19015;43406",
    "soy": "16107-16129;16132;16139;16159-16166;16168;16174;16222-16231;16410;16420-16432;43476;"
    "11211-11212;11450-11454;42178;27059;6112",
    "sesame": "12023-12034;12166;12169-12171;12198;12201;16137;4058",
    "mustard": "2024;2046;11270-11273",
    "celery": "11141-11144;2007",
    "lupin": "16076-16077",
    "sulphites": "9032;9297;9011;9246;9178",
    "coconut": "12104-12119;4047;14171",
    "tree_nut": "12061-12071;12078;12085-12088;12093-12101;12104-12122;12131-12132;12142-12144;"
    "12147;12149;12151-12152;12154-12155;12167;12195;4528;4047;14016;14092;14171;19821",
}


@pytest.mark.parametrize(("allergen", "numbers"), FACTS.items(), ids=FACTS)
def test_every_food_made_of_an_allergen_carries_it(allergen, numbers):
    wanted = spans(numbers)
    carrying = [food for food in LISTED if int(food.ndb) in wanted]
    assert carrying
    assert [food.key for food in carrying if allergen not in food.allergens] == []


# source: common practice: other foods that contain the allergen, by recipe or on doubt
ON_TOP = {
    "peanut": set(),
    "soy": {"soybeans_cooked", "okara", "natto", "miso", "soy_sauce_tamari"},
    "sesame": {"crackers_gluten_free", "bagel_plain"},
    "celery": {
        "yeast_extract", "curry_powder", "soup_minestrone_canned", "soup_vegetable_canned",
        "stock_vegetable_ready",
    },
    "mustard": {"pickles_dill", "curry_powder", "baked_beans_tomato", "mayonnaise_tofu"},
    "lupin": set(),
    "sulphites": {"tomatoes_sun_dried", "vinegar_balsamic", "vinegar_red_wine"},
    "gluten": {"miso", "soup_minestrone_canned"},
}  # fmt: skip


@pytest.mark.parametrize(("allergen", "on_top"), ON_TOP.items(), ids=ON_TOP)
def test_nothing_else_carries_the_allergen_without_a_reason(allergen, on_top):
    wanted = spans(FACTS[allergen]) | (spans(FACTS["wheat"]) if allergen == "gluten" else set())
    extra = {f.key for f in LISTED if allergen in f.allergens and int(f.ndb) not in wanted}
    assert extra <= on_top


def test_gluten_covers_wheat_rye_barley_and_oats_and_tree_nut_covers_coconut():
    for food in FOODS:
        if {"wheat", "rye", "barley", "oats"} & set(food.allergens):
            assert "gluten" in food.allergens, food.key
        if "coconut" in food.allergens:
            assert "tree_nut" in food.allergens, food.key


# source: published (Annex II names wheat, rye, barley, oats; the foods below are other plants)
def test_a_gluten_free_kitchen_keeps_rice_maize_pulses_and_pseudocereals():
    left = {food.key for food in FOODS} - keys(CATALOGUE.match("gluten"))
    assert {"rice_white_cooked", "quinoa_cooked", "buckwheat_groats_cooked", "tortilla_corn",
            "pasta_corn_cooked", "millet_cooked", "potato_boiled", "soy_sauce_tamari",
            "chickpea_flour", "rice_noodles_cooked", "cornmeal_whole_dry"} <= left  # fmt: skip
    assert not {"soba_cooked", "couscous_cooked", "soy_sauce_shoyu", "barley_pearl_cooked",
                "crispbread_rye", "wheat_gluten_dry", "oats_rolled"} & left  # fmt: skip


def test_a_soy_free_kitchen_keeps_protein_foods():
    left = {f.key for f in FOODS if f.role == "protein"} - keys(CATALOGUE.match("soy"))
    assert len(left) >= 30
    assert not {"edamame_cooked", "tempeh", "soy_protein_isolate", "natto"} & left


def test_a_nut_free_kitchen_keeps_seeds_and_loses_coconut_until_told():
    gone = keys(CATALOGUE.match("nuts"))
    assert {"almonds", "peanut_butter", "coconut_milk_canned", "walnut_oil", "pine_nuts"} <= gone
    assert not {"sunflower_seeds", "tahini", "nutmeg_ground", "butternut_squash_baked",
                "water_chestnuts_canned"} & gone  # fmt: skip


def test_tamari_is_wheat_free_by_recipe_but_its_label_must_be_read():
    tamari = CATALOGUE.food("soy_sauce_tamari")
    assert "wheat" not in tamari.allergens
    assert "wheat" in tamari.label_check
    assert "soy_sauce_tamari" in keys(CATALOGUE.match("gluten", strict=True))


# -------------------------------------------------------------------------------- safety


def test_the_brazil_nut_ceiling_keeps_selenium_far_below_its_upper_limit():
    nuts = CATALOGUE.food("brazil_nuts")
    # source: published (IOM 2000: upper limit 400 ug a day)
    assert TABLE.per_100g(nuts.ndb)["selenium_ug"] * nuts.max_g_day / 100 <= 400 / 4


# source: from memory (usual cautions on iodine, cyanogenic glycosides, myristicin, coumarin)
@pytest.mark.parametrize(
    ("key", "most_g"),
    [("nori", 3), ("ground_flaxseed", 30), ("nutmeg_ground", 2.2), ("cinnamon_ground", 4)],
)
def test_safety_ceilings_hold(key, most_g):
    food = CATALOGUE.food(key)
    assert food.max_g_day <= most_g
    assert food.max_reason


def test_calcium_of_high_oxalate_greens_counts_at_a_sixth():
    # source: published (Weaver 1999: spinach 5 % against milk 32 %: 0.16); rhubarb, chard, beet and
    # amaranth leaves as spinach: from memory
    high = {food.key for food in FOODS if food.calcium_absorbable_factor < 1}
    assert high == {
        "spinach_raw", "spinach_cooked", "spinach_frozen_cooked", "chard_cooked",
        "beet_greens_cooked", "amaranth_leaves_cooked", "rhubarb_frozen",
    }  # fmt: skip
    assert all(food.calcium_absorbable_factor == 0.16 for food in FOODS if food.key in high)


def test_beans_with_much_lectin_tell_the_cook_to_boil_them_hard():
    assert "30 minutes" in CATALOGUE.food("kidney_beans_red_cooked").caution_text


# source: published (WHO/FAO/UNU 2007 adult means for wheat, maize, rice, oats; House 2019 almond;
# House 2010 hemp; Reynaud 2021 tofu and soy milk), rounded
@pytest.mark.parametrize(
    ("key", "fraction"),
    [("flour_whole_wheat", 0.86), ("pasta_cooked", 0.96), ("cornmeal_whole_dry", 0.85),
     ("rice_white_cooked", 0.88), ("oats_rolled", 0.86), ("wheat_gluten_dry", 0.938),
     ("tofu_firm_calcium", 0.95), ("soymilk_fortified", 0.92), ("almonds", 0.88),
     ("hemp_seeds", 0.90)],
)  # fmt: skip
def test_digestibility_follows_the_published_class(key, fraction):
    food = CATALOGUE.food(key)
    assert food.digestibility == pytest.approx(fraction, abs=0.005)
    assert food.digestibility_provenance == "published"


def test_digestibility_is_that_of_the_reference_table():
    text = files("mealplan").joinpath("references", "digestibility_defaults.csv").read_text("utf-8")
    rows = {row["protein_class"]: row for row in csv.DictReader(text.splitlines())}
    for food in FOODS:
        row = rows[food.digestibility_class]
        assert food.digestibility == float(row["faecal"]), food.key
        assert food.digestibility_provenance == row["provenance"], food.key


def test_enriched_foods_are_those_with_added_folic_acid():
    added = {
        food.key
        for food in FOODS
        if per_100g(food).get("folic_acid_ug", 0) > 0 and not food.fortified
    }
    assert added == {food.key for food in FOODS if food.enriched}
    # source: published (USDA SR28: unenriched rows exist for these and were chosen)
    assert not {"rice_white_cooked", "pasta_cooked", "flour_white", "pita_white"} & added


def test_fortified_drinks_hold_vitamin_d2_and_none_of_wool_grease():
    for food in FOODS:
        if "vitamin_d2" in food.fortified:
            amounts = per_100g(food)
            assert amounts["vitamin_d2_ug"] > 0, food.key
            assert amounts.get("vitamin_d3_ug", 0) == 0, food.key


# -------------------------------------------------------------------------------- amino acids


def test_every_food_that_matters_for_protein_has_all_amino_acids():
    imputed = CATALOGUE.imputed_amino_acids(TABLE)
    lacking = {}
    for food in LISTED:
        amounts = TABLE.per_100g(food.ndb)
        known = amounts | imputed.get(food.ndb, {})
        if amounts["protein_g"] * food.max_g_day / 100 > 3:
            missing = [key for key in AMINO_ACIDS if key not in known]
            if missing:
                lacking[food.key] = missing
    # soups of many vegetables have no kin in the release
    assert set(lacking) == {
        "soup_tomato_canned", "soup_minestrone_canned", "soup_vegetable_canned",
    }  # fmt: skip


@pytest.mark.parametrize("row", CATALOGUE.imputations, ids=lambda row: row.ndb)
def test_an_imputation_names_a_reference_with_values_and_a_reason(row):
    own, other = TABLE.per_100g(row.ndb), TABLE.per_100g(row.reference_ndb)
    assert CATALOGUE.by_ndb(row.ndb)
    assert all(key in other for key in row.keys)
    assert not any(key in own for key in row.keys)
    assert len(row.reason) > 20


def test_imputed_acids_scale_with_nitrogen():
    # source: worked by hand: chickpeas 16056 hold 1.377 g lysine in 20.47 g protein, the flour
    # 22.39 g protein, both with nitrogen factor 6.25: 1.377 * 22.39 / 20.47
    imputed = CATALOGUE.imputed_amino_acids(TABLE)
    assert imputed["16157"]["lysine_g"] == pytest.approx(1.5062, rel=1e-3)
    # source: worked by hand: semolina 0.243 g lysine in 12.68 / 5.7 g nitrogen, gluten
    # 75.16 / 6.25 g
    assert imputed["48052"]["lysine_g"] == pytest.approx(1.3136, rel=1e-3)


def test_imputed_pairs_are_summed_also_when_only_one_member_was_missing():
    imputed = CATALOGUE.imputed_amino_acids(TABLE)["20063"]
    assert set(imputed) == {"cystine_g", "methionine_cystine_g"}
    methionine = TABLE.per_100g("20063")["methionine_g"]
    assert imputed["methionine_cystine_g"] == pytest.approx(imputed["cystine_g"] + methionine)


def test_imputations_are_few():
    assert len(CATALOGUE.imputations) <= 20


def test_no_wheat_food_has_less_lysine_per_nitrogen_than_the_gluten_reference():
    def lysine_per_nitrogen(ndb: str) -> float:
        amounts = TABLE.per_100g(ndb)
        factor = TABLE.food(ndb).nitrogen_factor
        assert factor
        return amounts["lysine_g"] * factor / amounts["protein_g"]

    wheats = [
        food.ndb
        for food in LISTED
        if "wheat" in food.allergens
        and "lysine_g" in TABLE.per_100g(food.ndb)
        and TABLE.food(food.ndb).nitrogen_factor
        and food.group != "oils"
    ]
    lowest = lysine_per_nitrogen("20466")
    assert all(lysine_per_nitrogen(ndb) >= lowest * 0.999 for ndb in wheats)


# -------------------------------------------------------------------------------- look-up and words


def test_a_food_is_found_by_key_and_by_plain_name():
    assert CATALOGUE.food("oats_rolled") is CATALOGUE.food("Rolled oats")
    assert CATALOGUE.food("Jalapeno").key == "jalapeno_raw"


def test_an_unknown_food_gets_near_names():
    with pytest.raises(FoodError, match=r"did you mean .*lentils_cooked"):
        CATALOGUE.food("lentils cookd")
    with pytest.raises(FoodError, match="nothing comes near"):
        CATALOGUE.food("zzzz")


def test_a_number_outside_the_catalogue_is_refused_with_the_reason():
    with pytest.raises(FoodError, match="no kitchen measure"):
        CATALOGUE.by_ndb("01001")


# source: common practice (British and American kitchen words)
@pytest.mark.parametrize(
    ("british", "american"),
    [("aubergine", "eggplant"), ("courgettes", "zucchini"), ("rocket", "arugula"),
     ("beetroot", "beet"), ("swede", "rutabaga"), ("sultanas", "golden raisins"),
     ("gherkin", "pickle"), ("broad beans", "fava beans"), ("linseed", "flaxseed")],
)  # fmt: skip
def test_british_and_american_words_find_a_common_food(british, american):
    assert keys(CATALOGUE.match(british)) & keys(CATALOGUE.match(american))


# source: common practice
@pytest.mark.parametrize(
    ("word", "inside", "outside"),
    [
        ("mushrooms", {"mushrooms_white_raw", "mushrooms_shiitake_dried"}, {"tofu_soft_nigari"}),
        ("beans", {"black_beans_cooked", "green_beans_cooked", "edamame_cooked"},
         {"tofu_firm_calcium", "jicama_raw", "lentils_cooked"}),
        ("coriander", {"cilantro_fresh", "coriander_seed"}, {"parsley_fresh"}),
        ("cilantro", {"cilantro_fresh"}, {"parsley_fresh"}),
        ("peppers", {"bell_pepper_red_raw", "chilli_red_raw", "paprika"}, {"black_pepper"}),
        ("pepper", {"black_pepper", "bell_pepper_green_raw"}, {"salt"}),
        ("walnuts", {"walnuts", "walnut_oil"}, {"almonds"}),
        ("garbanzo", {"chickpeas_cooked", "chickpea_flour"}, {"lentils_cooked"}),
        ("corn", {"sweetcorn_canned", "tortilla_corn", "popcorn_air"}, {"black_pepper"}),
        ("oats", {"oats_rolled", "oatmeal_cooked", "oat_bran"}, {"barley_pearl_cooked"}),
        ("pulses", {"lentils_cooked", "tofu_firm_calcium", "peanut_butter", "chickpea_flour"},
         {"quinoa_cooked"}),
        ("nightshades", {"potato_baked", "eggplant_cooked", "tomato_paste", "paprika"},
         {"sweet_potato_baked", "black_pepper"}),
        ("onions", {"onion_raw", "spring_onions_raw", "onion_powder"}, {"garlic"}),
        ("berries", {"strawberries", "cranberries_dried"}, {"spelt_cooked"}),
        ("wheat", {"bulgur_cooked", "soba_cooked"}, {"buckwheat_groats_cooked"}),
        ("sulfites", {"apricots_dried", "vinegar_balsamic"}, {"raisins"}),
        ("leafy greens", {"spinach_raw", "kale_cooked"}, {"green_beans_cooked"}),
        ("red onion", {"onion_raw"}, {"garlic"}),
        ("milk", set(), {"soymilk_fortified", "coconut_milk_canned"}),
        ("plant milk", {"soymilk_fortified", "rice_milk_fortified"}, {"coconut_milk_canned"}),
    ],
)  # fmt: skip
def test_a_word_means_what_a_cook_takes_it_to_mean(word, inside, outside):
    found = keys(CATALOGUE.match(word))
    assert inside <= found
    assert not outside & found


@pytest.mark.parametrize("word", ["MUSHROOM", "Mushrooms", " mushrooms ", "mushroom"])
def test_case_number_and_spaces_do_not_matter(word):
    assert CATALOGUE.match(word) == CATALOGUE.match("mushrooms")


def test_every_key_and_every_group_is_a_word():
    for food in FOODS:
        assert food in CATALOGUE.match(food.key)
        assert food in CATALOGUE.match(food.group)


@pytest.mark.parametrize("word", ["shellfish", "dairy", "eggs", "honey", "beef"])
def test_animal_foods_are_understood_and_match_nothing(word):
    assert CATALOGUE.match(word) == ()


def test_a_strict_reading_adds_what_labels_often_carry():
    assert CATALOGUE.match("milk", strict=True)
    assert keys(CATALOGUE.match("nuts")) < keys(CATALOGUE.match("nuts", strict=True))


@pytest.mark.parametrize("word", ["", "   ", "glutne", "unobtainium"])
def test_a_word_that_means_nothing_is_an_error_that_helps(word):
    with pytest.raises(FoodError, match="no food, group or allergen"):
        CATALOGUE.match(word)


def test_a_misspelling_gets_a_suggestion():
    with pytest.raises(FoodError, match="did you mean gluten"):
        CATALOGUE.match("glutne")


def test_a_catalogue_that_repeats_a_number_is_refused():
    twin = FOODS[0].model_copy(update={"key": "twin"})
    with pytest.raises(FoodError, match="repeats"):
        Catalogue([FOODS[0], twin])


def test_an_imputation_must_use_the_known_method():
    with pytest.raises(ValueError, match="method"):
        Imputation.model_validate(
            {"ndb": "1", "reference_ndb": "2", "amino_acids": "all", "method": "guess",
             "provenance": "from memory", "reason": "none"}
        )  # fmt: skip
