"""
Which days a column of dates names: order of day and month, years left out, slips of the pen.

Order is settled by days that cannot be, weekdays beside them, the future, and how the rows run on.
"""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

from mealplan.checkin.table.daytext import DayText, day_in
from mealplan.checkin.table.reading import Choices, DateOrder, Guess

ORDERS: tuple[DateOrder, ...] = ("dmy", "mdy", "ymd")
STEP_DAYS = 45
"""A row further than this from both its neighbours, against their order, is a slip. [days]"""
RUNS_ON = 0.8
"""Share of steps in one direction from which rows are taken to be in order."""
WORDS: dict[DateOrder, str] = {"dmy": "dmy", "mdy": "mdy", "ymd": "ymd"}


@dataclass(frozen=True)
class DayCell:
    """What the rows say of a day: the cell, a weekday beside it, and a title's month above it."""

    text: DayText | None
    cell: str
    weekday: int | None = None
    year: int | None = None
    month: int | None = None
    timed: bool = False
    """True when the row says at what time of day."""


@dataclass(frozen=True)
class DayFound:
    """The day of a row, or why it is asked about and what it may be, the likeliest first."""

    on: dt.date | None
    why: str = ""
    options: tuple[dt.date | None, ...] = ()


def resolve_days(
    cells: Sequence[DayCell], name: str, choices: Choices, today: dt.date | None
) -> tuple[list[DayFound], tuple[Guess, ...]]:
    """
    Say which day each row is of.

    Parameters
    ----------
    cells : sequence of DayCell
        In the order of the rows.
    name : str
        Of the column.
    choices : Choices
        What somebody has settled already.
    today : date or None
        The client's day; later ones are asked about.

    Returns
    -------
    list of DayFound
    tuple of Guess
    """
    guesses: list[Guess] = []
    order = _order(cells, name, choices, today, guesses)
    days = _with_years(cells, order, name, choices, today, guesses)
    found = [DayFound(day) for day in days]
    direction = _direction(days)
    for place, cell in enumerate(cells):
        if cell.text is None:
            continue
        near = _neighbours(days, place)
        asked = _asked(cell, days[place], near, order, direction, today)
        if asked is not None:
            found[place] = asked
            days[place] = asked.on
    return _missing_twin(found, cells, direction), tuple(guesses)


# ---- order of day and month -------------------------------------------------------------------


def _order(
    cells: Sequence[DayCell],
    name: str,
    choices: Choices,
    today: dt.date | None,
    guesses: list[Guess],
) -> DateOrder:
    """Choose the order that fits best, and ask when another fits as well."""
    if choices.date_order is not None:
        return choices.date_order
    told = [c for c in cells if c.text is not None and not c.text.month and not c.text.on
            and not c.text.long_first and len(c.text.numbers) > 1]  # fmt: skip
    if not told:
        return "ymd"
    orders = [order for order in ORDERS if _may_be(told, order)]
    year = choices.year or (today.year if today else 2000)
    scores = {order: _faults(told, order, year, today) for order in orders}
    best = min(orders, key=lambda order: scores[order])
    rivals = [o for o in orders if o != best and scores[o][:2] <= scores[best][:2]]
    rivals = [o for o in rivals if o != "ymd"]
    sure = not rivals or scores[best][2] + 2 <= min(scores[o][2] for o in rivals)
    first, second = (max(c.text.numbers[n] for c in told if c.text) for n in (0, 1))
    if best == "dmy" and first > 12:
        reason = f"the first number reaches {first}, so it is the day"
    elif best == "mdy" and second > 12:
        reason = f"the second number reaches {second}, so it is the day"
    elif sure:
        reason = "only so the rows follow each other and agree with what stands beside them"
    elif scores[best][3] < min(scores[o][3] for o in rivals):
        reason = "no day is above 12; read this way the dates lie closer together"
    else:
        reason = "no day is above 12, so both orders are possible"
    guesses.append(
        Guess(
            topic="date order",
            column=name,
            choice=best,
            reason=reason,
            alternatives=() if sure else tuple(rivals),
            sure=sure,
        )
    )
    return best


def _may_be(told: Sequence[DayCell], order: DateOrder) -> bool:
    """Leave the year-first order to cells of three short numbers of which the last is no year."""
    if order != "ymd":
        return True
    three = [c.text.numbers for c in told if c.text and len(c.text.numbers) == 3]
    return bool(three) and all(n[2] <= 31 and n[1] <= 12 for n in three)


def _faults(
    told: Sequence[DayCell], order: DateOrder, year: int, today: dt.date | None
) -> tuple[int, int, int, int]:
    """Count what speaks against an order: no such day, future or weekday, jumps, and the span."""
    impossible = against = jumps = 0
    days: list[dt.date] = []
    for cell in told:
        day = day_in(cell.text, order, cell.year or year) if cell.text else None
        if day is None:
            impossible += 1
            continue
        full = cell.text is not None and cell.text.is_full
        against += full and today is not None and day > today
        weekday = cell.weekday if cell.weekday is not None else cell.text and cell.text.weekday
        against += weekday is not None and full and day.weekday() != weekday
        days.append(day)
    steps = [(after - before).days for before, after in itertools.pairwise(days)]
    usual = median(abs(step) for step in steps) if steps else 0
    jumps = sum(abs(step) > 3 * max(usual, 7) for step in steps)
    ups = sum(step > 0 for step in steps)
    jumps += min(ups, len(steps) - ups) if len(steps) > 3 else 0
    tolerated = len(told) // 20
    span = (max(days) - min(days)).days if days else 0
    return max(0, impossible - tolerated), max(0, against - tolerated), jumps, span


# ---- years ------------------------------------------------------------------------------------


def _with_years(
    cells: Sequence[DayCell],
    order: DateOrder,
    name: str,
    choices: Choices,
    today: dt.date | None,
    guesses: list[Guess],
) -> list[dt.date | None]:
    """Give every row its day, the year filled in where the cell has none."""
    bare = [n for n, c in enumerate(cells) if c.text and not c.text.is_full and c.year is None]
    bare = [n for n in bare if _with_year(cells[n], order, 2000) is not None]
    if not bare:
        return [_with_year(cell, order, None) for cell in cells]
    year, sure, reason = _last_year(cells, bare, order, choices, today)
    days = _walked(cells, order, year)
    if choices.year is None:
        guesses.append(
            Guess(
                topic="year",
                column=name,
                choice=str(year),
                reason=reason,
                alternatives=tuple(str(y) for y in (year - 1, year + 1)),
                sure=sure,
            )
        )
    return days


def _with_year(cell: DayCell, order: DateOrder, year: int | None) -> dt.date | None:
    return day_in(cell.text, order, cell.year or year, cell.month) if cell.text else None


def _last_year(
    cells: Sequence[DayCell],
    bare: Sequence[int],
    order: DateOrder,
    choices: Choices,
    today: dt.date | None,
) -> tuple[int, bool, str]:
    """Say which year the latest row without one is of."""
    if choices.year is not None:
        return choices.year, True, "chosen"
    full = [d for c in cells if c.text and c.text.is_full and (d := _with_year(c, order, None))]
    around = today.year if today else max((d.year for d in full), default=dt.date.min.year)
    weekdays = [(cells[n], w) for n in bare
                if (w := _weekday(cells[n])) is not None]  # fmt: skip
    years = range(around, around - 7, -1) if around > 10 else range(2026, 2019, -1)
    fitting = [y for y in years if _fits(weekdays, order, y, cells, today)]
    if weekdays and fitting:
        return fitting[0], True, "only so the weekdays beside the dates are right"
    days = [d for n in bare if (d := _with_year(cells[n], order, around if around > 10 else 2000))]
    if today is not None and days and days[-1] > today and min(days) > today:
        return around - 1, False, "the dates have no year, and this year they are still to come"
    year = around if around > 10 else max((c.year or 0 for c in cells), default=0) or 2026
    return year, False, "the dates have no year; the latest that is not to come is taken"


def _weekday(cell: DayCell) -> int | None:
    if cell.weekday is not None:
        return cell.weekday
    return cell.text.weekday if cell.text else None


def _fits(
    weekdays: Sequence[tuple[DayCell, int]],
    order: DateOrder,
    year: int,
    cells: Sequence[DayCell],
    today: dt.date | None,
) -> bool:
    if not weekdays:
        return False
    right = 0
    days = dict(zip((id(cell) for cell in cells), _walked(cells, order, year), strict=True))
    for cell, weekday in weekdays:
        day = days.get(id(cell))
        right += day is not None and day.weekday() == weekday and (today is None or day <= today)
    return right >= 0.8 * len(weekdays)


def _walked(cells: Sequence[DayCell], order: DateOrder, last: int) -> list[dt.date | None]:
    """Go through the rows from the latest and take a year off, or put one on, where it turns."""
    flat = [_with_year(cell, order, 2000) for cell in cells]
    known = [day for day, cell in zip(flat, cells, strict=True) if day and cell.text
             and not cell.text.is_full and cell.year is None]  # fmt: skip
    steps = [(b - a).days for a, b in itertools.pairwise(known)]
    down = sum(-60 < step < 0 for step in steps) > sum(0 < step < 60 for step in steps)
    days: list[dt.date | None] = [None] * len(cells)
    year, before = last, None
    for place in range(len(cells)) if down else range(len(cells) - 1, -1, -1):
        cell, day = cells[place], flat[place]
        if cell.text is None or day is None or cell.text.is_full or cell.year is not None:
            days[place] = _with_year(cell, order, None)
            if days[place] is not None:
                year, before = days[place].year, flat[place]  # type: ignore[union-attr]
                before = days[place].replace(year=2000)  # type: ignore[union-attr]
            continue
        if before is not None and (day - before).days > 180:
            year -= 1
        days[place] = _with_year(cell, order, year)
        before = day
    return days


# ---- single days that cannot be right ---------------------------------------------------------


def _direction(days: Sequence[dt.date | None]) -> int:
    """Say whether rows go up (1), down (-1) or neither (0)."""
    known = [day for day in days if day is not None]
    steps = [(b - a).days for a, b in itertools.pairwise(known) if a != b]
    ups = sum(step > 0 for step in steps)
    if len(steps) < 2:
        return 0
    return 1 if ups >= RUNS_ON * len(steps) else -1 if ups <= (1 - RUNS_ON) * len(steps) else 0


def _neighbours(days: Sequence[dt.date | None], place: int) -> tuple[list[dt.date], list[dt.date]]:
    before = [day for day in days[max(0, place - 3) : place] if day is not None]
    after = [day for day in days[place + 1 : place + 4] if day is not None]
    return before, after


def _asked(
    cell: DayCell,
    day: dt.date | None,
    near: tuple[list[dt.date], list[dt.date]],
    order: DateOrder,
    direction: int,
    today: dt.date | None,
) -> DayFound | None:
    """Ask about a day that cannot be, lies ahead or is far from its neighbours."""
    text = cell.text
    if text is None:
        return None
    if day is None:
        if not (text.is_full or text.is_brief):
            return None
        options = _likely(cell, None, near, order, direction, today)
        return DayFound(options[0] if options else None,
                        f"{cell.cell.strip()!r} is no day of the calendar",
                        (*options, None))  # fmt: skip
    why = _odd(cell, day, near, direction, today)
    if not why:
        return None
    options = _likely(cell, day, near, order, direction, today)
    ahead = today is not None and day > today + dt.timedelta(days=1)
    written = () if ahead else (day,)
    if why.startswith("the row says"):
        options = tuple(dict.fromkeys((*written, *options)))
        sure = [o for o in options if o is not None and o != day]
        if sure and _strays(day, near, direction):
            options = tuple(dict.fromkeys((*sure, *options)))
    else:
        options = tuple(dict.fromkeys((*options, *written)))
    return DayFound(options[0] if options else None, why, (*options, None))


def _odd(
    cell: DayCell,
    day: dt.date,
    near: tuple[list[dt.date], list[dt.date]],
    direction: int,
    today: dt.date | None,
) -> str:
    if today is not None and day > today:
        return f"{day} is still to come"
    if day.year < 2000:
        return f"{day} is long ago"
    around = [*near[0], *near[1]]
    weekday = _weekday(cell)
    if weekday is not None and day.weekday() != weekday:
        return f"the row says {DAY_NAMES[weekday]}, but {day} is a {DAY_NAMES[day.weekday()]}"
    if len(around) >= 2 and min(abs((day - other).days) for other in around) > STEP_DAYS:
        gaps = [abs((b - a).days) for part in near for a, b in itertools.pairwise(part)]
        if _strays(day, near, direction) or min(
            abs((day - other).days) for other in around
        ) > 300 + 4 * max(gaps, default=0):
            return f"{day} is far from the days of the rows around it"
    elif _strays(day, near, direction) and _gap(day, near) > 7:
        return f"{day} is out of the order of the rows around it"
    return ""


DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def _strays(day: dt.date, near: tuple[list[dt.date], list[dt.date]], direction: int) -> bool:
    """Say whether a day breaks the order its neighbours keep among themselves."""
    if not direction:
        return False
    before = near[0][-1] if near[0] else None
    after = near[1][0] if near[1] else None
    if before is not None and after is not None:
        low, high = sorted((before, after))
        return (after - before).days * direction >= 0 and not low <= day <= high
    if before is not None:
        return (day - before).days * direction < 0
    return after is not None and (after - day).days * direction < 0


def _gap(day: dt.date, near: tuple[list[dt.date], list[dt.date]]) -> int:
    return min((abs((day - other).days) for part in near for other in part), default=0)


def _likely(
    cell: DayCell,
    day: dt.date | None,
    near: tuple[list[dt.date], list[dt.date]],
    order: DateOrder,
    direction: int,
    today: dt.date | None,
) -> tuple[dt.date, ...]:
    """Give days that were probably meant, the likeliest first."""
    text = cell.text
    before, after = (near[0][-1] if near[0] else None), (near[1][0] if near[1] else None)
    tried: list[dt.date | None] = []
    around = [*near[0], *near[1]]
    years = sorted(
        {other.year for other in around}, key=lambda y: -sum(o.year == y for o in around)
    )
    if day is not None:
        years = years or [day.year - 1]
        tried += [_moved(day, year) for year in years if year != day.year]
    swapped: DateOrder = "mdy" if order == "dmy" else "dmy"
    if text is not None and not text.month and not text.long_first:
        tried.append(day_in(text, swapped, cell.year or (years[0] if years else None)))
    elif day is not None and day.day <= 12 and not (text and text.month):
        tried.append(dt.date(day.year, day.day, day.month))
    if day is not None and around:
        tried += [_at_month(day, other) for other in around]
    if before is not None and after is not None and 1 < abs((after - before).days) <= 14:
        step = dt.timedelta(days=1 if after > before else -1)
        if abs((after - before).days) % 2 == 0:
            tried.append(before + (after - before) / 2)
        tried.append(before + step)
    elif before is not None and after is None and direction and len(near[0]) > 1:
        tried.append(before + (near[0][-1] - near[0][-2]))
    weekday = _weekday(cell)
    fits = [
        other
        for other in dict.fromkeys(tried)
        if other is not None
        and other != day
        and (today is None or other <= today)
        and (weekday is None or other.weekday() == weekday)
        and (not around or min(abs((other - one).days) for one in around) <= STEP_DAYS)
        and not _strays(other, near, direction)
    ]
    return tuple(fits[:3])


def _moved(day: dt.date, year: int) -> dt.date | None:
    try:
        return day.replace(year=year)
    except ValueError:
        return None


def _at_month(day: dt.date, other: dt.date) -> dt.date | None:
    try:
        return day.replace(year=other.year, month=other.month)
    except ValueError:
        return None


def _missing_twin(
    found: list[DayFound], cells: Sequence[DayCell], direction: int
) -> list[DayFound]:
    """Ask about a day that stands twice where its neighbour of a daily run is missing."""
    if not direction:
        return found
    step = dt.timedelta(days=direction)
    for place in range(2, len(found) - 1):
        first, day, after = found[place - 1].on, found[place].on, found[place + 1].on
        if first is None or day is None or after is None or found[place].why or day != first:
            continue
        missing = day + step
        if not cells[place].timed and after == missing + step and found[place - 2].on == day - step:
            found[place] = replace(
                found[place],
                why=f"{day} stands twice and {missing} is missing",
                options=(day, missing, None),
            )
    return found
