"""What a kilogram of change is made of."""

import pytest

from mealplan.checkin.energy.partition import energetics_of


def body(**changes):
    return energetics_of(12.0, 68.0, 1996.0, 1.7, **changes)


def test_an_untrained_gain_follows_forbes():
    # source: worked by hand from Forbes 1987 and 9441/1816 kcal/kg: 5901 at 12 kg fat
    assert body().density_kcal_per_kg(1) == pytest.approx(5901, abs=1)


def test_a_trained_gain_stays_within_three_to_six_tenths_of_fat():
    # source: from memory: three to six tenths of a trained, protein-fed lifter's gain is fat
    fat = energetics_of(40.0, 60.0, 1900.0, 1.6, trained=True)
    assert fat.gaining_share == pytest.approx(0.6)


def test_lifting_and_protein_make_a_loss_mostly_fat():
    plain, both = body(), body(lifts=True, protein_g_per_kg=1.8)
    assert plain.losing_share < both.losing_share
    # source: published: a quarter of a diet's loss is lean (Heymsfield 2014), less with both
    assert 0.65 <= plain.losing_share <= 0.75 < both.losing_share <= 0.85
    assert both.density_kcal_per_kg(-1) > both.density_kcal_per_kg(1)


def test_a_fat_body_loses_as_forbes_has_it():
    # source: worked by hand: 40 / (40 + 10.4)
    assert energetics_of(40.0, 60.0, 1900.0, 1.6).losing_share == pytest.approx(0.7937, abs=1e-3)


def test_never_measured_is_less_sure():
    unknown = energetics_of(None, 80.0, 1996.0, 1.7)
    assert unknown.density_sd_kcal_per_kg > body().density_sd_kcal_per_kg


def test_a_kilogram_costs_what_the_linear_model_has():
    # source: published: male reference body, 33.09 kcal/kg/day by the linear model (Hall 2011);
    # 0.76 of it before food and adaptation answer
    assert body().per_kg_kcal == pytest.approx(33.09 * 0.76, abs=0.05)
