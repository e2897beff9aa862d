"""Imports point one way, and what touches the outside world is named here."""

import ast
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGES = ("foods", "mealplan", "api")

LAYERS = (
    ("errors", "units", "quantity", "references", "intake_faults"),
    ("physiology", "nutrition", "foodspace", "uncertainty", "measures", "food_safety", "boiling"),
    ("household", "own"),
    ("intake",),
    ("ranges", "body", "plan", "avoided"),
    ("energy_target", "day_ranges", "safety"),
    ("targets",),
    ("rules", "occasions", "report", "verify", "season"),
    ("lp",),
    ("tastes", "offers", "shop"),
    ("planner", "polish", "regenerate"),
    (
        "shopping",
        "cook",
        "batch",
        "prices",
        "drawing",
        "trend_drawing",
        "hiding",
        "review_drawing",
        "review_text",
        "text",
        "printout",
        "checkin",
    ),
    ("store",),
    ("demo", "demo_history", "demo_life"),
    ("cli", "cli_review", "cli_service", "__main__"),
)
"""Parts of mealplan, lowest first: each may import its own layer and those before it."""

RANK = {part: rank for rank, layer in enumerate(LAYERS) for part in layer}


def modules():
    """Give every module's dotted name and file."""
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            yield ".".join(path.relative_to(ROOT).with_suffix("").parts), path


MODULES = dict(modules())


def runtime_nodes(tree):
    """Walk a module without what only the type checker reads."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            continue
        yield node
        yield from runtime_nodes(node)


def imported(path):
    """Give the dotted names a module imports, relative ones refused elsewhere."""
    for node in runtime_nodes(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield inner if inner in MODULES or f"{inner}.__init__" in MODULES else node.module


IMPORTS = {name: set(imported(path)) for name, path in MODULES.items()}


def importers(library):
    """Give the modules that import a library."""
    return {
        name.removesuffix(".__init__")
        for name, found in IMPORTS.items()
        if any(one.split(".")[0] == library for one in found)
    }


def test_there_is_something_to_check():
    assert len(MODULES) > 60
    assert "mealplan.planner" in IMPORTS["mealplan.cli"]


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


def test_every_part_of_the_domain_has_its_layer():
    parts = {name.split(".")[1] for name in MODULES if name.startswith("mealplan.")}
    assert sorted(parts - {"__init__"} - set(RANK)) == []


def test_inside_the_domain_imports_point_down():
    wrong = [
        f"{name} imports {one}"
        for name, found in IMPORTS.items()
        if name.startswith("mealplan.") and name != "mealplan.__init__"
        for one in found
        if one.startswith("mealplan.") and RANK[one.split(".")[1]] > RANK[name.split(".")[1]]
    ]
    assert wrong == []


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
        ("highspy", {"mealplan.lp.hot"}),
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
    assert naming in (["mealplan.cli"], ["mealplan.cli_service"])


OUTSIDE = {"today", "now", "utcnow", "uuid4", "urandom"}
"""Last words of calls that ask the clock or chance."""


def calls(path):
    """Give what a module calls, as written."""
    for node in runtime_nodes(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func), node


def test_clock_and_chance_come_into_the_domain_from_outside():
    wrong = []
    for name, path in MODULES.items():
        if name.startswith(("api", "mealplan.cli", "mealplan.store")):
            continue
        for called, node in calls(path):
            *owner, last = called.split(".")
            unseeded = last == "default_rng" and not node.args
            if unseeded or (owner and (last in OUTSIDE or owner[0] in ("time", "random"))):
                wrong.append(f"{name}: {called}()")
    assert wrong == []
