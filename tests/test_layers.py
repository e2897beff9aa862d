"""Imports point one way, and what touches the outside world is named here."""

import ast
import functools
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGES = ("foods", "mealplan", "api")


def house():
    """Read the picture of the house in DEVELOPERS.md: (package, rooms) a floor, lowest first."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    picture = text.split("## The house", 1)[1].split("```", 2)[1]
    floors = [line.split() for line in picture.splitlines() if line.strip()]
    return [(package, rooms) for package, *rooms in reversed(floors)]


RANK = {
    f"{package}.{room}": rank for rank, (package, rooms) in enumerate(house()) for room in rooms
}
"""Each room's floor, counted from the lowest."""


def modules():
    """Give every module's dotted name and file."""
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            yield ".".join(path.relative_to(ROOT).with_suffix("").parts), path


MODULES = dict(modules())


@functools.cache
def parsed(path):
    """Read a file as a tree, once."""
    return ast.parse(path.read_text(encoding="utf-8"))


def runtime_nodes(tree):
    """Walk a module without what only the type checker reads."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            continue
        yield node
        yield from runtime_nodes(node)


def imported(path):
    """Give the dotted names a module imports, relative ones refused elsewhere."""
    for node in runtime_nodes(parsed(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield inner if inner in MODULES or f"{inner}.__init__" in MODULES else node.module


IMPORTS = {name: set(imported(path)) for name, path in MODULES.items()}


def bound(path):
    """Give the names a module binds; None where it answers for names on request."""
    names, left = set(), list(parsed(path).body)
    while left:
        node = left.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            names.add(node.name)
        elif isinstance(node, ast.Import | ast.ImportFrom):
            names |= {alias.asname or alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.Name):
            names |= {node.id} if isinstance(node.ctx, ast.Store) else set()
        else:
            left += ast.iter_child_nodes(node)
    return None if "__getattr__" in names else names


def test_what_is_imported_of_our_own_is_there():
    names = {name.removesuffix(".__init__"): bound(path) for name, path in MODULES.items()}
    missing = []
    for path in (*MODULES.values(), *sorted((ROOT / "tests").rglob("*.py"))):
        nodes, called = list(ast.walk(parsed(path))), {}
        for node in nodes:
            if isinstance(node, ast.Import):
                asked = [(alias.name, None, alias) for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and not node.level:
                asked = [(node.module, alias.name, alias) for alias in node.names]
            else:
                continue
            for module, name, alias in asked:
                if module.split(".")[0] not in PACKAGES:
                    continue
                whole = module if name is None else f"{module}.{name}"
                if whole in names:
                    called[alias.asname or name or module] = names[whole]
                elif module not in names or (
                    names[module] is not None and name not in names[module]
                ):
                    missing.append(f"{path.relative_to(ROOT)}: {whole}")
        for node in nodes if called else ():
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                known = called.get(node.value.id)
                if known is not None and not node.attr.startswith("__") and node.attr not in known:
                    missing.append(f"{path.relative_to(ROOT)}: {node.value.id}.{node.attr}")
    assert missing == []


def importers(library):
    """Give the modules that import a library."""
    return {
        name.removesuffix(".__init__")
        for name, found in IMPORTS.items()
        if any(one.split(".")[0] == library for one in found)
    }


def test_there_is_something_to_check():
    assert len(MODULES) > 60
    assert "mealplan.menu.week" in IMPORTS["mealplan.cli.planning"]


@pytest.mark.parametrize(
    ("package", "above"), [("foods", {"mealplan", "api"}), ("mealplan", {"api"})]
)
def test_a_package_imports_none_above_it(package, above):
    wrong = {
        name: one
        for name, found in IMPORTS.items()
        if name.startswith(f"{package}.")
        for one in found
        if one.split(".")[0] in above
    }
    assert wrong == {}


def room(module):
    """Give the room a module is in: a folder or a module standing directly in its package."""
    return ".".join(module.split(".")[:2])


ROOMS = {room(name) for name in MODULES} - {f"{package}.__init__" for package in PACKAGES}


def test_the_picture_of_the_house_shows_every_room_once():
    shown = [f"{package}.{one}" for package, rooms in house() for one in rooms]
    assert sorted(shown) == sorted(ROOMS)


def test_imports_point_down_the_house():
    wrong = [
        f"{name} imports {one}"
        for name, found in IMPORTS.items()
        if room(name) in ROOMS
        for one in found
        if room(one) in ROOMS - {room(name)} and RANK[room(one)] >= RANK[room(name)]
    ]
    assert wrong == []


def test_no_two_rooms_use_each_other():
    graph = {}
    for name, found in IMPORTS.items():
        if room(name) in ROOMS:
            used = {room(one) for one in found} & ROOMS
            graph.setdefault(room(name), set()).update(used - {room(name)})
    assert set(TopologicalSorter(graph).static_order()) == ROOMS


def test_no_module_imports_itself_round_a_corner():
    def plain(name):
        return f"{name}.__init__" if f"{name}.__init__" in MODULES else name

    graph = {
        name: {plain(one) for one in found if plain(one) in MODULES} - {name}
        for name, found in IMPORTS.items()
    }
    order = list(TopologicalSorter(graph).static_order())
    assert set(order) >= set(MODULES)


@pytest.mark.parametrize(
    ("library", "only"),
    [
        ("pulp", {"mealplan.lp.solver"}),
        ("highspy", {"mealplan.lp.warm_start"}),
        ("dbos", {"mealplan.jobs.durable", "mealplan.jobs.worker"}),
        ("scipy", set()),
        ("statsmodels", set()),
    ],
)
def test_a_solver_library_has_one_door(library, only):
    assert importers(library) == only


@pytest.mark.parametrize("library", ["fastapi", "starlette", "uvicorn"])
def test_only_the_service_knows_the_web(library):
    assert all(name.split(".")[0] == "api" for name in importers(library))


@pytest.mark.parametrize("library", ["sqlalchemy", "alembic"])
def test_only_the_store_knows_the_database(library):
    assert all(name.startswith("mealplan.store") for name in importers(library))


def test_only_the_food_table_knows_data_frames():
    assert all(name.startswith("foods") for name in importers("pandas"))


def test_the_service_is_named_in_one_place_of_the_domain():
    naming = [
        name
        for name, path in MODULES.items()
        if not name.startswith("api") and '"api.' in path.read_text(encoding="utf-8")
    ]
    assert naming == ["mealplan.cli.service"]


OUTSIDE = {"today", "now", "utcnow", "uuid4", "urandom"}
"""Last words of calls that ask the clock or chance."""


def calls(path):
    """Give what a module calls, as written."""
    for node in runtime_nodes(parsed(path)):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func), node


def test_clock_and_chance_come_into_the_domain_from_outside():
    wrong = []
    for name, path in MODULES.items():
        if name.startswith(("api", "mealplan.cli", "mealplan.jobs", "mealplan.store")):
            continue
        for called, node in calls(path):
            *owner, last = called.split(".")
            unseeded = last == "default_rng" and not node.args
            if unseeded or (owner and (last in OUTSIDE or owner[0] in ("time", "random"))):
                wrong.append(f"{name}: {called}()")
    assert wrong == []
