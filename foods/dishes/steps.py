"""
A dish's method without what speaks of foods not served this time.

Add-ons stand in a method as ``..., with diced tofu and sesame seeds if using``. What is not served
is taken out, with its adjectives and the words that only lead to it; a step that says nothing else
falls away. Whatever the wording, no food that is not served is named in what is left.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

_IF_USING = re.compile(r",? if using\b")
_UNITS = re.compile(r"(?<=[.;])\s+")
"""Where one order ends and the next begins."""
_DELIMITERS = re.compile(
    r"(,? if using\b,?|, and with |, and |, with |, plus |, or |, | and with | or | and )"
)
_WITH = r"(?:and |or )?(?:with|adding|add|plus)"
_VERB = (
    r"(?:add|follow|fry|scatter|sprinkle|sweeten|top|finish|stir(?:ring)?|fold|eat|serve|have|drink|pour|mix|"
    r"adding|blend|brown|thin|dress|put|lay|set|spread|spoon|roll|boil|toss|garnish|"
    r"then add|for a bigger drink blend|for more,? add|pass|offer|bring|grate|tuck|crumble|drop)"
)
_ONLY_LEADS = re.compile(
    rf"\s*(?:(?:and |then |or )*{_VERB}(?: it| them)?(?: over| on| in| with| round it| up)*"
    rf"|{_WITH}|and|or|plus|with|in|topped with|spread with|served with)?\s*",
    re.IGNORECASE,
)
"""Words before an add-on that do nothing but bring it."""
_ITEM_WORDS = re.compile(
    r"(?:\b(?:the|a|an|some|more|few|little|extra|other|small|thin|thick|warm|hot|cold|cool|raw|"
    r"ripe|plain|sliced|diced|chopped|torn|toasted|fried|boiled|steamed|roasted|grated|shredded|"
    r"crumbled|crushed|browned|halved|peeled|finely|thinly|freshly|cooked|cubed|mashed|drained|"
    r"grilled|baked|ground|whole|half|spare|fresh|dried|glass|glasses|squeeze|spoonfuls?|wedges?|"
    r"strips?|slices?|cubes?|bowl|cup|handful|pinch|dash|piece|pieces|side|segments|of|splash|"
    r"scoop|spoon|thread|curls|shavings|shreds|rings|quarters|florets)\b[ ,]*)*$",
    re.IGNORECASE,
)
"""Adjectives and vessels that belong to the add-on after them."""


def _mentions(text: str, called: Sequence[str]) -> list[tuple[int, int, str]]:
    """Find where foods are named, the longest name first, none inside another."""
    found: list[tuple[int, int, str]] = []
    for word in sorted(called, key=len, reverse=True):
        for hit in re.finditer(rf"\b{re.escape(word)}(?:e?s)?\b", text, re.IGNORECASE):
            if all(hit.end() <= start or hit.start() >= end for start, end, _ in found):
                found.append((hit.start(), hit.end(), word))
    return sorted(found)


def without(step: str, out: Collection[str], called: Sequence[str]) -> str:
    """
    Write one step without the foods that are not served.

    Parameters
    ----------
    step : str
        A sentence or several.
    out : collection of str
        What the method calls the foods that are not served.
    called : sequence of str
        What it calls all its foods.

    Returns
    -------
    str
        Empty when the step speaks of nothing else.
    """
    kept = [_settled(_unit(unit, out, called), unit, called) for unit in _UNITS.split(step)]
    return _joined([unit for unit in kept if unit])


def _settled(text: str, unit: str, called: Sequence[str]) -> str:
    """Ask no longer whether a food is used: of add-ons offered with *or* all that stay are."""
    if not _IF_USING.search(unit):
        return text
    for start, _, _ in reversed(_mentions(text, called)):
        head = _ITEM_WORDS.sub("", text[:start])
        if re.search(r"\bor $", head):
            text = f"{head[:-3]}and {text[len(head) :]}"
    return _IF_USING.sub("", text)


def _joined(units: Sequence[str]) -> str:
    text = ""
    for unit in units:
        starts = not text or text.endswith(".")
        text += (" " if text else "") + (unit[:1].upper() + unit[1:] if starts else unit)
    text = text.rstrip(" ;,")
    return text if not text or text.endswith(".") else text + "."


def _unit(unit: str, out: Collection[str], called: Sequence[str]) -> str:
    """Write one order without what is not served."""
    if not any(word in out for _, _, word in _mentions(unit, called)):
        return unit
    end = unit[-1] if unit[-1] in ".;" else ""
    pieces = _DELIMITERS.split(unit.rstrip(".;"))
    kept: list[tuple[str, str]] = []
    lead, dropped = "", False
    for place in range(0, len(pieces), 2):
        before = pieces[place - 1] if place else ""
        piece = pieces[place]
        names = [word for _, _, word in _mentions(piece, called)]
        if "if using" in before:
            before = ", " if before.endswith(",") else " "
        if names and all(word in out for word in names):
            rest = _lead_of(piece, called)
            if _ONLY_LEADS.fullmatch(rest):
                lead = lead or (before + rest if rest.strip() else before)
                dropped = True
                if before in (" or ", " and ", ", or ") and _ends_list(pieces, place):
                    _close_list(kept, before, called, verb=bool(rest.strip()))
                continue
            piece = re.sub(r"\s+(?:with|adding|and|or|plus|in|over)$", "", rest.rstrip())
        elif any(word in out for word in names):
            piece = _cut(piece, out, called)
        elif not piece.strip():
            continue
        elif dropped and names:
            before, piece = _led(before, piece, lead)
        elif dropped and piece.lstrip().startswith("for "):
            before, piece = " ", piece.lstrip()
        lead, dropped = "", False
        kept.append((before, piece))
    text = "".join(before + piece for before, piece in kept)
    text = re.sub(r"\s+,", ",", re.sub(r"  +", " ", text)).strip(" ,")
    text = re.sub(r"^(?:and|then|with|or)\s+", "", text)
    if any(word in out for _, _, word in _mentions(text, called)):
        text = _cut(text, out, called)
    return text + end if re.search(r"\w", text) else ""


def _ends_list(pieces: Sequence[str], place: int) -> bool:
    """Say whether nothing of the same list follows a piece."""
    after = pieces[place + 1] if place + 1 < len(pieces) else "if using"
    return "if using" in after or after not in (", ", " and ", " or ", ", or ", ", and ")


def _close_list(
    kept: list[tuple[str, str]], before: str, called: Sequence[str], *, verb: bool
) -> None:
    """Put the word that joined what fell away before what is last now."""
    if not kept or kept[-1][0] != ", ":
        return
    last = kept[-1][1]
    if verb or (_mentions(last, called) and not _lead_of(last, called).strip()):
        kept[-1] = (" or " if "or" in before else " and ", last)


def _led(before: str, piece: str, lead: str) -> tuple[str, str]:
    """Give a food that stays the words that led to the one before it, if it has none."""
    own = re.match(_VERB + r"\b", piece.strip(), re.IGNORECASE)
    if own or before not in (", ", " and ", " or ", ", or ", ", and "):
        return before, piece
    bare = lead.strip(" ,")
    if bare in ("and", "with", "and with", "plus"):
        return lead, piece
    if re.search(r"\b(?:with|add|adding|in|over|top|scatter|drink|serve)$", bare, re.IGNORECASE):
        return lead.rstrip() + " ", piece
    return before, piece


def _lead_of(piece: str, called: Sequence[str]) -> str:
    """Give what stands before the first food of a piece, without the food's own adjectives."""
    start = _mentions(piece, called)[0][0]
    return _ITEM_WORDS.sub("", piece[:start])


def _cut(text: str, out: Collection[str], called: Sequence[str]) -> str:
    """Take the bare names out, with their adjectives."""
    for start, end, word in reversed(_mentions(text, called)):
        if word in out:
            text = _ITEM_WORDS.sub("", text[:start]) + text[end:]
    text = re.sub(r"\b(?:and|or|with)\s+(?=(?:and|or|with)\b|$|,)", "", text)
    text = re.sub(r"\s+(?:and|or|with|in|over|on)$", "", text.strip())
    return re.sub(r"\s+", " ", text)
