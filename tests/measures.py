"""
Measure the house: sizes, complexity, rooms, duplicates and docstrings.

``python -m tests.measures`` from the top folder prints a table; ``tests/test_measures.py`` holds
what must stay so.
"""

from __future__ import annotations

import ast
import hashlib
import io
import re
import sys
import tokenize
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import median, quantiles

import docstring_parser

ROOT = Path(__file__).parent.parent
PACKAGES = ("foods", "mealplan", "api")
WITH_UNITS = ("physiology", "nutrition", "targets", "lp")
"""Rooms of ``mealplan`` whose numbers must have units, beside ``foods``."""
DUPLICATE_LINES = 10
BRANCHES = (ast.If, ast.For, ast.AsyncFor, ast.While, ast.ExceptHandler, ast.match_case)
FUNCTION = (ast.FunctionDef, ast.AsyncFunctionDef)
NUMBER = re.compile(r"\b(float|int|Floats|Ints|NDArray|ndarray|Number)\b")
COUNTED = re.compile(r"\b(int|Ints)\b")
UNIT = re.compile(r"\[[^\]]+\]|\(\w+(, \w+)*,?\)|fraction|share|number of|how many|index", re.I)
NAMED_UNIT = re.compile(
    r"_(k?g|mg|ug|m|cm|mm|ml|l|kcal|kj|mj|w|min|s|h|days?|weeks?|years|percent|fraction|per_\w+)$"
    r"|^(minutes|hours|days|weeks|portions|met)$"
)
"""Names that end in their unit say it."""


@dataclass(frozen=True)
class Module:
    """One module as text and tree."""

    path: Path
    text: str
    tree: ast.Module

    @property
    def name(self) -> str:
        """Path below the top folder."""
        return self.path.relative_to(ROOT).as_posix()

    @property
    def lines(self) -> int:
        """Count every line."""
        return self.text.count("\n")


def modules() -> list[Module]:
    """Read every module of the packages; migrations, which stay as they were, aside."""
    found = []
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            if "versions" not in path.parts:
                text = path.read_text(encoding="utf-8")
                found.append(Module(path, text, ast.parse(text)))
    return found


def functions(module: Module) -> Iterator[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    """Give every function and method with the names around it."""

    def inside(node: ast.AST, prefix: str) -> Iterator[tuple[str, ast.FunctionDef]]:
        for part in ast.iter_child_nodes(node):
            if isinstance(part, (*FUNCTION, ast.ClassDef)):
                name = f"{prefix}{part.name}"
                if isinstance(part, FUNCTION):
                    yield name, part
                yield from inside(part, name + ".")
            else:
                yield from inside(part, prefix)

    yield from inside(module.tree, "")


def length(function: ast.AST) -> int:
    """Count the lines of a function, its docstring aside."""
    body = function.body
    doc = body[0] if ast.get_docstring(function) is not None else None
    return (
        function.end_lineno
        - function.lineno
        + 1
        - (0 if doc is None else doc.end_lineno - doc.lineno + 1)
    )


def complexity(function: ast.AST) -> int:
    """Count the ways through a function (McCabe): statements that branch, and one."""
    return 1 + sum(isinstance(node, BRANCHES) for node in ast.walk(function))


def rooms() -> set[str]:
    """Name the rooms: folders and modules that stand directly in a package."""
    found = set()
    for package in PACKAGES:
        for path in (ROOT / package).iterdir():
            if path.is_dir() and (path / "__init__.py").exists():
                found.add(f"{package}.{path.name}")
            elif path.suffix == ".py" and path.stem != "__init__":
                found.add(f"{package}.{path.stem}")
    return found


def code_lines(module: Module) -> list[tuple[int, str]]:
    """Give a module's lines that say something, numbered: no comments, docstrings, imports."""
    skipped: set[int] = set()
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import | ast.ImportFrom) or (
            isinstance(node, ast.Expr)
            and isinstance(node.value, ast.Constant)
            and isinstance(node.value.value, str)
        ):
            skipped |= set(range(node.lineno, node.end_lineno + 1))
    for token in tokenize.generate_tokens(io.StringIO(module.text).readline):
        if token.type == tokenize.COMMENT and token.line.strip().startswith("#"):
            skipped.add(token.start[0])
    return [
        (number, line.strip())
        for number, line in enumerate(module.text.splitlines(), 1)
        if number not in skipped and len(line.strip()) > 1
    ]


def duplicates(found: list[Module]) -> list[tuple[str, str]]:
    """Find runs of ten lines or more that stand twice to the letter, each pair of places once."""
    places: dict[bytes, list[tuple[str, int, int]]] = defaultdict(list)
    for module in found:
        lines = code_lines(module)
        for at in range(len(lines) - DUPLICATE_LINES + 1):
            run = lines[at : at + DUPLICATE_LINES]
            key = hashlib.sha256("\n".join(line for _, line in run).encode()).digest()
            places[key].append((module.name, at, run[0][0]))
    pairs, seen = [], set()
    for here in places.values():
        for one, (name, at, line) in enumerate(here):
            for other, other_at, other_line in here[one + 1 :]:
                if (name, at - 1, other, other_at - 1) not in seen:
                    pairs.append((f"{name}:{line}", f"{other}:{other_line}"))
                seen.add((name, at, other, other_at))
    return pairs


def parameters(module: Module) -> Iterator[tuple[str, str, bool, bool | None]]:
    """
    Give each parameter of a public function: where, which, described, and whether with a unit.

    The unit is None where the parameter is no number. What the framework hands to a route is told
    of where it is declared.
    """
    for name, function in functions(module):
        if any(part.startswith("_") for part in name.split(".")):
            continue
        if any("router." in ast.unparse(one) for one in function.decorator_list):
            continue
        text = ast.get_docstring(function)
        if text is None:
            continue
        told: dict[str, str] = {}
        for param in docstring_parser.parse(text, docstring_parser.DocstringStyle.NUMPYDOC).params:
            for one in param.arg_name.split(","):
                told[one.strip().lstrip("*")] = f"{param.type_name or ''} {param.description or ''}"
        arguments = function.args
        for argument in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs):
            if argument.arg in ("self", "cls"):
                continue
            kind = ast.unparse(argument.annotation) if argument.annotation else ""
            said = told.get(argument.arg)
            number = bool(NUMBER.search(kind)) and not COUNTED.search(kind)
            with_unit = None
            if number:
                with_unit = bool(NAMED_UNIT.search(argument.arg) or UNIT.search(said or ""))
            yield f"{module.name}:{name}", argument.arg, said is not None, with_unit


def room_of(module: Module) -> str:
    """Name the package, or the room where numbers must have units."""
    package, room, *_ = module.path.relative_to(ROOT).parts
    return f"{package}.{room}" if package == "mealplan" and room in WITH_UNITS else package


def without(said: list[bool]) -> float:
    """Give the share that lacks something."""
    return 1 - sum(said) / len(said)


def report(found: list[Module]) -> Iterator[str]:
    """Write the table."""
    lines = [module.lines for module in found]
    yield f"lines {sum(lines):,} in {len(found)} modules; rooms {len(rooms())}"
    p90 = quantiles(lines, n=10)[-1]
    yield f"module lines: median {median(lines):.0f}, p90 {p90:.0f}, max {max(lines)}"
    yield from (f"  over 500: {one.name} {one.lines}" for one in found if one.lines > 500)
    every = [(f"{m.name}:{name}", f) for m in found for name, f in functions(m)]
    long = [(where, length(f)) for where, f in every if length(f) > 60]
    yield f"functions over 60 lines (docstrings aside): {len(long)} of {len(every):,}"
    yield from (f"  {where} {size}" for where, size in long)
    knotted = [(where, complexity(f)) for where, f in every if complexity(f) > 10]
    yield (
        f"complexity over 10: {len(knotted)} = {len(knotted) / len(every):.1%}; "
        f"over 20: {sum(ways > 20 for _, ways in knotted)}"
    )
    yield from (f"  {where} {ways}" for where, ways in knotted)
    pairs = duplicates(found)
    yield f"runs of {DUPLICATE_LINES} lines that stand twice: {len(pairs)}"
    yield from (f"  {one} ~ {other}" for one, other in pairs)
    told: dict[str, list[bool]] = defaultdict(list)
    units: dict[str, list[bool]] = defaultdict(list)
    for module in found:
        for _, _, described, with_unit in parameters(module):
            told[module.path.relative_to(ROOT).parts[0]].append(described)
            if with_unit is not None:
                units[room_of(module)].append(with_unit)
    for package, said in told.items():
        yield f"parameters not described, {package}: {without(said):.1%} of {len(said)}"
    for room, said in units.items():
        yield f"numbers without unit, {room}: {without(said):.1%} of {len(said)}"


if __name__ == "__main__":
    sys.stdout.write("\n".join(report(modules())) + "\n")
