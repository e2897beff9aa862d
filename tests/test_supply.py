"""The lock, the bill of materials and the licences speak of the same libraries."""

import csv
import json
import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
LOCK = ROOT / ".lock"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
PERMISSIVE = {
    "MIT", "MIT License", "MIT-0", "BSD License", "BSD-2-Clause", "BSD-3-Clause", "0BSD", "ISC",
    "Apache-2.0", "Apache Software License", "Apache License, Version 2.0",
    "PSF-2.0", "Zlib", "CC0-1.0", "LGPL-3.0-only", "MPL-2.0",
}  # fmt: skip
"""Licences under which a library may be used beside a program of another one."""


def locked(name):
    """Give each library of a lock with its versions; several where Python's own version decides."""
    text = (LOCK / name).read_text(encoding="utf-8").replace("\\\n", " ")
    found = {}
    for line in text.splitlines():
        head, *hashes = line.split("--hash=")
        library, _, version = head.partition(";")[0].strip().partition("==")
        found.setdefault(canonicalize_name(library), {})[version] = hashes
    return found


@pytest.mark.parametrize(
    ("name", "extras"),
    [("runtime.txt", ["postgres"]), ("development.txt", PROJECT["optional-dependencies"])],
)
def test_every_library_asked_for_is_locked_within_its_range(name, extras):
    pins = locked(name)
    asked = [*PROJECT["dependencies"]]
    for extra in extras:
        asked += PROJECT["optional-dependencies"][extra]
    for text in asked:
        wanted = Requirement(text)
        for version in pins[canonicalize_name(wanted.name)]:
            assert wanted.specifier.contains(version), text


@pytest.mark.parametrize("name", ["runtime.txt", "development.txt"])
def test_every_locked_library_has_hashes(name):
    pins = locked(name)
    assert len(pins) > 30
    for library, versions in pins.items():
        for version, hashes in versions.items():
            assert version, library
            assert hashes, library
            assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", one.strip()) for one in hashes), library


def test_the_bill_and_the_licences_name_what_is_locked():
    pins = {(name, version) for name, found in locked("runtime.txt").items() for version in found}
    bill = json.loads((LOCK / "sbom.json").read_text(encoding="utf-8"))
    billed = {canonicalize_name(one["name"]): one["version"] for one in bill["components"]}
    billed = {name: version for name, version in billed.items() if name != "mealplan"}
    with (LOCK / "licences.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    listed = {canonicalize_name(row["Name"]): row["Version"] for row in rows}
    assert set(billed.items()) <= pins
    assert set(listed.items()) <= pins
    asked = {canonicalize_name(Requirement(text).name) for text in PROJECT["dependencies"]}
    assert asked <= set(billed)
    assert asked <= set(listed)
    for row in rows:
        parts = re.split(r" AND | OR |; ", row["License"])
        assert set(parts) <= PERMISSIVE, row
