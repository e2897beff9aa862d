"""
Cook dishes on paper: ``python -m foods.dishes [FILE]``; prove and seal all: ``... --seal``.

Every dish of a file, or every dish that ships, is proven, tasted and printed as a cook would read
it. The exit code is 1 when one has a fault.
"""

from __future__ import annotations

import sys
from importlib.resources import files
from pathlib import Path

from foods.composition.catalogue import Catalogue
from foods.dishes.check import all_faults
from foods.dishes.load import load_dishes, parse_dishes, prove_dishes
from foods.dishes.model import Dish
from foods.dishes.render import tell
from foods.dishes.seal import seal


def on_paper(dish: Dish) -> tuple[str, int]:
    """
    Write one dish with its faults.

    Parameters
    ----------
    dish : Dish

    Returns
    -------
    str
    int
        Faults found.
    """
    if not dish.steps:
        return f"{dish.key}: plain sentences, not proven", 0
    faults = all_faults(dish, Catalogue.load())
    words = tell(dish, {line.food: line.typical_g for line in dish.lines}).all
    rows = [
        f"{dish.key}: {dish.name}; {dish.hands_on_min} min at it, {dish.total_min} in all",
        *(f"  ! {fault}" for fault in faults),
        *(f"  {number}. {text}" for number, text in enumerate(words, start=1)),
    ]
    return "\n".join(rows), len(faults)


def main(paths: list[str]) -> int:
    """
    Print the dishes of files, or those that ship.

    Parameters
    ----------
    paths : list of str
        Files; or ``--seal`` alone, to prove the shipped ones and keep that with the release.

    Returns
    -------
    int
        1 when a dish has a fault.
    """
    if paths == ["--seal"]:
        folder = Path(str(files("foods") / "data"))
        sys.stdout.write(f"{seal(prove_dishes(), folder)}\n")
        return 0
    dishes = [
        dish for path in paths for dish in parse_dishes(Path(path).read_text("utf-8"), path)
    ] or load_dishes()
    found = [on_paper(dish) for dish in dishes]
    sys.stdout.write("\n\n".join(text for text, _ in found) + "\n")
    return int(any(faults for _, faults in found))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
