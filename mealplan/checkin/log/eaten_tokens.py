"""
Cutting what was typed into numbers, words and marks, one letter after the other.

Nothing here knows a food. Every function goes through the text once; nothing starts over.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from foods.composition.food_words import normalised

GLYPHS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125}
_UNFOLDED = str.maketrans({
    "ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "’": "'", "‘": "'", "`": "'", "×": "x",
    "~": " ", "≈": " ", "“": " ", "”": " ", '"': " ", "–": "-", "—": "-", "⁄": "/",
})  # fmt: skip
LONGEST_NUMBER = 9
"""Longest number of a meal. [characters]"""


@dataclass(frozen=True)
class Token:
    """A number, a word or a mark."""

    kind: str
    """``number``, ``word`` or ``mark``."""
    text: str
    """As typed, in small letters."""
    value: float = 0.0
    low: float = 0.0
    high: float = 0.0
    """Ends of a range such as 2-3; the value itself otherwise."""
    stem: str = ""
    """A word in the singular without accents."""
    at: int = field(default=-1, compare=False)
    """Place in the sentence; -1 for what was not typed."""


def tokens_of(text: str) -> list[Token]:
    """
    Cut a sentence into tokens.

    Parameters
    ----------
    text : str

    Returns
    -------
    list of Token
        Numbers joined with the fractions and ranges they are written with.
    """
    plain = text.lower().translate(_UNFOLDED).replace(" b4 ", " before ")
    plain = "".join(
        c if c in GLYPHS else "".join(d for d in unicodedata.normalize("NFKD", c)
                                      if not unicodedata.combining(d))
        for c in plain
    )  # fmt: skip
    return [replace(token, at=at) for at, token in enumerate(_joined(_cut(plain)))]


def _cut(plain: str) -> list[Token]:
    found: list[Token] = []
    word, kind = "", ""
    for place, letter in enumerate([*plain, " "]):
        now = _kind(letter, kind, plain[place + 1 : place + 2], plain, place)
        if now != kind or now in ("mark", "glyph"):
            if word:
                found.append(_token(kind, word))
            word = ""
        if now:
            word += letter
        kind = now
    return found


def _kind(letter: str, kind: str, following: str, plain: str, place: int) -> str:
    if letter.isdigit() and letter.isascii():
        return "number"
    if letter in GLYPHS:
        return "glyph"
    if letter in ".,/" and kind == "number" and following.isdigit():
        return "number" if letter != "," or _is_decimal(plain, place) else "mark"
    if letter == "/" and kind == "word" and not plain[place - 1 : place].isspace():
        return "mark"
    if letter.isalpha() or (letter == "'" and kind == "word" and following.isalpha()):
        return "word"
    if letter == "-" and kind == "word" and following.isalpha():
        return ""
    if letter == "-" and kind == "number" and following.isdigit():
        return "mark"
    if letter == "-" and following == " " and plain[place - 1 : place] == " ":
        return "mark"
    if letter in ",;\n+&()%/.:!?=|":
        return "mark"
    return ""


def _is_decimal(text: str, place: int) -> bool:
    """Say whether a comma stands inside a number: one to three digits behind it, then no more."""
    digits = 0
    while text[place + 1 + digits : place + 2 + digits].isdigit() and digits < 4:
        digits += 1
    before = 0
    while before < 4 and text[place - 1 - before : place - before].isdigit():
        before += 1
    return digits in (1, 2) or (digits == 3 and before <= 3)


def _token(kind: str, word: str) -> Token:
    if kind == "number":
        value = plain_number(word)
        return Token("number", word, value, value, value)
    if kind == "glyph":
        return Token("number", word, GLYPHS[word], GLYPHS[word], GLYPHS[word])
    if kind == "mark":
        return Token("mark", ";" if word == "\n" else word)
    return Token("word", word, stem=normalised(word) or word)


def plain_number(word: str) -> float:
    """
    Read digits with at most one decimal mark or fraction stroke.

    Parameters
    ----------
    word : str

    Returns
    -------
    float
        -1 where it is no number of a meal.
    """
    if len(word) > LONGEST_NUMBER:
        return -1.0
    if "/" in word:
        over, _, under = word.partition("/")
        if not (over.isdigit() and under.isdigit()) or int(under) == 0:
            return -1.0
        return int(over) / int(under)
    whole, comma, behind = word.partition(",")
    text = whole + behind if comma and len(behind) == 3 else word.replace(",", ".")
    if text.count(".") > 1:
        return -1.0
    return float(text)


COUNTS = {
    "a": 1.0, "an": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0, "five": 5.0,
    "six": 6.0, "seven": 7.0, "eight": 8.0, "nine": 9.0, "ten": 10.0, "eleven": 11.0,
    "twelve": 12.0, "fifteen": 15.0, "twenty": 20.0, "half": 0.5, "halb": 0.5, "quarter": 0.25,
    "third": 1 / 3, "fifth": 0.2, "dozen": 12.0, "single": 1.0, "double": 2.0, "triple": 3.0,
    "both": 2.0,
    "ein": 1.0, "eine": 1.0, "einen": 1.0, "einem": 1.0, "einer": 1.0, "zwei": 2.0, "drei": 3.0,
    "vier": 4.0, "funf": 5.0, "fuenf": 5.0, "sechs": 6.0, "halbe": 0.5, "halber": 0.5,
    "halben": 0.5, "halbes": 0.5, "un": 1.0, "une": 1.0, "deux": 2.0, "trois": 3.0,
    "quatre": 4.0, "cinq": 5.0, "demi": 0.5, "demie": 0.5, "una": 1.0, "uno": 1.0, "dos": 2.0,
    "tre": 3.0, "cuatro": 4.0, "cinco": 5.0, "medio": 0.5, "media": 0.5, "een": 1.0, "twee": 2.0,
    "drie": 3.0, "vijf": 5.0, "halve": 0.5, "anderthalb": 1.5, "anderhalve": 1.5, "eineinhalb": 1.5,
    "due": 2.0, "tres": 3.0, "trio": 3.0, "half a": 0.5,
}  # fmt: skip
VAGUE_COUNTS = {
    "couple": (2.0, 2.0, 2.5), "few": (3.0, 2.0, 4.0), "several": (4.0, 3.0, 6.0),
    "paar": (3.0, 2.0, 4.0), "par": (2.0, 2.0, 3.0), "pair": (2.0, 2.0, 2.0),
    "unos": (3.0, 2.0, 5.0), "einige": (4.0, 3.0, 6.0), "quelques": (4.0, 3.0, 6.0),
}  # fmt: skip
"""Number words that say about how many: the middle, and the ends."""


_OF_A_PACK = frozenset({"g", "gr", "gram", "grams", "ml", "mls"})
"""Behind two numbers these say that the first one counts packs: 3 100 g bars."""
_TENS = {
    "thirteen": 13.0, "fourteen": 14.0, "sixteen": 16.0, "seventeen": 17.0, "eighteen": 18.0,
    "nineteen": 19.0, "thirty": 30.0, "forty": 40.0, "fourty": 40.0, "fifty": 50.0,
    "sixty": 60.0, "seventy": 70.0, "eighty": 80.0, "ninety": 90.0, "twenty": 20.0,
}  # fmt: skip


def _spoken(cut: Sequence[Token], place: int) -> tuple[float, int]:
    """Read a number said in words from twenty on: two hundred and fifty, eighty five."""
    total, used = 0.0, 0
    while place + used < len(cut) and used < _LONGEST_SPOKEN:
        word = cut[place + used].text
        if word == "hundred" and used < 2:
            total, used = (total or 1.0) * 100, used + 1
        elif word in _TENS and total % 100 == 0:
            total, used = total + _TENS[word], used + 1
        elif word in COUNTS and COUNTS[word] >= 1 and word in _DIGITS and total % 10 == 0:
            total, used = total + COUNTS[word], used + 1
        elif word == "and" and total >= 100 and _is_spoken(cut, place + used + 1):
            used += 1
        else:
            break
    return total, used


def _is_spoken(cut: Sequence[Token], place: int) -> bool:
    return place < len(cut) and (cut[place].text in _TENS or cut[place].text in _DIGITS)


_LONGEST_SPOKEN, _LEAST_SPOKEN = 5, 13.0
"""Words of a number said in words, and the least that is read as one."""
_DIGITS = frozenset("one two three four five six seven eight nine a".split())  # noqa: SIM905


def _joined(cut: Sequence[Token]) -> list[Token]:
    """Put together what is one number: 1 1/2, 1 ½, 2-3, 1 420, one and a half."""
    found: list[Token] = []
    place = 0
    while place < len(cut):
        number, used = _number(cut, place)
        if number is None:
            found.append(cut[place])
            place += 1
            continue
        place += used
        found.append(number)
    return found


def _number(cut: Sequence[Token], place: int) -> tuple[Token | None, int]:
    first, used = _one_number(cut, place)
    if first is None:
        return None, 0
    coming = [t.text for t in cut[place + used : place + used + 3]]
    if coming[:1] in (["-"], ["to"], ["or"], ["bis"], ["a"]) and len(coming) > 1:
        second, more = _one_number(cut, place + used + 1)
        said = coming[0]
        if second is not None and second.value > first.value and said != "a":
            middle = (first.value + second.value) / 2
            return Token("number", f"{first.text}-{second.text}", middle, first.value,
                         second.value), used + 1 + more  # fmt: skip
    return first, used


def _one_number(cut: Sequence[Token], place: int) -> tuple[Token | None, int]:
    if place >= len(cut):
        return None, 0
    token = cut[place]
    following = cut[place + 1] if place + 1 < len(cut) else Token("mark", "")
    if token.kind == "number":
        if following.text == "%":
            return _percent_of(cut, place)
        return (None, 0) if token.value < 0 else _with_fraction(cut, place, token)
    if token.kind != "word":
        return None, 0
    total, spoken = _spoken(cut, place)
    if total >= _LEAST_SPOKEN:
        said = " ".join(t.text for t in cut[place : place + spoken])
        return Token("number", said, total, total, total), spoken
    return _number_word(cut, place, token, following)


def _number_word(
    cut: Sequence[Token], place: int, token: Token, following: Token
) -> tuple[Token | None, int]:
    """Read a number that is one word, or an article with one: a couple, half a, two."""
    if token.text in ("a", "an", "eine", "un", "une", "una", "een", "die", "the", "ein") and (
        following.text in VAGUE_COUNTS or following.text in ("half", "quarter", "third", "fifth",
                                                   "dozen", "couple", "halbe", "demi", "media")
    ):  # fmt: skip
        inner, used = _one_number(cut, place + 1)
        return (inner, used + 1) if inner is not None else (None, 0)
    if token.text in VAGUE_COUNTS:
        middle, low, high = VAGUE_COUNTS[token.text]
        return Token("number", token.text, middle, low, high), 1
    if token.text == "half" and following.text == "dozen":
        return Token("number", "half dozen", 6.0, 6.0, 6.0), 2
    if token.text in COUNTS:
        value = COUNTS[token.text]
        counted = Token("number", token.text, value, value, value)
        if value < 1:
            used = 2 if following.text in ("a", "an", "the", "of", "een", "eine") else 1
            return counted, used
        return _with_fraction(cut, place, counted)
    return None, 0


def _percent_of(cut: Sequence[Token], place: int) -> tuple[Token | None, int]:
    """Read 80 % of a lasagne as a fraction of it; 2 % milk is no amount."""
    token, behind = cut[place], cut[place + 2].text if place + 2 < len(cut) else ""
    if behind not in ("of", "de", "von", "van") or not 1 <= token.value < 100:
        return None, 0
    value = token.value / 100
    used = 3 if place + 3 < len(cut) and cut[place + 3].text in ("a", "an", "one") else 2
    return Token("number", f"{token.text}%", value, value, value), used + (used == 3)


def _with_fraction(cut: Sequence[Token], place: int, token: Token) -> tuple[Token, int]:
    texts = [t.text for t in cut[place + 1 : place + 4]]
    after = cut[place + 1] if place + 1 < len(cut) else None
    parts = {"thirds": 3, "quarters": 4, "fifths": 5}.get(texts[0] if texts else "", 0)
    if parts and 1 < token.value < parts:
        value = token.value / parts
        return Token("number", f"{token.text} {texts[0]}", value, value, value), 2
    if after is not None and after.kind == "number":
        if 0 < after.value < 1 and ("/" in after.text or after.text in GLYPHS):
            value = token.value + after.value
            return Token("number", f"{token.text} {after.text}", value, value, value), 2
        thousand = token.text.isdigit() and len(token.text) <= 2 and len(after.text) == 3
        thousand = thousand and (len(texts) < 2 or texts[1] not in _OF_A_PACK)
        if thousand and after.text.isdigit():
            value = float(token.text + after.text)
            return Token("number", token.text + after.text, value, value, value), 2
    joined = place + 2 < len(cut) and texts[0] in ("&", "and", "+")
    second = cut[place + 2] if joined else Token("mark", "")
    if 0 < second.value < 1 and ("/" in second.text or second.text in GLYPHS):
        value = token.value + second.value
        return Token("number", f"{token.text} {second.text}", value, value, value), 3
    for words, more in ((["and", "a", "half"], 0.5), (["and", "half"], 0.5),
                        (["and", "a", "quarter"], 0.25), (["y", "media"], 0.5),
                        (["et", "demi"], 0.5), (["et", "demie"], 0.5)):  # fmt: skip
        if texts[: len(words)] == words:
            value = token.value + more
            return Token("number", f"{token.text}½", value, value, value), 1 + len(words)
    return token, 1
