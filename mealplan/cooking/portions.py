"""Who gets how much of a pot: plates now, boxes for later, and how a box is eaten."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Literal

from foods.dishes.render import Handful, Told
from mealplan.client.household import Eater
from mealplan.client.intake import Kitchen
from mealplan.cooking.amounts import amounts_in_words, amounts_of, scaled_method
from mealplan.cooking.batches import Pot, always_fresh, aside_of, is_hot
from mealplan.cooking.models import Amount, Box, Cooking, Kept, StoveStep
from mealplan.cooking.words import cautions, clock_text
from mealplan.kitchen.food_safety import advice_for, is_rice, keeping
from mealplan.kitchen.measures import Units, kitchen_amount
from mealplan.kitchen.method import dry_text, how_kept, told
from mealplan.market.forms import BoughtForm
from mealplan.plan import Meal, Serving


def box_for(
    pot: Pot, eaten_on: dt.date, meal: Meal, eater: Eater, shares: float, units: Units
) -> Box:
    """
    Say what one eater's portion of a pot is and how it is kept.

    Parameters
    ----------
    pot : Pot
        One dish of one day, with every portion that comes out of it.
    eaten_on : date
        Day the portion is eaten.
    meal : Meal
        What is eaten of it then.
    eater : Eater
        Whose box.
    shares : float
        Portions in the pot, each eater by their share. [portions]
    units : Units
        The household's measures.
    """
    catalogue = pot.catalogue
    kept = [
        s
        for s in meal.servings
        if not pot.serve_fresh(s, eaten_on) and not pot.at_serving(s, eaten_on)
    ]
    aside = aside_of(pot)
    apart = []
    mixed_kcal = 0.0
    for serving in kept:
        if serving.food in aside:
            food = catalogue.food(serving.food)
            own_g = serving.grams * eater.portion
            apart.append(kitchen_amount(food, own_g, serving.called, units).phrase)
        else:
            mixed_kcal += serving.energy_kcal * eater.portion
    pot_kcal = sum(
        grams * shares * serving.energy_kcal / serving.grams
        for key, (serving, grams) in pot.in_pot().items()
        if key not in aside
    )
    share = mixed_kcal / pot_kcal if pot_kcal else 0.0
    days = (eaten_on - pot.day.date).days
    place = pot.place(days)
    limits = keeping("cooked")
    longest = {
        "freezer": limits.freezer_days,
        "cupboard": pot.dish.keeps_days,
        "fridge": min(limits.fridge_days, max(pot.dish.keeps_days, days)),
    }[place]
    rice_inside = any(is_rice(s.food) for s in kept) and place == "fridge"
    if rice_inside:
        longest = keeping("rice").fridge_days

    def said(serving: Serving) -> str:
        food = catalogue.food(serving.food)
        return kitchen_amount(food, serving.grams * eater.portion, serving.called, units).phrase

    def fresh(serving: Serving) -> str:
        food = catalogue.food(serving.food)
        dry_g, measure = dry_text(food, serving.grams * eater.portion, units)
        return f"{said(serving)} (from {dry_g:.0f} g dry{', about ' + measure if measure else ''})"

    return Box(
        eaten_on=eaten_on,
        label=meal.label,
        eater=eater.label,
        percent_of_pot=round(100 * share),
        measured_out=tuple(apart),
        at_serving=tuple(said(s) for s in meal.servings if pot.at_serving(s, eaten_on)),
        boil_fresh=tuple(fresh(s) for s in meal.servings if pot.serve_fresh(s, eaten_on)),
        keep_in=place,
        eat_by=pot.day.date + dt.timedelta(days=longest),
    )


def whose(meal: Meal, eaters: Sequence[Eater]) -> Sequence[Eater]:
    """
    Say who eats a portion: the one it was planned for at a table, else all of the household.

    Parameters
    ----------
    meal : Meal
        What is eaten.
    eaters : Sequence[Eater]
        The household, each with a share.
    """
    return (Eater(label=meal.eater[:40], portion=1.0),) if meal.eater else eaters


def cooking_of(
    pot: Pot,
    eaters: Sequence[Eater],
    kitchen: Kitchen,
    forms: Mapping[tuple[str, dt.date], BoughtForm],
    seen: set[str],
) -> Cooking:
    """
    Write up one pot: amounts, method, plates, boxes and cautions.

    Parameters
    ----------
    pot : Pot
        One dish of one day, with every portion that comes out of it.
    eaters : Sequence[Eater]
        Who eats, each with a share.
    kitchen : Kitchen
        How the household cooks.
    forms : Mapping[tuple[str, date], BoughtForm]
        Form each food is bought in, by key and day of cooking.
    seen : set[str]
        Cautions given already; grows.
    """
    units: Units = kitchen.units
    shares = sum(eater.portion for eater in eaters)
    amounts = amounts_of(pot, shares, units, forms)
    filled = [
        box_for(pot, eaten_on, meal, eater, shares, units)
        for eaten_on, meal in pot.portions()
        for eater in whose(meal, eaters)
    ]
    now = [box for box in filled if box.eaten_on == pot.day.date]
    later = pot.day.date + dt.timedelta(days=keeping("cooked").freezer_days)
    frozen = tuple(
        box_for(pot, later, pot.meal, eater, shares, units).model_copy(
            update={"to_freeze": True, "label": "The freezer", "at_serving": ()}
        )
        for _ in range(pot.to_freeze)
        for eater in eaters
    )
    boxes = (*(box for box in filled if box.eaten_on != pot.day.date), *frozen)
    portions = len(filled) + len(frozen)
    rounds = -(-portions // pot.dish.batch_portions)
    hot = is_hot(pot)
    written = _written(pot, shares, portions, amounts, kitchen)
    advice = advice_for((a.food for a in amounts), "cook")
    if boxes and hot:
        boxed = {s.food for on, meal in pot.portions() if on != pot.day.date for s in meal.servings}
        advice += advice_for(boxed - {s for s in boxed if always_fresh(pot, s)}, "keep")
    return Cooking(
        dish=pot.dish.key,
        name=pot.meal.name,
        label=pot.meal.label,
        start=clock_text(pot.day.date, pot.meal.time, -pot.meal.total_min),
        serve=pot.meal.time,
        portions=portions,
        rounds=rounds,
        amounts=amounts,
        evening=written.evening,
        method=(*written.cook, *written.plate),
        single=tuple(
            StoveStep(
                clock=clock_text(pot.day.date, pot.meal.time, -pot.meal.total_min),
                dish=pot.meal.name,
                text=one.text,
                wait_min=one.wait_min,
            )
            for one in written.single or tuple(map(Handful, (*written.cook, *written.plate)))
        ),
        plates=tuple(_plate(box, len(now) > 1, bool(boxes)) for box in now),
        boxes=boxes,
        hands_on_min=pot.meal.hands_on_min,
        total_min=pot.meal.total_min,
        equipment=pot.dish.equipment,
        cautions=cautions(advice, seen),
    )


def _written(
    pot: Pot, shares: float, portions: int, amounts: Sequence[Amount], kitchen: Kitchen
) -> Told:
    """Tell the dish for the whole pot, each food with its amount once."""
    if not pot.dish.steps:
        return Told((), scaled_method(pot.meal.method, amounts), ())
    grams = {key: grams * shares for key, (_, grams) in pot.in_pot().items()}
    words = amounts_in_words(amounts)
    kettle = kitchen.hob.kettle
    return told(pot.dish, grams, portions, kitchen.units, pot.catalogue, words, kettle=kettle)


def _plate(box: Box, several: bool, kept: bool) -> str:
    who = f"{box.eater}: " if several else ""
    if not several and not kept:
        return "all of it"
    apart = f", with {', '.join(box.measured_out)}" if box.measured_out else ""
    return f"{who}{box.percent_of_pot} % of the pot{apart}"


def kept_of(
    meal: Meal,
    pot: Pot,
    eaten_on: dt.date,
    eaters: Sequence[Eater],
    units: Units,
    seen: set[str],
) -> Kept:
    """
    Say how a box is eaten and what is added on the day.

    Parameters
    ----------
    meal : Meal
        What is eaten of it then.
    pot : Pot
        One dish of one day, with every portion that comes out of it.
    eaten_on : date
        Day the portion is eaten.
    eaters : Sequence[Eater]
        Who eats, each with a share.
    units : Units
        The household's measures.
    seen : set[str]
        Cautions given already; grows.
    """
    shares = sum(eater.portion for eater in eaters)
    boxes = [box_for(pot, eaten_on, meal, eater, shares, units) for eater in eaters]
    cold = not is_hot(pot)
    frozen = boxes[0].keep_in == "freezer"
    how = "Eat it cold from the fridge." if cold else "Reheat it until it steams right through."
    if pot.dish.steps:
        fresh_rice = {s.food for s in meal.servings if pot.serve_fresh(s, eaten_on)}
        how = how_kept(pot.dish, {s.food for s in meal.servings} - fresh_rice)
    elif not cold and meal.occasion == "small" and pot.dish.portable:
        how = "Eat it cold, or reheat it until it steams right through."
    add = [
        f"{'' if len(eaters) == 1 else box.eater + ': '}{text}"
        for box in boxes
        for text in (*(f"boil fresh {said}" for said in box.boil_fresh), *box.at_serving)
    ]
    whens: tuple[Literal["reheat", "thaw"], ...] = ("thaw",) if frozen else ("reheat",)
    return Kept(
        dish=meal.dish,
        name=meal.name,
        label=meal.label,
        serve=meal.time,
        cooked_on=pot.day.date,
        frozen=frozen,
        how=how,
        add=tuple(add),
        minutes=meal.hands_on_min,
        cautions=()
        if cold
        else cautions(advice_for((s.food for s in meal.servings), *whens), seen),
    )
