"""What a command must load before it can answer."""

import subprocess
import sys

import pytest

from mealplan.demo.folders import demo_intake_text


def loaded(*arguments):
    """Run a command in a process of its own and give the names of the modules it loaded."""
    script = (
        "import sys\nfrom mealplan.cli.main import main\n"
        f"try:\n    main({list(arguments)!r})\nexcept SystemExit:\n    pass\n"
        "print('loaded:', *sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=120
    )
    return set(done.stdout.split("loaded:", 1)[1].split())


def test_help_loads_no_library_of_models_arrays_or_tables():
    modules = loaded("--help")
    assert "mealplan.cli.main" in modules
    assert modules.isdisjoint({"pydantic", "numpy", "pandas", "pulp", "highspy", "sqlalchemy"})


@pytest.mark.parametrize("library", ["numpy", "pandas", "pulp", "highspy", "sqlalchemy"])
def test_targets_load_no_library_they_do_not_need(library, tmp_path):
    intake = tmp_path / "intake.json"
    intake.write_text(demo_intake_text("club-lifter"), encoding="utf-8")
    modules = loaded("targets", str(intake))
    assert "mealplan.targets.make" in modules
    assert library not in modules
