"""A table's folder: one for each eater, and what they cook and buy together."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mealplan.cooking.models import BatchPlan
from mealplan.demo.folders import write_files
from mealplan.menu.table import AtTable, TablePlanned
from mealplan.plan import Plan
from mealplan.render.html import cook_html, list_html, menu_html, worksheet_html
from mealplan.render.table import table_text
from mealplan.shopping.lines import ShoppingList


def write_table(
    folder: Path,
    planned: TablePlanned,
    eaters: Sequence[AtTable],
    joined: Plan,
    batch: BatchPlan,
    shopping: ShoppingList,
) -> None:
    """
    Write menus and worksheets for each eater apart, cooking and list for all.

    Parameters
    ----------
    folder : Path
        Made when missing; files of the same names are replaced.
    planned : TablePlanned
    eaters : sequence of AtTable
        In the order of its plans.
    joined : Plan
        Everyone's plates side by side.
    batch : BatchPlan
        Their cooking.
    shopping : ShoppingList
        Their list.
    """
    write_files(
        folder,
        {
            "table.json": planned.decided.model_dump_json(indent=2) + "\n",
            "table.txt": table_text(planned.decided, batch, shopping) + "\n",
            "cook.html": cook_html(joined, batch),
            "list.html": list_html(joined, shopping),
        },
    )
    for plan, intake, eater in zip(planned.plans, planned.intakes, eaters, strict=True):
        write_files(
            folder / plan.role.replace(" ", "-").replace("/", "-"),
            {
                "plan.json": plan.model_dump_json(indent=2) + "\n",
                "menu.html": menu_html(intake, plan),
                "worksheet.html": worksheet_html(intake, eater.targets),
            },
        )
