"""
The whole job for three clients of an invented harbour-town sports club, and folders to look at.

Everything about the clients is made up; the foods, equations and reference values are real.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Literal

from foods.dishes.model import Dish
from mealplan.client.intake import Intake
from mealplan.client.read import read_intake
from mealplan.cooking.sheet import batch_plan
from mealplan.errors import IntakeError
from mealplan.menu.cost_and_swaps import cost_lines
from mealplan.menu.week import make_plan
from mealplan.plan import Plan
from mealplan.render.html import cook_html, list_html, menu_html, worksheet_html
from mealplan.render.text import plan_text, targets_text
from mealplan.shopping.door import shopping_list
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Targets

DEMO_CLIENTS = ("club-lifter", "club-runner", "club-climber")
"""A gaining lifter with laboratory tests, a runner with a soy allergy, a climber on a cut."""


@dataclass(frozen=True)
class DemoResult:
    """What one run of the whole job gave."""

    intake: Intake
    targets: Targets
    plan: Plan
    text: str


def demo_intake_text(client: str) -> str:
    """
    Return a demo client's intake as JSON text.

    Parameters
    ----------
    client : str
        One of :data:`DEMO_CLIENTS`.

    Returns
    -------
    str

    Raises
    ------
    IntakeError
        When there is no such client.
    """
    if client not in DEMO_CLIENTS:
        raise IntakeError(f"there is no demo client {client!r}; choose {', '.join(DEMO_CLIENTS)}")
    return (
        (files("mealplan.demo") / "intakes" / f"{client}.json").read_text(encoding="utf-8").strip()
    )


_EXAMPLES = {
    "foods": ("foods", "data", "example_foods.toml"),
    "dishes": ("foods", "data", "example_dishes.toml"),
    "blank": ("mealplan", "demo", "examples", "blank.txt"),
    "resting-test": ("mealplan", "demo", "examples", "resting_test.csv"),
}


def example_text(what: Literal["foods", "dishes", "blank", "resting-test"]) -> str:
    """
    Return a file to start from.

    Parameters
    ----------
    what : {"foods", "dishes", "blank", "resting-test"}
        The example dishes use the example foods; ``blank`` is a sheet to fill in by hand, and the
        resting test is invented.

    Returns
    -------
    str
    """
    package, *rest = _EXAMPLES[what]
    return files(package).joinpath(*rest).read_text(encoding="utf-8").strip()


def demo_intake(client: str) -> Intake:
    """
    Read a demo client's intake; see :func:`demo_intake_text`.

    Parameters
    ----------
    client : str
        One of the demo clients.
    """
    return read_intake(demo_intake_text(client))


def run_demo(intake: Intake, progress: Callable[[int, int], None] | None = None) -> DemoResult:
    """
    Do the whole job for one client: targets, a week, the list.

    Parameters
    ----------
    intake : Intake
    progress : callable, optional
        Called with (days done, days in all).

    Returns
    -------
    DemoResult
    """
    targets = make_targets(intake)
    plan = make_plan(intake, targets, days=7, progress=progress)
    text = (
        targets_text(intake, targets)
        + "\n\n"
        + plan_text(intake, plan, shopping_list(plan, intake))
    )
    return DemoResult(intake, targets, plan, text)


def pages_of(
    intake: Intake, targets: Targets, plan: Plan, dishes: Sequence[Dish] | None = None
) -> dict[str, str]:
    """
    Write a client's intake, menu, cooking, list and worksheet.

    Parameters
    ----------
    intake, targets, plan
        What to write.
    dishes : sequence of Dish, optional
        The dishes the plan was made from; those that ship when left out.

    Returns
    -------
    dict of str to str
        Text by name of file.
    """
    return {
        "intake.json": intake.model_dump_json(indent=2, exclude_defaults=True) + "\n",
        "menu.html": menu_html(intake, plan),
        "cook.html": cook_html(plan, batch_plan(plan, intake, dishes=dishes)),
        "list.html": list_html(plan, shopping_list(plan, intake), cost_lines(plan, intake)),
        "worksheet.html": worksheet_html(intake, targets),
    }


def write_folder(
    folder: Path,
    intake: Intake,
    targets: Targets,
    plan: Plan,
    dishes: Sequence[Dish] | None = None,
) -> Path:
    """
    Write a client's pages, each standing alone, and the plan to go on from.

    Parameters
    ----------
    folder : Path
        Made when missing; files of the same names are replaced.
    intake, targets, plan, dishes
        As in :func:`pages_of`.

    Returns
    -------
    Path
        The folder.
    """
    pages = pages_of(intake, targets, plan, dishes)
    write_files(folder, {"plan.json": plan.model_dump_json(indent=2) + "\n", **pages})
    return folder


def write_files(folder: Path, pages: Mapping[str, str]) -> None:
    """
    Write texts into a folder, the same bytes on every system.

    Parameters
    ----------
    folder : Path
        Made when missing; files of the same names are replaced.
    pages : mapping of str to str
        Text by name of file.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in pages.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
