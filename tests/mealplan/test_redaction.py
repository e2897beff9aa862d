"""What a client whose numbers are hidden still reads."""

import pytest

from mealplan.client.intake import HIDING_FLAGS
from mealplan.demo.folders import demo_intake
from mealplan.redaction import TELLING_KEYS, without_energy
from mealplan.targets.make import make_targets


def ranges(**changes):
    """Give floor and ceiling by nutrient of the lifter with something changed."""
    intake = demo_intake("club-lifter").model_copy(update={"scan": None, "girths": None, **changes})
    return {
        key: (one.low, one.aim, one.high)
        for key, one in make_targets(intake).days[0].ranges.items()
    }


@pytest.mark.parametrize(
    "changes", [{"weight_kg": 72.0}, {"sessions_per_week": 5, "activity": None}]
)
def test_no_floor_that_is_left_follows_body_mass_or_energy(changes):
    lifter = demo_intake("club-lifter")
    if "activity" in changes:
        more = lifter.activity.model_copy(update={"everyday_factor": 1.6})
        changes = changes | {"activity": more}
    before, after = ranges(), ranges(**changes)
    moved = {key for key in before if before[key] != after.get(key)}
    assert "energy_kcal" in moved
    assert moved - TELLING_KEYS == set()


def test_the_switch_and_the_health_marks_both_hide():
    lifter = demo_intake("club-lifter")
    assert not lifter.numbers_hidden
    assert lifter.model_copy(update={"hide_numbers": True}).numbers_hidden
    for flag in HIDING_FLAGS:
        assert lifter.model_copy(update={"health": (flag,)}).numbers_hidden


def test_sentences_of_energy_and_weight_are_left_out_whole():
    texts = ("Iron is 12 mg.", "It carries 30% of the day's energy.", "For 80 kg it is", "550 kcal")
    assert without_energy(texts) == ("Iron is 12 mg.",)
