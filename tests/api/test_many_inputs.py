"""
Thousands of inputs nobody would type, over pages, programs, files and backups.

``MEALPLAN_INPUTS`` says how many, ``MEALPLAN_SEED`` which, so that a long run may go in parts.
"""

import contextlib
import dataclasses
import datetime as dt
import gzip
import json
import os
import random
import resource
import sys
import time

import pytest

from api.app.app import create_app
from mealplan.demo.folders import demo_intake_text, example_text
from mealplan.errors import MealPlanError
from mealplan.menu.week import make_plan
from mealplan.store.backup import backup, restore
from mealplan.targets.make import make_targets
from tests.api.conftest import NOW, routes
from tests.api.test_access_matrix import Unserved
from tests.api.test_isolation import everything
from tests.mealplan.checkin.test_activity_files import TCX, fit, gpx
from tests.mealplan.store.memory import MemoryStore

pytestmark = pytest.mark.study

INPUTS = int(os.environ.get("MEALPLAN_INPUTS", "1000"))
SEED = int(os.environ.get("MEALPLAN_SEED", "17"))
RECIPE = {
    "@type": "Recipe", "name": "bean soup", "recipeYield": "2", "totalTime": "PT40M",
    "recipeIngredient": ["400 g cooked black beans", "1 onion", "2 tbsp olive oil"],
    "recipeInstructions": ["Fry the onion.", "Add the beans and simmer."],
}  # fmt: skip
FILES = (
    gpx("2026-11-14T06:00:00Z", "2026-11-14T06:05:00Z", "2026-11-14T06:10:00Z"),
    TCX.encode(),
    fit(dt.datetime(2026, 11, 14, 17, 30, tzinfo=dt.UTC), 3600, 1, 620),
    b"day,weight kg,waist cm\n2026-11-01,80.5,84\n2026-11-02,80.1,84\n",
    example_text("foods").encode(),
    example_text("dishes").encode(),
    json.dumps(RECIPE).encode(),
    f"<script type='application/ld+json'>{json.dumps(RECIPE)}</script>".encode(),
    demo_intake_text("club-lifter").encode(),
)
"""Files that are taken, each at one of the doors for files."""
TAKES_FILES = ("/json", "/table", "/activity", "/file", "/recipe")
ROUTES = sorted((method, route.path) for route in routes() for method in route.methods)
LEAVING = ("/clients/{client_id}/erase", "/forget", "/sign-out")
ODD = (
    "", " ", "0", "-1", "1e309", "nan", "9" * 30, "9" * 400, "2026-02-30", "9999-12-31",
    "0001-01-01", "2026-12-01", "\u2603", "a\u0300" * 50, "é" * 3000, "<script>", "'; --",
    "{{7*7}}", "%00", "../..",
    "1,5", "1.234,56", "12:61", "[" * 3000, "1 kg (" * 500, "true", "null", "kg", "day,weight\n1,1",
    "banana 120", "=1+1", "\ud7ff", "\u202e", "x" * 19_000, "2 cups " * 300, "[[food]]\nname=1",
)  # fmt: skip
FIELDS = (
    "on", "value", "unit", "why", "adherence", "first", "days", "was", "do", "foods", "reason",
    "sure", "pasted", "role", "sex", "height_cm", "weight_kg", "text", "note", "start", "from",
    "to", "find",
    "q", "number", "page", "slot", "kind", "minutes", "start_again", "shared", "name", "goal",
)  # fmt: skip


@pytest.fixture(scope="module")
def planned(lifter):
    return make_plan(lifter, make_targets(lifter), days=1).model_dump_json()


@pytest.fixture
def app(settings, store):
    return create_app(dataclasses.replace(settings, patience_s=0.0), store, Unserved())


def tree(rng, deep=0):
    """Draw a document."""
    kind = rng.randrange(7 if deep < 4 else 4)
    if kind < 3:
        return rng.choice(ODD)
    if kind == 3:
        return rng.choice((0, -1, 2**31, 2**63, 2**70, 1e308, -0.0, True, None, 80.5))
    if kind == 4:
        return [tree(rng, deep + 1) for _ in range(rng.randrange(5))]
    return {rng.choice(FIELDS): tree(rng, deep + 1) for _ in range(rng.randrange(6))}


def changed(rng, whole):
    """Change one place of a document that is taken."""
    made = json.loads(json.dumps(whole))
    at = made
    for _ in range(6):
        keys = list(at) if isinstance(at, dict) else list(range(len(at)))
        if not keys:
            break
        key = rng.choice(keys)
        if not isinstance(at[key], dict | list) or rng.random() < 0.2:
            at[key] = tree(rng, 2)
            break
        at = at[key]
    return made


def damaged(rng):
    """Damage a file that is taken in a few places, cut it short, or swell it."""
    made = bytearray(rng.choice(FILES))
    for _ in range(rng.randrange(4)):
        at = rng.randrange(len(made))
        put = rng.choice(ODD).encode("utf-8", "replace") if rng.random() < 0.5 else rng.randbytes(3)
        made[at : at + rng.randrange(6)] = put
    if rng.random() < 0.1:
        del made[rng.randrange(len(made)) :]
    if rng.random() < 0.05:
        made *= 200
    return bytes(made)


def address(rng, path, client):
    """Fill an address in: mostly with what is there, so that what lies behind is reached."""
    parts = []
    for part in path.split("/"):
        known = {"{client_id}": client.id, "{date}": "2026-12-01", "{slot}": "0"}.get(part)
        if part.startswith("{"):
            part = known if known and rng.random() < 0.85 else rng.choice(ODD)[:80] or "x"
        parts.append(part.replace("/", "").replace("?", "").replace("#", "").replace("\n", ""))
    return "/".join(parts)


def upload(browser, url, form, content):
    """Send a form with a file, as a browser does."""
    guarded = form | {"guard": browser.cookies["guard"]}
    return browser.post(url, data=guarded, files={"file": ("file", content)})


def asked(rng, browser, client, lifter):
    method, path = rng.choice(ROUTES)
    if rng.random() < 0.1:  # few doors take files, and much can be wrong with one
        method, path = rng.choice([one for one in ROUTES if one[1].endswith(TAKES_FILES)])
    while path in LEAVING or (method == "DELETE" and path == "/api/clients/{client_id}"):
        method, path = rng.choice(ROUTES)
    url = address(rng, path, client)
    query = {rng.choice(FIELDS): rng.choice(ODD)[:200] for _ in range(rng.randrange(3))}
    if method in ("GET", "DELETE"):
        return path, lambda: browser.request(method, url, params=query)
    if path.startswith("/api/"):
        body = changed(rng, {"intake": lifter, "reason": "x"}) if rng.random() < 0.4 else tree(rng)
        return path, lambda: browser.request(
            method, url, json=body, params=query, headers={"If-Match": "*"}
        )
    form = {rng.choice(FIELDS): rng.choice(ODD) for _ in range(rng.randrange(8))}
    if path.endswith(TAKES_FILES) and rng.random() < 0.8:
        return path, lambda: upload(browser, url, form, damaged(rng))
    return path, lambda: browser.post_form(url, **form)


def test_no_input_breaks_the_service_or_costs_much(app, browser, client, lifter, store, capsys):
    rng = random.Random(SEED)
    whole = lifter.model_dump(mode="json")
    browser.follow_redirects = False
    for path in sorted({path for method, path in ROUTES if method == "GET"}):
        browser.get(address(rng, path, client))  # what is worked out once is there
    plain = []
    for _ in range(9):
        begun = time.process_time()
        browser.get(f"/clients/{client.id}/week")
        plain.append(time.process_time() - begun)
    plain_s = sorted(plain)[4]
    faults, costs, codes, files = [], [], {}, 0
    sizes = []
    for turn in range(INPUTS):
        path, ask = asked(rng, browser, client, whole)
        begun = time.process_time()
        try:
            answer = ask()
        except (UnicodeEncodeError, ValueError):
            continue  # no program could send it
        costs.append((time.process_time() - begun, path))
        codes[answer.status_code] = codes.get(answer.status_code, 0) + 1
        files += "multipart" in answer.request.headers.get("content-type", "")
        if answer.status_code >= 500 and answer.status_code != 503:
            faults.append((path, answer.status_code))
        if turn % (INPUTS // 4) == INPUTS // 4 - 1:
            sizes.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3)
    worst = max(costs)
    with capsys.disabled():
        sys.stdout.write(
            f"\n{type(store).__name__}: {len(costs)} inputs, {files} of them files, "
            f"answers {dict(sorted(codes.items()))}, faults {faults[:8]}; "
            f"plain page {plain_s * 1e3:.1f} ms, worst "
            f"{worst[0] / plain_s:.0f} x ({worst[1]}); memory "
            f"{[round(one) for one in sizes]} MB\n"
        )
    assert not faults
    assert worst[0] < 100 * plain_s


def test_no_broken_backup_does_more_than_be_refused(tmp_path, capsys, app, client, store):
    rng = random.Random(SEED)
    source = tmp_path / "whole.backup"
    backup(store, source, NOW)
    whole = gzip.decompress(source.read_bytes())
    refused, taken = 0, []
    for turn in range(INPUTS // 5):
        text = bytearray(whole)
        for _ in range(rng.randrange(1, 4)):
            at = rng.randrange(len(text))
            text[at : at + rng.randrange(3)] = rng.choice(ODD).encode("utf-8", "replace")[:50]
        packed = gzip.compress(bytes(text), 1)
        if turn % 3 == 0:
            at = rng.randrange(len(packed))
            packed = packed[:at] + rng.randbytes(2) + packed[at + 2 :]
        broken = tmp_path / f"{turn}.backup"
        broken.write_bytes(packed)
        other = MemoryStore()
        with contextlib.suppress(MealPlanError):
            restore(other, broken)
            taken.append(everything(other, client.id))
            continue
        refused += 1
    with capsys.disabled():
        sys.stdout.write(f"\nbackups: {refused} of {INPUTS // 5} refused, {len(taken)} whole\n")
    whole_again = MemoryStore()
    restore(whole_again, source)
    assert all(one == everything(whole_again, client.id) for one in taken)  # a date in its head
