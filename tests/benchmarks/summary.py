"""What the tables come to, a line a case, beside what was aimed at."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Mapping, Sequence

Table = Sequence[Mapping[str, object]]


def numbers(table: Table, head: str) -> list[float]:
    """Give a column's numbers, words and gaps left out."""
    found = [row[head] for row in table if head in row]
    return [float(v) for v in found if isinstance(v, int | float) and not math.isnan(v)]


def spread(table: Table, head: str, form: str = ".2f") -> str:
    """Say a column's median and worst."""
    column = numbers(table, head)
    if not column:
        return "not run"
    return f"median {statistics.median(column):{form}}, worst {max(column):{form}}"


def rows(tables: Mapping[str, Table]) -> Iterator[tuple[str, str, str]]:
    """Yield (case, measured, aim)."""
    if day := tables.get("one day"):
        yield from _day_rows(day)
    if week := tables.get("week"):
        musts = round(sum(numbers(week, "musts missed")))
        yield (
            "week against its days' bounds, neighbours as they are",
            f"{spread(week, 'over day bounds')}; {musts} musts missed; "
            f"{spread(week, 'CPU s')} s of CPU",
            "1.5",
        )
        yield "week against a bound on all weeks", spread(week, "over week bound"), "1.5"
        polished = numbers(week, "polished over week bound")
        if polished:
            yield (
                f"polished week ({len(polished)} clients)",
                f"against its days' bounds {spread(week, 'polished over day bounds')}; against "
                f"all weeks {spread(week, 'polished over week bound')}; "
                f"{spread(week, 'polish CPU s', '.0f')} s of CPU",
                "1.25",
            )
    if month := tables.get("28 days"):
        yield "28 days against a week", spread(month, "ratio"), "4.5"
    if again := tables.get("planning again"):
        for name, words in (
            ("dislike", "a dislike"),
            ("lock", "a lock"),
            ("eaten", "a meal eaten"),
        ):
            yield (
                f"planning again after {words}, against the same day from nothing",
                f"{spread(again, f'{name}/day')}; against a first day's search alone "
                f"{spread(again, f'{name}/search')}",
                "1",
            )
    if clash := tables.get("plan and minimal clash"):
        yield "plan and minimal clash, against a day without", spread(clash, "ratio"), "2"
    if dishes := tables.get("growth with dishes"):
        yield "100 to 1,000 dishes", spread(dishes, "1000/100"), "1.5"
    if foods := tables.get("growth with foods"):
        head = next(name for name in foods[0] if name.endswith("/100"))
        yield f"100 to {int(head.split('/')[0]):,} foods", spread(foods, head), "near linear"
    if days := tables.get("growth with days"):
        head = "a day of 28 / a day of 7"
        yield "a day of 28 against a day of a week", spread(days, head), "near linear"
    if roster := tables.get("roster"):
        row = roster[0]
        yield (
            f"roster of {row['client-weeks']} client-weeks",
            f"{row['two workers, weeks/s']:.2f} client-weeks a second on two workers, "
            f"{row['memory a worker MB']} MB a worker; one worker to two {row['gain']:.2f} ×",
            "1.8 ×",
        )


def _day_rows(day: Table) -> Iterator[tuple[str, str, str]]:
    wall, own = (
        numbers(day, "A/ours"),
        [1e3 * float(str(row["A peer s"])) / float(str(row["ours CPU ms"])) for row in day],
    )
    nothing = sum(math.isnan(float(str(row["A objective"]))) for row in day)
    better = sum(
        float(str(row["A objective"])) < float(str(row["objective"])) - 1e-6 for row in day
    )
    yield (
        "day against A",
        f"by wall time median {statistics.median(wall):,.0f} ×, worst {min(wall):,.0f}; by our CPU "
        f"time {statistics.median(own):,.0f} × and {min(own):,.0f}; when stopped, A had nothing on "
        f"{nothing} of {len(day)} and a better day on {better}",
        "200 ×",
    )
    proven = sum(row["C proven"] == "yes" for row in day)
    yield (
        "day against C",
        f"{spread(day, 'over C %', '.1f')} % above (absolute: worst "
        f"{max(numbers(day, 'over C')):.3f}); C proven on {proven} of {len(day)}",
        "within 10 % or 0.02",
    )
    times = numbers(day, "ours CPU ms")
    middle = statistics.median(times)
    yield (
        "day, CPU time",
        f"median {middle:.0f} ms, slowest client {max(times):.0f} ms, "
        f"{max(times) / middle:.1f} × the median",
        "slowest 2.5 ×",
    )
    yield (
        "amounts alone: a dish exchanged and solved (B itself); with whole measures",
        f"{spread(day, 'B floor ms')} ms; {spread(day, 'whole steps ms', '.1f')} ms",
        "3 × B",
    )
