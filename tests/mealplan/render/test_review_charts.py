"""What the drawings of a phase show, read back from their numbers."""

import datetime as dt
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from mealplan.checkin.log.entries import WeighIn
from mealplan.checkin.log.log import log_of
from mealplan.checkin.phase import PhaseSpan, look_back
from mealplan.checkin.review.change import LeanShare, change_between
from mealplan.checkin.trend.trend import weight_trend
from mealplan.demo.folders import demo_intake
from mealplan.render.charts.review import STRIP_WIDTH, change_strip, course_plot, share_strip
from mealplan.render.charts.trend import HEIGHT, WIDTH, trend_plot
from mealplan.render.html import review_html, with_minus
from mealplan.render.review_text import review_text

START = dt.date(2026, 11, 30)
MIDDLE = STRIP_WIDTH / 2
STEP = (MIDDLE - 8) / 3


def log(unit="kg", days=84):
    rng = np.random.default_rng(2)
    factor = {"kg": 1.0, "lb": 0.45359237}[unit]
    return log_of(
        WeighIn(
            on=START + dt.timedelta(days=i),
            value=round((80 + 0.03 * i + rng.normal(0, 0.4)) / factor, 1),
            unit=unit,
        )
        for i in range(days)
    )


def found(unit="kg", days=84):
    end = START + dt.timedelta(days=83)
    return look_back(demo_intake("club-lifter"), log(unit, days), PhaseSpan("gain", START, end))


def elements(svg, kind):
    return [
        node
        for node in ET.fromstring(svg).iter()
        if kind in (node.get("class") or "").split() or node.tag == kind
    ]


def test_a_change_lies_as_many_steps_from_the_middle_as_it_takes():
    # source: worked by hand: 2.77 times 0.5 is 1.386; a change of 2.77 is two steps
    strip = change_strip(change_between("lean", "kg", 60.0, 60.0 + 2 * 1.386, 0.5))
    dot = elements(strip, "dot")[0]
    assert float(dot.get("cx")) == pytest.approx(MIDDLE + 2 * STEP, abs=0.3)
    pale = elements(strip, "unsure")[0]
    assert float(pale.get("width")) == pytest.approx(2 * STEP, abs=0.3)
    assert "faint" not in dot.get("class")


def test_a_change_that_cannot_be_told_is_drawn_hollow_inside_the_pale_middle():
    strip = change_strip(change_between("fat", "kg", 12.0, 12.5, 0.44))
    dot, pale = elements(strip, "dot")[0], elements(strip, "unsure")[0]
    assert "faint" in dot.get("class")
    left = float(pale.get("x"))
    assert left < float(dot.get("cx")) < left + float(pale.get("width"))
    assert "no detectable change" in strip


@pytest.mark.parametrize(("change", "side"), [(30.0, STRIP_WIDTH - 8), (-30.0, 8)])
def test_a_change_beyond_the_ruler_is_an_arrow_at_its_end(change, side):
    strip = change_strip(change_between("weight", "kg", 80.0, 80.0 + change, 0.5))
    assert elements(strip, "dot") == []
    assert f"L{side} " in elements(strip, "path")[0].get("d")


def test_the_lean_share_lies_on_a_scale_of_one():
    strip = share_strip(LeanShare(0.6, 0.4, 0.8, 0.46, "60 % & more"))
    assert float(elements(strip, "dot")[0].get("cx")) == pytest.approx(8 + 0.6 * (STRIP_WIDTH - 16))
    assert elements(strip, "path") == []
    assert len(elements(share_strip(LeanShare(0.9, -0.1, 1.4, 0.46, "wide")), "path")) == 2


def points(svg, kind):
    text = elements(svg, kind)[0].get("points")
    return [tuple(map(float, pair.split(","))) for pair in text.split()]


def test_the_course_shows_every_reading_the_trend_and_what_was_expected():
    looked = found()
    svg = course_plot(looked.review)
    assert len(elements(svg, "circle")) == 84
    assert len(points(svg, "level")) == len(points(svg, "expected")) == 84
    for x, y in (*points(svg, "hoped"), *points(svg, "band")):
        assert 0 <= x <= WIDTH
        assert 0 <= y <= HEIGHT
    # The plan gains faster than this log: its line ends above, y running downwards.
    assert points(svg, "expected")[-1][1] < points(svg, "level")[-1][1]


def test_the_words_at_the_ends_of_the_lines_do_not_touch():
    words = {
        node.text: float(node.get("y"))
        for node in elements(course_plot(found().review), "text")
        if node.text in ("measured", "expected")
    }
    assert abs(words["measured"] - words["expected"]) >= 17


@pytest.mark.parametrize("unit", ["kg", "lb"])
def test_the_scale_is_in_the_unit_that_was_read(unit):
    svg = trend_plot(weight_trend(log(unit)), unit)
    *written, corner = [node.text for node in elements(svg, "at-end")]
    labels = [float(text) for text in written]
    assert corner == unit
    # source: worked by hand: 80 to 82.5 kg is 176 to 182 lb
    assert min(labels) > (75 if unit == "kg" else 170)
    assert max(labels) < (90 if unit == "kg" else 190)
    assert f" {unit} a week" in svg


def test_few_dates_are_written():
    svg = course_plot(found().review)
    assert 3 <= len(elements(svg, "at-middle")) <= 6


def test_the_report_stands_alone_and_holds_its_drawings():
    looked = found()
    page = review_html("club lifter", looked)
    assert page.count("<svg") == 1 + len(looked.review.changes)
    assert "<style>" in page
    assert not re.search(r'(?:src|href)="(?!#)', page)


def test_the_report_of_a_client_whose_numbers_are_hidden_has_no_drawing():
    page = re.sub(
        r"<style>.*?</style>", "", review_html("club lifter", found(), hide=True), flags=re.S
    )
    assert "<svg" not in page
    assert "kg" not in page
    assert "is with your coach" in page


def test_the_report_of_too_short_a_log_says_how_to_get_one():
    looked = found(days=4)
    assert "Too early to look back" in review_html("club lifter", looked)
    assert "weigh on waking" in review_text("club lifter", looked)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("-1.2 to -0.4 kg", "−1.2 to −0.4 kg"),
        ("2026-11-30", "2026-11-30"),
        ("well-set 3", "well-set 3"),
    ],
)
def test_a_minus_is_a_minus(text, expected):
    assert with_minus(text) == expected
