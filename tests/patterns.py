"""Every regular expression of the program, and texts made to trouble it."""

import ast
import re
import re._constants as code
import re._parser as parser
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGES = ("foods", "mealplan", "api")
CALLS = {"compile", "match", "search", "fullmatch", "sub", "subn", "split", "findall", "finditer"}


def written():
    """Give (module, line, pattern, flags) of every pattern that stands in the code as one text."""
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if (
                    isinstance(node, ast.Call)
                    and isinstance(node.func, ast.Attribute)
                    and isinstance(node.func.value, ast.Name)
                    and node.func.value.id == "re"
                    and node.func.attr in CALLS
                ):
                    yield module, node.lineno, _text(node.args[0]), _flags(node)


def _text(node):
    return node.value if isinstance(node, ast.Constant) else None


def _flags(call):
    names = [one.attr for one in ast.walk(call) if isinstance(one, ast.Attribute)]
    return sum(getattr(re, name) for name in set(names) if name.isupper() and hasattr(re, name))


def compiled(module):
    """Give the patterns that a module holds by name, those made of several texts included."""
    return {name: value for name, value in vars(module).items() if isinstance(value, re.Pattern)}


def attacks(pattern, flags=0):
    """
    Give (head, pump) pairs: what matches before a repetition, and one turn of it.

    A text of the head, many pumps and a sign that fits nothing makes a matcher try again.
    """
    binary = isinstance(pattern, bytes)
    tree = parser.parse(pattern.decode("latin-1") if binary else pattern, flags)
    found = set()
    _repeats(list(tree), "", found)
    found |= {("", head + pump) for head, pump in found}
    found |= {(head, pump * 2 + " ") for head, pump in found}
    return sorted((head, pump) for head, pump in found if pump)


def _repeats(items, head, found):
    for op, what in items:
        if op in (code.MAX_REPEAT, code.MIN_REPEAT, code.POSSESSIVE_REPEAT):
            _, high, body = what
            if high > 3:
                found |= {(head, one) for one in _samples(list(body))}
            _repeats(list(body), head, found)
        elif op is code.SUBPATTERN:
            _repeats(list(what[3]), head, found)
        elif op is code.BRANCH:
            for one in what[1]:
                _repeats(list(one), head, found)
        elif op in (code.ASSERT, code.ASSERT_NOT):
            _repeats(list(what[1]), head, found)
        elif op is code.ATOMIC_GROUP:
            _repeats(list(what), head, found)
        head += _sample([(op, what)])


def _samples(items):
    """Give a few texts that fit."""
    if len(items) == 1 and items[0][0] is code.IN:
        return {letter for letter in " aA1.,-'é" if _fits(items[0][1], letter)} | {_sample(items)}
    return {_sample(items)}


def _fits(items, letter):
    inside = "".join(_class(one) for one in items if one[0] is not code.NEGATE)
    negated = any(op is code.NEGATE for op, _ in items)
    return bool(re.match(f"[{'^' if negated else ''}{inside}]", letter)) if inside else False


def _class(item):
    op, what = item
    if op is code.LITERAL:
        return re.escape(chr(what))
    if op is code.RANGE:
        return f"{re.escape(chr(what[0]))}-{re.escape(chr(what[1]))}"
    return {
        code.CATEGORY_DIGIT: r"\d", code.CATEGORY_SPACE: r"\s", code.CATEGORY_WORD: r"\w",
        code.CATEGORY_NOT_WORD: r"\W", code.CATEGORY_NOT_SPACE: r"\S",
        code.CATEGORY_NOT_DIGIT: r"\D",
    }[what]  # fmt: skip


def _sample(items):
    """Give one text that fits."""
    return "".join(_one(op, what) for op, what in items)


def _one(op, what):
    if op is code.LITERAL:
        return chr(what)
    if op is code.NOT_LITERAL:
        return "a" if chr(what) != "a" else "b"
    if op is code.ANY:
        return "a"
    if op is code.IN:
        return next((letter for letter in "a 1.,-AxZ('é\n" if _fits(what, letter)), "")
    if op in (code.MAX_REPEAT, code.MIN_REPEAT, code.POSSESSIVE_REPEAT):
        return _sample(list(what[2])) * max(what[0], 1 if what[1] else 0)
    if op is code.SUBPATTERN:
        return _sample(list(what[3]))
    if op is code.BRANCH:
        return _sample(list(what[1][0]))
    if op is code.ATOMIC_GROUP:
        return _sample(list(what))
    return ""
