"""Every public function and class is reached by a command, page, interface, job, demo or build."""

import ast
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGES = ("foods", "mealplan", "api")

ENTRANCES = {
    ("mealplan.cli.main", "main"),
    ("api.app.serve", "run"),
    ("api.app.work", "open_store"),
    ("api.app.work", "work"),
    ("api.app.deploy", "printed"),
    ("api.app.overnight", "plan_roster"),
    ("foods.release.build", "main"),
    ("mealplan.demo.life", "main"),
    ("foods.dishes.__main__", "main"),
}
"""Where the outside comes in; the public names of `foods` and `mealplan` are others."""

WAITING = {
    "mealplan.checkin": "plain estimates kept beside the filter: the studies' second look",
}
"""Modules that nothing reaches yet, with what will wire them."""


def _modules():
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            yield name.removesuffix(".__init__"), ast.parse(path.read_text(encoding="utf-8"))


MODULES = dict(_modules())
DEFINITION = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)


def _names(node):
    """Give the names a piece of code uses: plain ones, and dotted ones as (first, rest)."""
    for part in ast.walk(node):
        if isinstance(part, ast.Name):
            yield part.id
        elif isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name):
            yield f"{part.value.id}.{part.attr}"
        elif (
            isinstance(part, ast.Constant)
            and isinstance(part.value, str)
            and part.value.isidentifier()
        ):
            yield part.value  # annotations written as text


def _imports(tree):
    """Map each local name to what it stands for: (module, name), or (module, None)."""
    found = {}
    for part in ast.walk(tree):
        if isinstance(part, ast.ImportFrom) and part.module:
            for alias in part.names:
                inner = f"{part.module}.{alias.name}"
                meant = (inner, None) if inner in MODULES else (part.module, alias.name)
                found[alias.asname or alias.name] = meant
        elif isinstance(part, ast.Import):
            for alias in part.names:
                if alias.asname:
                    found[alias.asname] = (alias.name, None)
    return found


class House:
    """What each top-level definition uses, and what a module does when it is imported."""

    def __init__(self):
        self.uses = defaultdict(set)
        self.public = set()
        for module, tree in MODULES.items():
            imports = _imports(tree)
            own = {part.name for part in tree.body if isinstance(part, DEFINITION)}
            for part in tree.body:
                node = (module, "")
                if isinstance(part, DEFINITION):
                    node = (module, part.name)
                    if not part.name.startswith("_"):
                        self.public.add(node)
                    if part.decorator_list and not isinstance(part, ast.ClassDef):
                        # a route, a fixture of the framework: reached when its module is
                        for decorator in part.decorator_list:
                            text = ast.unparse(decorator)
                            if text.startswith("equation("):  # listed by its mark
                                self.uses[("mealplan.method.entries", "equations")].add(node)
                            elif "router" in text or "app." in text or "event" in text:
                                self.uses[(module, "")].add(node)
                elif isinstance(part, ast.ImportFrom | ast.Import):
                    continue
                self.uses[node] |= set(self._meant(part, module, own, imports))
            for meant, _ in imports.values():
                if meant in MODULES:
                    self.uses[(module, "")].add((meant, ""))

    @staticmethod
    def _meant(part, module, own, imports):
        for name in _names(part):
            first, _, rest = name.partition(".")
            if first in own:
                yield (module, first)
            elif first in imports:
                where, what = imports[first]
                if what is not None:
                    yield (where, what)
                elif rest:
                    yield (where, rest)
                yield (where, "")
        if isinstance(part, DEFINITION):
            # importing inside a function runs the module
            for inner in ast.walk(part):
                if isinstance(inner, ast.ImportFrom) and inner.module in MODULES:
                    yield (inner.module, "")

    def reached(self, entrances):
        """Follow uses from the entrances."""
        open_, seen = list(entrances), set()
        while open_:
            node = open_.pop()
            if node in seen:
                continue
            seen.add(node)
            if node[1]:
                open_.append((node[0], ""))
            open_.extend(self.uses[node] - seen)
        return seen


def _entrances():
    for package in ("foods", "mealplan"):
        tree = MODULES[package]
        homes = next(
            ast.literal_eval(part.value)
            for part in tree.body
            if isinstance(part, ast.Assign) and ast.unparse(part.targets[0]) == "_HOMES"
        )
        yield from ((home, name) for name, home in homes.items())
    yield from ENTRANCES
    for module in MODULES:
        if ".migrations." in module:  # found by file
            yield from ((module, name) for name in ("", "upgrade"))
    yield from (
        ("api.security.accounts", name)
        for name in ("accounts", "add_coach", "change_password", "remove_coach")
    )


HOUSE = House()
REACHED = HOUSE.reached(_entrances())


def test_there_is_something_to_reach():
    assert len(HOUSE.public) > 500
    assert ("mealplan.menu.verify", "verify_plan") in REACHED


def test_every_public_function_and_class_is_reached():
    lost = defaultdict(list)
    for module, name in sorted(HOUSE.public - REACHED):
        if not any(module.startswith(waiting) for waiting in WAITING):
            lost[module].append(name)
    assert dict(lost) == {}


def test_nothing_waits_that_is_reached_already():
    still = {module for module, _ in HOUSE.public - REACHED}
    assert [one for one in WAITING if not any(module.startswith(one) for module in still)] == []


def test_a_class_name_means_one_thing():
    homes = defaultdict(list)
    for module, tree in MODULES.items():
        for part in tree.body:
            if isinstance(part, ast.ClassDef) and not part.name.startswith("_"):
                homes[part.name].append(module)
    assert {name: found for name, found in homes.items() if len(found) > 1} == {}
