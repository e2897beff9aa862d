"""
Count parameters of public functions without a description, and numeric ones without a unit.

Run it as ``python -m tests.studies.parameters``; it prints a line a package and names what is
missing with ``--list``.
"""

from __future__ import annotations

import ast
import re
import sys
from pathlib import Path

import docstring_parser

ROOT = Path(__file__).parent.parent.parent
PACKAGES = ("mealplan", "foods", "api")
ROOMS_WITH_UNITS = (
    "mealplan/physiology",
    "mealplan/nutrition",
    "mealplan/targets",
    "foods",
    "mealplan/lp",
)
NUMERIC = re.compile(r"^(float|int|np\.ndarray|NDArray|Sequence\[float\])")


def parameters(path: Path):
    """Give (function, parameter, annotation, description) of each public function's parameters."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in tree.body:
        holders = [node] if not isinstance(node, ast.ClassDef) else node.body
        for function in holders:
            if not isinstance(function, ast.FunctionDef) or function.name.startswith("_"):
                continue
            said = docstring_parser.parse(
                ast.get_docstring(function) or "", docstring_parser.Style.NUMPYDOC
            )
            about = {
                name.strip().lstrip("*"): one.description or ""
                for one in said.params
                for name in one.arg_name.split(",")
            }
            everything = function.args.posonlyargs + function.args.args + function.args.kwonlyargs
            short = said.short_description or ""
            for one in everything:
                if one.arg in ("self", "cls"):
                    continue
                kind = ast.unparse(one.annotation) if one.annotation else ""
                yield function.name, one.arg, kind, about.get(one.arg, ""), short


def main(listed: bool) -> None:
    """Print the shares."""
    for package in PACKAGES:
        total = missing = 0
        for path in sorted((ROOT / package).rglob("*.py")):
            routes = package == "api" and "@router" in path.read_text(encoding="utf-8")
            if routes:
                continue  # a route's parameters are what the framework hands it
            for function, name, _, about, short in parameters(path):
                total += 1
                if not about and name not in short:
                    missing += 1
                    if listed:
                        print(f"  {path.relative_to(ROOT)} {function} {name}")
        print(f"{package}: {missing} of {total} without a description ({missing / total:.1%})")
    for room in ROOMS_WITH_UNITS:
        total = missing = 0
        for path in sorted((ROOT / room).rglob("*.py")):
            for function, name, kind, about, short in parameters(path):
                if not NUMERIC.match(kind):
                    continue
                total += 1
                if "[" not in f"{about}{short}":
                    missing += 1
                    if listed:
                        print(f"  {path.relative_to(ROOT)} {function} {name}: no unit")
        print(f"{room}: {missing} of {total} numeric ones without a unit ({missing / total:.1%})")


if __name__ == "__main__":
    main("--list" in sys.argv)
