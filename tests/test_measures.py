"""What holds of the sizes of the house; ``python -m tests.measures`` prints them all."""

from collections import defaultdict
from statistics import median

from tests.measures import (
    complexity,
    duplicates,
    functions,
    length,
    modules,
    parameters,
    room_of,
    rooms,
    without,
)

FOUND = modules()
EVERY = [(f"{module.name}:{name}", part) for module in FOUND for name, part in functions(module)]


def test_modules_can_be_read_in_one_sitting():
    lines = sorted(module.lines for module in FOUND)
    assert median(lines) <= 170
    assert sum(size <= 450 for size in lines) >= 0.9 * len(lines)


def test_hardly_a_function_is_longer_than_a_screen_or_has_many_ways_through():
    assert sum(length(part) > 60 for _, part in EVERY) <= 0.01 * len(EVERY)
    assert sum(complexity(part) > 10 for _, part in EVERY) <= 0.01 * len(EVERY)
    assert [where for where, part in EVERY if complexity(part) > 22] == []


def test_no_more_rooms_than_there_were():
    assert len(rooms()) <= 55


def test_hardly_any_code_stands_twice():
    assert len(duplicates(FOUND)) <= 3


def test_numbers_of_the_science_have_units():
    said = defaultdict(list)
    for module in FOUND:
        for _, _, _, with_unit in parameters(module):
            if with_unit is not None:
                said[room_of(module)].append(with_unit)
    rooms_with_units = [room for room in said if room == "foods" or room.startswith("mealplan.")]
    assert len(rooms_with_units) == 5
    assert {
        room: without(said[room]) for room in rooms_with_units if without(said[room]) > 0.1
    } == {}


def test_what_is_measured_is_measured():
    # source: worked by hand
    import ast

    text = 'def f(a):\n    """Say."""\n    if a:\n        return 1\n    for b in a:\n        pass\n'
    [function] = ast.parse(text).body
    assert complexity(function) == 3
    assert length(function) == 5
