"""What the benchmarks write: well-formed pictures, a summary that says what was measured."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from tests.benchmarks.plots import growth_plot, nice_ticks
from tests.benchmarks.summary import rows


@pytest.mark.parametrize(
    ("most", "ticks"),
    # source: worked by hand
    [
        (5, [0, 1, 2, 3, 4, 5]),
        (104, [0, 25, 50, 75, 100, 125]),
        (0.9, [0, 0.2, 0.4, 0.6, 0.8, 1.0]),
    ],
)
def test_ticks_are_round_and_reach_the_top(most, ticks):
    assert nice_ticks(most) == pytest.approx(ticks)


def test_a_picture_has_a_dot_a_point_and_a_dashed_line_for_linear_growth():
    drawn = growth_plot("A <b>", "x", "y", {"one, two": [(1, 2), (4, 3)]}, linear="one, two")
    tree = ElementTree.fromstring(drawn)
    tags = [element.tag.rpartition("}")[2] for element in tree.iter()]
    assert tags.count("circle") == 2
    assert tags.count("polyline") == 2
    assert "stroke-dasharray" in drawn
    assert "<b>" not in drawn


def test_the_summary_gives_median_and_worst_and_leaves_out_what_was_not_run():
    tables = {"28 days": [{"ratio": 3.0}, {"ratio": 5.0}, {"ratio": 4.0}]}
    assert list(rows(tables)) == [("28 days against a week", "median 4.00, worst 5.00", "4.5")]


def test_a_peer_with_nothing_is_counted_and_never_called_better():
    day = {
        "A/ours": 100.0,
        "A peer s": 20.0,
        "A objective": float("nan"),
        "objective": 0.3,
        "ours CPU ms": 50.0,
        "over C %": 1.0,
        "over C": 0.003,
        "C proven": "no",
        "B floor ms": 0.6,
        "whole steps ms": 2.0,
    }
    case, measured, _ = next(rows({"one day": [day]}))
    assert case == "day against A"
    # source: worked by hand: 20 s over 50 ms
    assert "400 ×" in measured
    assert "had nothing on 1 of 1 and a better day on 0" in measured
