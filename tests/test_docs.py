"""The documents say what is there: files, modules, commands, libraries."""

import ast
import re
import sys
import tomllib
from pathlib import Path

import pytest

from mealplan.cli.main import _parser

ROOT = Path(__file__).parent.parent
DOCUMENTS = ("README.md", "DEVELOPERS.md", "CHANGELOG.md")
PACKAGES = ("foods", "mealplan", "api")


def text(name):
    return (ROOT / name).read_text(encoding="utf-8")


def blocks(name):
    """Give the code blocks of a document."""
    return [block.strip() for block in re.findall(r"```\w*\n(.*?)```", text(name), re.DOTALL)]


def project():
    return tomllib.loads(text("pyproject.toml"))["project"]


def requirements():
    """Give the names of every library the project asks for, by group."""
    metadata = project()
    groups = {"": metadata["dependencies"], **metadata["optional-dependencies"]}
    return {
        group: {re.split(r"[<>=!~\[; ]", line, maxsplit=1)[0].lower() for line in lines}
        for group, lines in groups.items()
    }


def test_the_readme_opens_with_the_job_then_two_commands():
    opening, rest = text("README.md").split("## Two commands", 1)
    title, paragraph = opening.strip().split("\n\n")
    assert title == "# mealplan"
    assert len(paragraph) > 200
    run_job, run_tests, *_ = blocks("README.md")
    assert rest.index(run_job) < rest.index(run_tests)
    assert run_job.endswith(".venv/bin/mealplan demo")
    assert run_tests.endswith(".venv/bin/python -m pytest")
    for command in (run_job, run_tests):
        assert command.startswith("python3 -m venv .venv && .venv/bin/python -m pip install")
        assert "\n" not in command


def test_the_checks_run_the_commands_exactly_as_the_readme_gives_them():
    lines = text(".ci/run").splitlines()
    run_job, run_tests, *_ = blocks("README.md")
    assert run_job in lines
    assert run_tests in lines


def test_the_readme_names_the_supported_pythons():
    assert project()["requires-python"] == ">=3.11,<3.14"
    assert "3.11, 3.12 or 3.13" in text("README.md")


def paths_named(name):
    """Give what a document puts in backticks or links that looks like a file of the project."""
    words = re.findall(r"`([^`\n]+)`", re.sub(r"```.*?```", "", text(name), flags=re.DOTALL))
    links = re.findall(r"\]\(([^)#]+)\)", text(name))
    for word in (*words, *links):
        if re.fullmatch(r"[\w./-]+", word) and (
            "/" in word or re.search(r"\.(md|toml|csv|py)$", word)
        ):
            yield word


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_file_a_document_names_exists(name):
    ignored = {".venv/bin/", "rower.json"}
    missing = sorted(
        word for word in set(paths_named(name)) - ignored if not (ROOT / word).exists()
    )
    assert missing == []


def modules():
    return [
        path.relative_to(ROOT).as_posix()
        for package in PACKAGES
        for path in sorted((ROOT / package).rglob("*.py"))
    ]


@pytest.mark.parametrize("module", modules())
def test_every_module_says_what_belongs_in_it(module):
    assert ast.get_docstring(ast.parse(text(module)))


def test_every_library_has_its_reason_and_no_reason_is_left_over():
    table = text("DEVELOPERS.md").split("## Libraries", 1)[1].split("\n## ", 1)[0]
    explained = set(re.findall(r"^\| ([a-z][a-z0-9.-]*) \| ", table, re.MULTILINE)) - {"library"}
    assert explained == set().union(*requirements().values())


BROUGHT_BY = {
    "starlette": "fastapi",
    "markupsafe": "jinja2",
    "argon2": "argon2_cffi",
    "fhir": "fhir.resources",
}
"""Import names that differ from the name to install, or come with another library."""


def test_every_library_imported_is_asked_for():
    asked = {name.replace("-", "_") for name in requirements()[""]}
    wanted = set()
    for module in modules():
        for node in ast.walk(ast.parse(text(module))):
            if isinstance(node, ast.Import):
                wanted |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                wanted.add(node.module.split(".")[0])
    outside = wanted - set(sys.stdlib_module_names) - set(PACKAGES)
    assert sorted(name for name in outside if BROUGHT_BY.get(name, name) not in asked) == []


def typed_commands(name):
    """Give every `mealplan ...` command a document shows."""
    for block in (*blocks(name), *re.findall(r"`(mealplan [^`]+)`", text(name))):
        for line in block.splitlines():
            found = re.search(r"(?:^|&& |/)mealplan ([a-z].*)", line.split("#")[0].strip())
            if found:
                yield found[1].split()


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_command_a_document_shows_can_be_typed(name):
    for words in typed_commands(name):
        plain = [word for word in words if word != ">" and word.lower() != "words"]
        arguments = plain[: words.index(">")] if ">" in words else words
        assert _parser().parse_args(arguments).command == words[0]


def test_the_readme_shows_commands():
    shown = {words[0] for words in typed_commands("README.md")}
    assert shown >= {"demo", "example", "targets", "plan", "serve", "schema"}


def test_the_changelog_keeps_changed_numbers_apart():
    sections = re.findall(r"^### (.+)$", text("CHANGELOG.md"), re.MULTILINE)
    assert sections[:4] == ["Added", "Changed", "Fixed", "Numbers that changed"]
    assert "## Unreleased" in text("CHANGELOG.md")


def test_every_marker_is_explained_where_one_test_is_run():
    options = tomllib.loads(text("pyproject.toml"))["tool"]["pytest"]["ini_options"]
    for marker in options["markers"]:
        assert f"-m {marker.split(':')[0]}" in text("DEVELOPERS.md")


PROVENANCE = {
    "published",
    "confirmed by independent transcription",
    "worked by hand",
    "common practice",
    "from memory",
    "regression",
}


def test_the_provenance_words_are_explained():
    assert (
        set(re.findall(r"^\| `([a-z ]+)` \| ", text("DEVELOPERS.md"), re.MULTILINE)) == PROVENANCE
    )


@pytest.mark.parametrize(
    "path",
    sorted((ROOT / "tests").rglob("test_*.py")),
    ids=lambda path: path.relative_to(ROOT).as_posix(),
)
def test_sources_in_the_tests_use_the_provenance_words(path):
    comments = re.findall(
        r"^\s*# source: (.+(?:\n\s*# .+)*)$", path.read_text(encoding="utf-8"), re.MULTILINE
    )
    # A table may carry the word row by row instead; then the comment says which table.
    allowed = (*PROVENANCE, "provenance", "row", ".csv", "in the file")
    vague = [comment for comment in comments if not any(word in comment for word in allowed)]
    assert vague == []
