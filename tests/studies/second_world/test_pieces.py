"""Pieces of a study that are kept, and the curve drawn of them."""

import xml.etree.ElementTree as ET
from argparse import Namespace

from tests.studies.second_world.curve import Point
from tests.studies.second_world.drawing import drawn
from tests.studies.second_world.pieces import gathered, run
from tests.studies.second_world.runner import run_study
from tests.studies.second_world.scoring import score
from tests.studies.second_world.weekly_means import Careful


def asked(folder, **changes):
    usual = {"world": "plain", "policy": "careful rule", "sure": 0.0, "clients": 20, "seed": 5}
    return Namespace(folder=folder, **usual, **{"seconds": 60.0, **changes})


def test_pieces_add_up_to_the_study_run_at_once(tmp_path):
    run(asked(tmp_path, seconds=-1.0))
    assert gathered(tmp_path) == {}
    run(asked(tmp_path))
    run(asked(tmp_path))  # nothing is run twice
    (courses,) = gathered(tmp_path).values()
    assert repr(score(courses)) == repr(score(run_study(Careful(), "plain", 20, 16, 5)))


def test_a_drawn_curve_lies_where_its_points_do():
    curves = {"one": [Point(0.9, 0.2, 2.0, 90), Point(0.6, 1.0, 1.0, 80)], "other": []}
    curves["other"] = [Point(0.9, 0.5, 3.0, 90), Point(0.6, 1.0, 2.5, 80)]
    root = ET.fromstring(drawn("A world", curves))
    dots = [e for e in root if e.tag.endswith("circle")]
    x, y = ([float(dot.get(name)) for dot in dots] for name in ("cx", "cy"))
    # source: worked by hand: the fewer false moves the further left, the fewer weeks the lower
    assert x[0] < x[2] < x[1] == x[3]
    assert y[1] > y[0] > y[3] > y[2]
    assert {"one", "other"} <= {e.text for e in root}
