"""Shorter and longer lists beside a plan: really planned, counted and said."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from mealplan.demo.folders import DEMO_CLIENTS, demo_intake
from mealplan.menu import trade_off
from mealplan.menu.week import make_plan
from mealplan.plan import Alternative
from mealplan.render.charts.trade_off import trade_off_drawing, trade_off_sentences
from mealplan.shopping.door import shopping_list
from mealplan.targets.make import make_targets


def one(things, paid, *, chosen=False, main_most=2, missed=0, left=1000.0):
    return Alternative(
        chosen=chosen,
        things=things,
        dishes=15,
        main_most=main_most,
        bought_g=9000,
        left_g=left,
        paid=paid,
        currency="EUR" if paid is not None else "",
        hands_on_min=200,
        musts_missed=missed,
    )


@pytest.fixture(scope="module")
def compared():
    """Stand in for two further plans with the same one, so that the test is about the counting."""
    intake = demo_intake(DEMO_CLIENTS[0])
    plan = make_plan(intake, make_targets(intake), days=1)
    asked = []

    def planned(intake, targets, **given):
        asked.append(intake.kitchen.living.things_most)
        return plan

    patch = pytest.MonkeyPatch()
    patch.setattr(trade_off, "make_plan", planned)
    found = trade_off.with_alternatives(plan, intake, make_targets(intake))
    patch.undo()
    return intake, plan, found, asked


def test_a_shorter_and_a_longer_list_are_planned_and_all_three_counted(compared):
    intake, plan, found, asked = compared
    usual = trade_off.habits_of(intake.kitchen.living).things
    # source: worked by hand (0.7 and 1.4 of the household's own number)
    assert asked == [round(0.7 * usual), round(1.4 * usual)]
    assert [each.chosen for each in found.alternatives].count(True) == 1
    lines = shopping_list(plan, intake).to_buy
    assert {each.things for each in found.alternatives} == {len(lines)}
    assert found.alternatives[0].bought_g == pytest.approx(sum(x.buy_g for x in lines), abs=1)
    assert type(found).model_validate_json(found.model_dump_json()) == found


def test_the_sentence_says_what_changes_against_the_planned_list(compared):
    # source: worked by hand
    lists = (one(30, 48.0, main_most=3), one(45, 60.0, chosen=True))
    plan = compared[1].model_copy(update={"alternatives": lists})
    assert trade_off_sentences(plan) == (
        "30 things to buy instead of 45: EUR 12.00 less at the till, 0.0 kg less left over, "
        "15 dishes instead of 15, a main dish 3 times at most (twice now), 0 minutes less of "
        "cooking, the same floors.",
    )
    worse = compared[1].model_copy(update={"alternatives": (one(30, 48.0, missed=2), lists[1])})
    assert "2 floors missed more" in trade_off_sentences(worse)[0]
    assert trade_off_sentences(compared[1]) == ()


@pytest.mark.parametrize("paid", [(48.0, 60.0), (None, None)])
def test_the_drawing_is_sound_and_puts_more_things_further_right(paid):
    drawn = ET.fromstring(trade_off_drawing((one(30, paid[0]), one(45, paid[1], chosen=True))))
    dots = [e for e in drawn.iter() if e.tag == "circle"]
    assert float(dots[0].get("cx")) < float(dots[1].get("cx"))
    assert dots[1].get("class") == "dot"
    assert re.search("30 things.*45 things.*planned", drawn.get("aria-label"))
