"""
Worksheets, menus and shopping lists as HTML that reads on a screen and prints well.

The templates are shared with the service; here each page stands alone with its style inside.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from importlib.resources import files

import jinja2
from markupsafe import Markup

from mealplan.checkin.log.entries import KG_PER_UNIT
from mealplan.checkin.phase import LookBack
from mealplan.client.intake import Intake
from mealplan.cooking.sheet import BatchPlan
from mealplan.plan import AdequacyLine, Plan
from mealplan.redaction import TELLING_KEYS, hide_numbers, spared_lines, without_energy
from mealplan.render.charts.review import change_strip, course_plot, share_strip
from mealplan.render.charts.strips import range_bar, ruled_strip, week_strip
from mealplan.render.charts.trade_off import trade_off_drawing, trade_off_sentences
from mealplan.render.groups import grouped, week_lines
from mealplan.render.text import CAUTION, ENERGY_NOTE, narrowing, quality_sentence
from mealplan.render.text_table import decimals
from mealplan.science.quantity import Quantity
from mealplan.shopping.door import ShoppingList, weight_text
from mealplan.shopping.lines import AT_HOME_HEADING, CHECK_HEADING
from mealplan.targets.ranges import Targets


def _strip(line: AdequacyLine) -> Markup:
    return Markup(ruled_strip(line))


def counted(number: int, one: str, many: str = "") -> str:
    """
    Write a number with its noun, such as ``1 meal`` or ``3 meals``.

    Parameters
    ----------
    number : int
    one : str
        The noun for one.
    many : str
        The noun for more; ``one`` with an s when left out.

    Returns
    -------
    str
    """
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def signed(value: float) -> str:
    """
    Write a whole number with its sign, a minus as a minus.

    Parameters
    ----------
    value : float

    Returns
    -------
    str
    """
    return with_minus(f"{value:+,.0f}")


def _bar(line: Quantity) -> Markup:
    return Markup(range_bar(line.value, line.low, line.high, line.unit))


def kitchen_grams(grams: float) -> str:
    """
    Write an amount as a kitchen scale shows it.

    Parameters
    ----------
    grams : float
        [g]

    Returns
    -------
    str
        Whole grams from 10 g on, tenths below.
    """
    return f"{grams:,.0f}" if grams >= 9.95 else f"{round(grams, 1):g}"


def with_minus(text: str) -> str:
    """
    Put a minus before negative numbers where a hyphen stands.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
    """
    return re.sub(r"(?<![\w−-])-(?=\d)", "−", text)


@cache
def stylesheet() -> str:
    """Return the style sheet of every page: the screen's rules, then what holds on paper."""
    folder = files("mealplan.render") / "templates"
    return "".join(
        (folder / name).read_text(encoding="utf-8") for name in ("sheet.css", "paper.css")
    )


def loader() -> jinja2.BaseLoader:
    """Return the loader of the shared templates, for the service to build on."""
    return jinja2.PackageLoader("mealplan.render", "templates")


def equip(environment: jinja2.Environment) -> jinja2.Environment:
    """
    Give an environment the filters and words the shared templates use.

    Parameters
    ----------
    environment : jinja2.Environment

    Returns
    -------
    jinja2.Environment
        The same one.
    """
    environment.filters["num"] = decimals
    environment.filters["grams"] = kitchen_grams
    environment.filters["weight"] = weight_text
    environment.filters["minus"] = with_minus
    environment.filters["counted"] = counted
    environment.filters["signed"] = signed
    environment.globals.update(
        strip=_strip,
        bar=_bar,
        grouped=grouped,
        week_lines=week_lines,
        week_strip=lambda lines: Markup(week_strip(lines)),
        narrowing=narrowing,
        quality=quality_sentence,
        caution=CAUTION,
        energy_note=ENERGY_NOTE,
        telling_keys=TELLING_KEYS,
        course_svg=lambda review: Markup(course_plot(review)),
        change_svg=lambda change: Markup(change_strip(change)),
        share_svg=lambda share: Markup(share_strip(share)),
        trade_off_svg=lambda plan: Markup(trade_off_drawing(plan.alternatives)),
        trade_off_said=trade_off_sentences,
        kg_per=KG_PER_UNIT,
        spared=spared_lines,
        without_energy=without_energy,
        hide_numbers=hide_numbers,
        check_heading=CHECK_HEADING,
        at_home_heading=AT_HOME_HEADING,
    )
    return environment


@cache
def _environment() -> jinja2.Environment:
    return equip(
        jinja2.Environment(
            loader=loader(),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
    )


def _render(name: str, *, hide: bool = False, **context: object) -> str:
    return (
        _environment()
        .get_template(name)
        .render(style=stylesheet(), hide=hide, discreet=hide, **context)
    )


def worksheet_html(intake: Intake, targets: Targets) -> str:
    """
    Write the targets worksheet.

    Parameters
    ----------
    intake : Intake
    targets : Targets

    Returns
    -------
    str
        A whole HTML page.
    """
    return _render("worksheet.html", intake=intake, targets=targets)


def menu_html(intake: Intake, plan: Plan) -> str:
    """
    Write the week grid and a cooking sheet a day.

    Parameters
    ----------
    intake : Intake
    plan : Plan

    Returns
    -------
    str
        A whole HTML page; prints the grid first, then one sheet a day.
    """
    return _render("menu.html", hide=intake.numbers_hidden, intake=intake, plan=plan)


def cook_html(plan: Plan, batch: BatchPlan) -> str:
    """
    Write the week's order of work on one page, then each day's cooking.

    Parameters
    ----------
    plan : Plan
    batch : BatchPlan
        From :func:`mealplan.cooking.sheet.batch_plan`.

    Returns
    -------
    str
        A whole HTML page.
    """
    return _render("cook.html", plan=plan, batch=batch)


def list_html(plan: Plan, shopping: ShoppingList, costs: Sequence[str] = ()) -> str:
    """
    Write the shopping list.

    Parameters
    ----------
    plan : Plan
    shopping : ShoppingList
    costs : sequence of str
        Sentences on what it costs.

    Returns
    -------
    str
        A whole HTML page.
    """
    return _render("list.html", plan=plan, shopping=shopping, costs=tuple(costs))


def review_html(role: str, found: LookBack, *, hide: bool = False) -> str:
    """
    Write a phase looked back on, one to two sheets to keep.

    Parameters
    ----------
    role : str
        What the client does.
    found : LookBack
    hide : bool
        True leaves weights and calories out.

    Returns
    -------
    str
        A whole HTML page.
    """
    return _render("review.html", hide=hide, role=role, found=found)
