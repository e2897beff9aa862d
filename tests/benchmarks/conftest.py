"""
Clients, clocks and the table of results for the benchmarks.

Run ``python -m pytest -m benchmark tests/benchmarks -s``. Nothing here asserts a time: machines
differ, so ratios within one run are printed. Set ``BENCHMARKS_MD`` to a path to have the tables
written as Markdown and growth drawn beside them, ``BENCHMARK_CLIENTS`` to take only the first so
many clients, and ``BENCHMARK_CAP_S`` for another cap than 60 seconds on the naive peer.
"""

from __future__ import annotations

import math
import os
import platform
import statistics
import subprocess
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import version
from pathlib import Path

import pytest

from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake
from mealplan.lp.daymodel import DayModel
from mealplan.menu.context import Context
from mealplan.menu.day import day_model
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Targets
from tests.benchmarks.summary import rows

MEASURED = "<!-- measured -->"
"""What stands after this line in the file the tables are written to is replaced."""

ROOT = Path(__file__).parents[2]
CAP_S = float(os.environ.get("BENCHMARK_CAP_S", "60"))


def _client(
    sex: str, age: int, height: int, weight: int, kcal: int, pal: float, phase: str, **more: object
) -> dict:
    return {
        "role": "club athlete",
        "sex": sex,
        "age_years": age,
        "height_cm": height,
        "weight_kg": weight,
        "start": "2026-11-30",
        "goal": {"phase": phase, "energy_kcal": kcal},
        "activity": {"method": "multiplier", "pal": pal},
        **more,
    }


def _without(*allergies: str) -> dict:
    return {"tastes": {"allergies": list(allergies)}}


CLIENTS: dict[str, dict] = {
    "woman 60 kg, 2,100": _client("female", 30, 165, 60, 2100, 1.6, "hold"),
    "man 82 kg, 3,400, gaining": _client("male", 28, 182, 82, 3400, 1.8, "gain"),
    "woman 64 kg, 2,300, no soy, gluten, nuts": _client(
        "female", 35, 168, 64, 2300, 1.7, "hold", **_without("soy", "gluten", "tree_nut", "peanut")
    ),
    "man 95 kg, 2,500, cutting at 2.2 g/kg": _client(
        "male",
        32,
        185,
        95,
        2500,
        1.5,
        "cut",
        nutrition={"protein": {"low_g_per_kg": 2.2, "high_g_per_kg": 2.6}},
    ),
    "woman 50 kg, 1,600, cutting": _client("female", 41, 158, 50, 1600, 1.55, "cut"),
    "man 98 kg, 4,200, six meals": _client(
        "male", 24, 193, 98, 4200, 2.1, "endurance", kitchen={"meals": 6}
    ),
    "woman 60 kg, 2,000, no soy": _client(
        "female", 30, 165, 60, 2000, 1.6, "hold", **_without("soy")
    ),
    "woman 60 kg, 2,000, no gluten": _client(
        "female", 26, 165, 60, 2000, 1.6, "hold", **_without("gluten")
    ),
    "woman 70 kg, 2,600, three meals": _client(
        "female", 23, 175, 70, 2600, 1.8, "hold", kitchen={"meals": 3}
    ),
    "man 70 kg, 2,900, no nuts": _client(
        "male", 45, 176, 70, 2900, 1.8, "hold", **_without("tree_nut", "peanut")
    ),
    "man 70 kg, 3,800, endurance": _client("male", 29, 178, 70, 3800, 2.3, "endurance"),
    "man 80 kg, 2,800, no legumes but soy": _client(
        "male",
        50,
        180,
        80,
        2800,
        1.7,
        "hold",
        tastes={"never": ["beans", "lentils", "chickpeas", "peas"]},
    ),
    "man 72 kg, 2,400, aged 66": _client("male", 66, 172, 72, 2400, 1.6, "hold"),
}


@dataclass(frozen=True)
class Client:
    """An invented client, ready to plan for."""

    name: str
    intake: Intake
    targets: Targets
    context: Context

    def day(self) -> DayModel:
        """The first day, arrays built."""
        model, _ = day_model(self.context, 0, self.targets.on("mon"), {})
        assert model.tables
        assert model.counts.size
        return model


@cache
def _made(name: str) -> Client:
    intake = parse_intake(CLIENTS[name])
    targets = make_targets(intake)
    return Client(name, intake, targets, Context.make(intake, targets))


def chosen() -> list[str]:
    """Names of the clients this run looks at."""
    return list(CLIENTS)[: int(os.environ.get("BENCHMARK_CLIENTS", len(CLIENTS)))]


@pytest.fixture(scope="session")
def clients() -> list[Client]:
    """Every client of this run."""
    return [_made(name) for name in chosen()]


@pytest.fixture(params=chosen())
def client(request) -> Client:
    """Each client in turn."""
    return _made(request.param)


@dataclass
class Bench:
    """Clock and collector of results."""

    tables: dict[str, list[dict[str, object]]] = field(default_factory=dict)
    plots: dict[str, str] = field(default_factory=dict)
    """File name to SVG."""
    cap_s: float = CAP_S

    @staticmethod
    def seconds(run: Callable[[], object], repeats: int = 5) -> tuple[float, list[float]]:
        """Time a call several times. Gives the median and all times. [s]"""
        times = []
        for _ in range(repeats):
            begin = time.perf_counter()
            run()
            times.append(time.perf_counter() - begin)
        return statistics.median(times), times

    @staticmethod
    def cpu_seconds(run: Callable[[], object], repeats: int = 5) -> tuple[float, list[float]]:
        """Like ``seconds``, counting only this process's own work: steadier on a busy machine."""
        times = []
        for _ in range(repeats):
            begin = time.process_time()
            run()
            times.append(time.process_time() - begin)
        return statistics.median(times), times

    def row(self, table: str, **cells: object) -> None:
        """Add a row to a table, and print it at once."""
        self.tables.setdefault(table, []).append(cells)
        print(  # noqa: T201  (a benchmark is read as it runs)
            f"\n[{table}] " + ", ".join(f"{k} {_shown(v)}" for k, v in cells.items())
        )

    def column(self, table: str, name: str) -> list[float]:
        """Give the numbers of one column so far."""
        rows = self.tables.get(table, [])
        return [float(row[name]) for row in rows if isinstance(row.get(name), int | float)]


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.4g}" if abs(value) < 1000 else f"{value:,.0f}"
    return str(value)


def _machine() -> str:
    info = Path("/proc/cpuinfo")
    models = (
        {
            line.partition(":")[2].strip()
            for line in info.read_text().splitlines()
            if "model name" in line
        }
        if info.exists()
        else set()
    )
    commit = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    ).stdout.strip()
    parts = [f"{name} {version(name)}" for name in ("pulp", "highspy", "numpy", "scipy")]
    load = os.getloadavg()[1] if hasattr(os, "getloadavg") else float("nan")
    processor = ", ".join(sorted(models)) or platform.processor() or "unknown processor"
    return (
        f"{processor}; {os.cpu_count()} cores; "
        f"load {load:.1f}; {platform.system()}; Python {platform.python_version()}; "
        f"{', '.join(parts)}; commit {commit or 'unknown'}"
    )


def _summary(
    label: str,
    pick: Callable[[list[float]], float],
    heads: Sequence[str],
    rows: Sequence[dict[str, object]],
) -> str:
    """One line over the numbers of each column; columns of words stay empty."""
    cells = [label]
    for head in heads[1:]:
        values = [row[head] for row in rows if head in row]
        numbers = [float(v) for v in values if isinstance(v, int | float) and not math.isnan(v)]
        cells.append(_shown(pick(numbers)) if numbers else "")
    return "| " + " | ".join(cells) + " |"


def _markdown(tables: dict[str, list[dict[str, object]]]) -> str:
    out = [f"Measured on {time.strftime('%Y-%m-%d')}: {_machine()}.", ""]
    out += ["## What it comes to", "", "| case | measured | aim |", "| --- | --- | --- |"]
    out += [f"| {' | '.join(row)} |" for row in rows(tables)]
    out += ["", "## Tables", ""]
    for name, table in tables.items():
        heads = list(dict.fromkeys(key for row in table for key in row))
        out += [f"### {name[0].upper()}{name[1:]}", ""]
        out += ["| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
        out += ["| " + " | ".join(_shown(row.get(h, "")) for h in heads) + " |" for row in table]
        if len(table) > 2:
            out += [_summary("median", statistics.median, heads, table)]
            out += [_summary("worst", max, heads, table)]
        out.append("")
    return "\n".join(out)


@pytest.fixture(scope="session")
def bench() -> Iterator[Bench]:
    """Collect results; write them out at the end when asked to."""
    collected = Bench()
    yield collected
    text = _markdown(collected.tables)
    print("\n\n" + text)  # noqa: T201  (the result is for reading)
    path = os.environ.get("BENCHMARKS_MD")
    if path:
        file = Path(path)
        before = file.read_text(encoding="utf-8") if file.exists() else ""
        kept, mark, _ = before.partition(MEASURED)
        text = f"{kept}{mark}\n\n{text}" if mark else text
        file.write_text(text + "\n", encoding="utf-8")
        for name, picture in collected.plots.items():
            Path(path).with_name(name).write_text(picture, encoding="utf-8")
