"""Amounts and energies put where they belong: behind a comma, a title or several foods."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import log

from foods.composition.food_words import normalised
from mealplan.checkin.log.eaten_amounts import amount_of
from mealplan.checkin.log.eaten_measures import SaidAmount
from mealplan.checkin.log.eaten_piece import HEADS, Piece
from mealplan.checkin.log.eaten_vocabulary import VOLUMES, WEIGHTS

_APART_KCAL = 150.0
"""Earlier foods with more energy than this make an energy told behind them doubtful. [kcal]"""
_OF_HEADS = frozenset(
    {"bowl", "plate", "portion", "ladle", "mug", "container", "cup", "box", "pot"}
)
"""Measures a dish is eaten from, rather than what is in it."""
_TOLD_KCAL = 100.0
"""What may be part of a dish or beside it is asked about from here on. [kcal]"""
_OF_A_DISH = 0.6
"""A weight above this share of a dish's usual one may be that of the dish."""
_MOST_OF_IT = 0.55
"""A food with more of a dish's energy than this is what the dish is of: oats in porridge."""
_FEWEST_PARTS = 2
"""Foods with amounts behind a name that make it a title."""


def settled_pieces(pieces: Sequence[Piece]) -> tuple[list[Piece], list[str]]:
    """
    Put amounts said behind a comma, energies and titles where they belong.

    Parameters
    ----------
    pieces : sequence of Piece

    Returns
    -------
    pieces : list of Piece
        Those that count.
    asks : list of str
        What may have been meant otherwise.
    """
    asks: list[str] = []
    kept = _restated(_amounts_behind(_lists_inside(pieces), asks))
    kept = _told_behind(kept, asks)
    kept = _untitled(kept, asks)
    _times_all(kept)
    _of_what_was_eaten(kept)
    _weights_of_all(kept, asks)
    _ask_of_dry(kept, asks)
    return _told_together(kept), asks


def _times_all(pieces: list[Piece]) -> None:
    """Give a multiplier behind several foods to all of them: peanut butter on toast x 3."""
    for place, piece in enumerate(pieces):
        last = piece.quantities[-1] if piece.quantities else None
        if last is None or not last.times or not piece.times_behind or piece.joined != "with":
            continue
        first = place
        while first > 0 and pieces[first].joined == "with":
            first -= 1
            pieces[first].quantities.append(replace(last, unit=""))


def _ask_of_dry(pieces: list[Piece], asks: list[str]) -> None:
    """Ask whether what was weighed dry is what the dish beside it was made from."""
    for first, second in pairwise(pieces):
        dry, dish = (first, second) if first.dry else (second, first)
        if dry.food is None or dish.food is None or not dry.dry or dish.quantities or dish.energies:
            continue
        named = _stems(dry) & _stems(dish)
        cooked = dish.food.kind.name in ("soup", "stew", "dish") and bool(dry.food.key)
        held = any(key == dry.food.key for key, _ in dish.food.made_of)
        cooked = cooked and (held or bool(named) or dry.food.kind.name != "grain")
        of_it = held and second.joined in (",", "with")
        if cooked and dry.quantities and not of_it and (named or second.joined == "with"):
            asks.append(_of_what(dry, dish))


def _may_be_it(part: Piece) -> bool:
    """Say whether it matters if a food is what a dish was made from, or was eaten beside it."""
    return part.dry or _guess_kcal(part) > _TOLD_KCAL


def _of_what(part: Piece, dish: Piece) -> str:
    return (
        f"is “{' '.join(part.said)}” what “{' '.join(dish.said)}” was made from? It is read as "
        "eaten beside it"
    )


def _of_what_was_eaten(pieces: list[Piece]) -> None:
    """Give a weight said behind what was left out to what was eaten: pasta no sauce 250 g."""
    for first, second in pairwise(pieces):
        weighed = [q for q in second.quantities if q.unit in WEIGHTS]
        behind = weighed and second.said and second.said[-1] == weighed[-1].unit
        if second.absent and not first.absent and not first.quantities and behind:
            first.quantities += weighed
            second.quantities.clear()


def _weights_of_all(pieces: list[Piece], asks: list[str]) -> None:
    """Ask whether a weight behind a dish and what is in it is of both: curry with rice 250 g."""
    for first, second in pairwise(pieces):
        food, part = first.food, second.food
        weight = second.quantities[0] if len(second.quantities) == 1 else None
        one = not any(q.unit or q.number.value != 1 for q in first.quantities)
        if food is None or part is None or weight is None or not one or first.title:
            continue
        if second.doubts or first.doubts or first.absent or second.absent:
            continue
        behind = weight.unit in WEIGHTS and second.said[-1] == weight.unit and len(second.said) > 2
        if not behind or second.joined != "with" or weight.apart or first.energies:
            continue
        grams = max(0.1, weight.number.value * WEIGHTS[weight.unit])
        whole = abs(log(grams / (food.usual_g + part.beside.get("*", part.usual_g))))
        alone = abs(log(grams / part.usual_g))
        much = grams * max(food.kcal_per_100g, part.kcal_per_100g) / 100 > _APART_KCAL
        held = food.swallows and grams > _OF_A_DISH * food.usual_g
        if much and (held or whole < 2 * alone):
            asks.append(
                f"is {grams:,.0f} g that of “{' '.join(second.said)}” alone, or of all of it? It "
                "is read as that alone"
            )


def _stems(piece: Piece) -> set[str]:
    return set(normalised(piece.food.name).split()) if piece.food else set()


def _told_together(pieces: list[Piece]) -> list[Piece]:
    """Give an energy at the end to all foods joined by and or with: burger with fries 520 kcal."""
    told = [piece for piece in pieces if piece.energies]
    if len(told) != 1 or len(pieces) < 2 or told[0] is not pieces[-1]:
        return pieces
    last = pieces[-1]
    together = all(piece.joined in ("with", "and") for piece in pieces[1:])
    if not together or last.told_all or any(piece.quantities for piece in pieces):
        return pieces
    others = [piece for piece in pieces[:-1] if not piece.absent]
    return [Piece(said=[*_words(others), *last.said], energies=last.energies)]


def _is_alone(piece: Piece) -> bool:
    return piece.food is None and not piece.unknown


def _told_behind(pieces: list[Piece], asks: list[str]) -> list[Piece]:
    """Give an energy that stands alone to the foods named before it, in place of their own."""
    kept: list[Piece] = []
    for piece in pieces:
        before = [other for other in kept if not other.absent]
        again = piece.food is not None and piece.energies and not piece.told_all
        named = [o for o in before if again and not o.energies and set(piece.said) & set(o.said)]
        if named and not piece.quantities:
            asks.append(
                f"is “{' '.join(piece.said)}” part of “{' '.join(named[0].said)}”? It is read as "
                "eaten beside it"
            )
        if not _is_alone(piece) or not (piece.energies or piece.density) or not before:
            kept.append(piece)
            continue
        if piece.density:
            before[-1].density = piece.density
            continue
        group = _group_told(kept, piece, asks)
        del kept[len(kept) - len(group) :]
        kept.append(_merged(group, piece))
    return kept


def _group_told(kept: list[Piece], piece: Piece, asks: list[str]) -> list[Piece]:
    """Find the foods an energy is of: those just named, or all of the meal so far."""
    first = len(kept) - 1
    each = piece.energies[0][1]
    while first > 0 and kept[first].joined in ("with", "and") and not each:
        if kept[first - 1].energies:
            break
        first -= 1
    start = first
    while start > 0 and not kept[start - 1].energies and not each:
        start -= 1
    near, whole = kept[first:], kept[start:]
    if len(near) == len(whole):
        return near
    earlier = sum(_guess_kcal(other) for other in kept[start:first])
    told = max(1.0, piece.energies[0][0])
    off_near = abs(log(told / max(1.0, sum(_guess_kcal(other) for other in near))))
    off_whole = abs(log(told / max(1.0, sum(_guess_kcal(other) for other in whole))))
    chosen, other = (near, whole) if off_near <= off_whole else (whole, near)
    if earlier > _APART_KCAL and "total" not in piece.said:
        asks.append(
            f"are {told:,.0f} kcal of “{' '.join(_words(chosen))}” or of “"
            f"{' '.join(_words(other))}”? It is read as the first"
        )
    return whole if "total" in piece.said else chosen


def _guess_kcal(piece: Piece) -> float:
    """Energy a food would be read as [kcal]."""
    if piece.food is None or piece.absent:
        return 0.0
    amount = amount_of(piece.food, piece.quantities, piece.sizes, None)
    return amount.grams * piece.food.kcal_per_100g / 100 if amount else 0.0


def _merged(group: list[Piece], told: Piece) -> Piece:
    """Give a group of foods the energy told of them."""
    eaten = [piece for piece in group if not piece.absent]
    merged = Piece(said=[*_words(eaten), *told.said], joined=group[0].joined, told_all=True)
    merged.energies = told.energies
    if len(eaten) == 1:
        merged.food = eaten[0].food
        merged.quantities = eaten[0].quantities
    elif told.energies[0][1]:
        merged.quantities = eaten[-1].quantities
    return merged


def _untitled(pieces: list[Piece], asks: list[str]) -> list[Piece]:
    """Count only the parts of a dish whose name is followed by them with their amounts."""
    kept: list[Piece] = []
    for place, piece in enumerate(pieces):
        after = place + 1
        while after < len(pieces) and pieces[after].inner:
            after += 1
        parts = [part for part in pieces[place + 1 : after] if part.food is not None]
        measured = [part for part in parts if part.quantities or part.energies]
        listed = piece.title and len(parts) >= _FEWEST_PARTS and bool(measured)
        listed = listed or _made_from_next(pieces, place)
        single = piece.title and piece.food is None and measured
        if not (listed or single or _holds_measured(pieces, place)) or piece.energies:
            if piece.title and measured and len(parts) == 1 and _may_be_it(parts[0]):
                asks.append(_of_what(parts[0], piece))
            kept.append(piece)
            continue
        many = [q.number.value for q in piece.quantities if q.number.value != 1]
        if many and many[0] < 20:
            asks.append(
                f"are the amounts behind “{' '.join(piece.said)}” for all of it? They are read so"
            )
        if after < len(pieces):
            pieces[place + 1].joined = piece.joined
    return kept


def _made_from_next(pieces: list[Piece], place: int) -> bool:
    """Say whether what is weighed behind a dish is what it is cooked from: porridge 60 g oats."""
    if place + 1 >= len(pieces):
        return False
    piece, following = pieces[place], pieces[place + 1]
    if piece.food is None or following.food is None or piece.quantities or piece.absent:
        return False
    if not any(q.unit in WEIGHTS for q in following.quantities):
        return False
    if piece.food.bought and following.food.number == piece.food.bought:
        return True
    after = pieces[place + 2] if place + 2 < len(pieces) else None
    if after is None or not after.quantities or after.food is None or not following.food.key:
        return False
    grams = sum(g for key, g in piece.food.made_of if key == following.food.key)
    whole = sum(g for _, g in piece.food.made_of) * piece.food.kcal_per_100g
    return grams * following.food.kcal_per_100g > _MOST_OF_IT * whole > 0


def _holds_measured(pieces: list[Piece], place: int) -> bool:
    """Say whether a dish without an amount is followed by three or more weighed foods in it."""
    piece = pieces[place]
    if (
        piece.food is None
        or piece.quantities
        or piece.food.key
        or piece.food.kind.name not in HEADS
    ):
        return False
    after = place + 1
    if after >= len(pieces) or pieces[after].joined != "with":
        return False
    while after < len(pieces) and pieces[after].joined in ("with", "and", ","):
        after += 1
    parts = pieces[place + 1 : after]
    return len(parts) > _FEWEST_PARTS and all(part.quantities and part.food for part in parts)


def _restated(pieces: list[Piece]) -> list[Piece]:
    """Take the same food said again with its amount for what it was before: pasta, 90 g pasta."""
    kept: list[Piece] = []
    for piece in pieces:
        before = next((other for other in kept if _same_food(other, piece)), None)
        if before is None or not piece.quantities or not piece.quantities[0].unit:
            kept.append(piece)
            continue
        before.quantities[:] = piece.quantities
        before.dry = before.dry or piece.dry
        before.said += piece.said
    return kept


def _same_food(before: Piece, piece: Piece) -> bool:
    if before.food is None or piece.food is None or before.absent or piece.absent:
        return False
    if piece.joined not in (",", "with", ""):
        return False
    weighed = any(q.unit in WEIGHTS for q in before.quantities)
    same = before.food.key == piece.food.key if piece.food.key else before.food == piece.food
    return same and not weighed


def _amounts_behind(pieces: Sequence[Piece], asks: list[str]) -> list[Piece]:
    """Give an amount that stands alone to the food before it: cake, big slice."""
    kept: list[Piece] = []
    for piece in pieces:
        alone = _is_alone(piece) and not piece.energies and not piece.title and not piece.density
        before = _head_of(kept, piece, asks) if kept and alone else None
        if (
            alone
            and before is not None
            and before.food is not None
            and (not before.quantities or not piece.quantities or _said_better(piece, before))
        ):
            before.quantities[:] = _amount_behind(piece, before)
            before.sizes += piece.sizes
            before.times_behind |= any(quantity.times for quantity in piece.quantities)
            before.modifiers += piece.modifiers
            before.drained = before.drained or piece.drained
            before.said += piece.said
            before.dry = before.dry or piece.dry
        elif alone and all(not quantity.unit for quantity in piece.quantities) and len(pieces) > 1:
            if before is not None and piece.quantities:
                asks.append(
                    f"“{' '.join(piece.said)}” behind “{' '.join(before.said)}” names no food; is "
                    "it more of it? It is not counted"
                )
        else:
            kept.append(piece)
    return kept


def _head_of(kept: list[Piece], piece: Piece, asks: list[str]) -> Piece:
    """Find what an amount behind a comma is of: the dish, not the last thing in it."""
    unit = piece.quantities[0].unit if piece.quantities else ""
    first = len(kept) - 1
    while first > 0 and kept[first].joined == "with":
        first -= 1
    head, last = kept[first], kept[-1]
    if head is last:
        beside = kept[first - 1] if first and last.joined == "and" else None
        if beside is not None and beside.food is not None and unit in _OF_HEADS:
            asks.append(
                f"is “{' '.join(piece.said)}” of “{' '.join(last.said)}” alone, or with “"
                f"{' '.join(beside.said)}”? It is read as the first"
            )
        return last
    if head.food is None or head.quantities or head.food.kind.name not in HEADS | {"stew", "grain"}:
        return last
    of_head = unit in _OF_HEADS or unit in WEIGHTS or unit in VOLUMES or (piece.sizes and not unit)
    return head if of_head else last


def _amount_behind(piece: Piece, before: Piece) -> list[SaidAmount]:
    """Give the amount of a food with one behind it; 3 bars, 45 g may be of each or of all."""
    told = [replace(amount, apart=True, restated=True) for amount in piece.quantities]
    if not told or not before.quantities:
        return told or before.quantities
    weighed = told[0].unit in WEIGHTS or told[0].unit in VOLUMES
    part = told[0].number.value < 1 and before.quantities[0].pack
    return [*before.quantities, *told] if weighed or told[0].times or part else told


def _said_better(piece: Piece, before: Piece) -> bool:
    """Say whether an amount behind a comma tells more than the one before: platter, 10 pieces."""
    told = piece.quantities[0] if piece.quantities else None
    first = before.quantities[0]
    if told is not None and (told.unit in WEIGHTS or told.unit in VOLUMES):
        return first.unit not in WEIGHTS or piece.dry or before.drained or piece.drained
    if told is not None and (told.times or (told.number.value < 1 and first.pack)):
        return True
    return told is not None and first.number.value == 1 and told.number.value != 1


def _lists_inside(pieces: Sequence[Piece]) -> list[Piece]:
    """Carry ``with`` on over a list: salad with beans, tomatoes and nuts."""
    main: Piece | None = None
    within = False
    for piece in pieces:
        if piece.joined == "with":
            within = True
        elif within and main is not None and _goes_on(main, piece):
            piece.joined = "with"
        else:
            main, within = piece, False
    return list(pieces)


def _goes_on(main: Piece, piece: Piece) -> bool:
    """Say whether a food goes on with a list of what another one holds."""
    if piece.food is None or main.food is None or piece.energies or piece.absent:
        return False
    if piece.joined == "and":
        return piece.food.kind.name not in (
            "drink",
            "soft drink",
            "hot drink",
            "sweet",
            "pastry",
            "dish",
        )
    holds = main.food.swallows or main.food.rest is not None or main.food.kind.name == "stew"
    return (
        piece.joined == ","
        and holds
        and not piece.quantities
        and piece.food.kind.name in ("vegetable", "meat", "sauce", "spread", "nut", "grain")
    )


def _words(pieces: Sequence[Piece]) -> list[str]:
    words: list[str] = []
    for piece in pieces:
        words += [*(["and"] if words else []), *piece.said]
    return words
