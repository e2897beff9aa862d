"""
Sessions from a watch: day, duration, kind and energy out of FIT, GPX 1.1 and TCX files.

Where somebody was is never kept: positions are not looked at, and no other series is either. What
a file says of energy is a watch's own estimate; it is kept with what is known of such figures.

References
----------
.. [1] Shcherbina et al., J Pers Med 7(2), 2017, doi:10.3390/jpm7020003: of seven wrist devices the
   median error of energy ranged from 27 % to 93 %.
.. [2] Topografix, GPX 1.1 schema, 2004. Times are coordinated universal time.
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.etree import ElementTree

from mealplan.checkin.log.entries import TrainingDone
from mealplan.errors import CheckInError

MOST_ACTIVITY_BYTES = 12_000_000
"""An ultramarathon at one point a second is smaller. [bytes]"""
MOST_SESSIONS = 20
"""Sessions of one file."""
LONGEST_SESSION_MIN = 1440.0
"""[min]"""
SHORTEST_SESSION_MIN = 1.0
"""Anything shorter was a button pressed twice. [min]"""
LONGEST_PAUSE_MIN = 10.0
"""A gap between points longer than this was a pause. [min]"""
RESTING_KCAL_PER_KG_H = 1.0
"""What lying still costs, taken off a watch's figure (one MET by definition). [kcal/(kg h)]"""
WATCH_ERROR = "watches have been measured to be off by a quarter and more"
_EXAMPLE = "export the session as FIT, GPX or TCX from where it was recorded"
_SPORTS = {
    "running": "run", "run": "run", "trail_running": "trail run", "trail": "trail run",
    "treadmill": "treadmill", "cycling": "ride", "biking": "ride", "bike": "ride",
    "ride": "ride", "road_biking": "road ride", "mountain": "mountain bike",
    "mountain_biking": "mountain bike", "indoor_cycling": "indoor bike", "spin": "spin class",
    "swimming": "swim", "lap_swimming": "swim", "open_water": "swim", "walking": "walk",
    "walk": "walk", "hiking": "hike", "hike": "hike", "rowing": "row", "indoor_rowing": "row",
    "strength_training": "strength", "strength": "strength", "cardio_training": "circuit",
    "yoga": "yoga", "pilates": "pilates", "training": "training", "tennis": "tennis",
    "soccer": "football", "basketball": "basketball", "rock_climbing": "climbing",
    "bouldering": "bouldering", "boxing": "boxing", "hiit": "hiit",
    "cross_country_skiing": "cross-country skiing", "elliptical": "elliptical",
    "fitness_equipment": "fitness equipment", "stair_climbing": "stepper",
}  # fmt: skip
"""A file's word for a sport to ours; other words are kept as they stand."""
_GENERIC = frozenset({"", "generic", "other", "all", "unknown", "none"})


@dataclass(frozen=True)
class RecordedSession:
    """What a file says of one session."""

    begin: dt.datetime
    """With its time zone."""
    minutes: float
    """Without pauses. [min]"""
    sport: str
    """In our words; empty when the file does not say."""
    gross_kcal: float | None
    """As the watch estimated it, rest included. [kcal]"""


def read_activity(content: bytes) -> tuple[RecordedSession, ...]:
    """
    Read the sessions of an activity file.

    Parameters
    ----------
    content : bytes
        FIT, GPX 1.1 or TCX.

    Returns
    -------
    tuple of RecordedSession

    Raises
    ------
    CheckInError
        When it is none of these, damaged, too large, or says no time.
    """
    if len(content) > MOST_ACTIVITY_BYTES:
        raise CheckInError(
            f"the file has {len(content):,} bytes, more than {MOST_ACTIVITY_BYTES:,}; is it the "
            f"recording of a session? If so, {_EXAMPLE}"
        )
    found = _from_fit(content) if content[8:12] == b".FIT" else _from_xml(content)
    kept = tuple(one for one in found if one.minutes >= SHORTEST_SESSION_MIN)
    if not kept:
        raise CheckInError(
            f"the file holds no session with a time and a length; {_EXAMPLE} with its times"
        )
    if len(kept) > MOST_SESSIONS:
        raise CheckInError(
            f"the file holds {len(kept)} sessions, more than {MOST_SESSIONS}; take one day at a "
            "time"
        )
    for one in kept:
        if one.minutes > LONGEST_SESSION_MIN:
            raise CheckInError(
                f"a session of {one.minutes:,.0f} min is longer than a day; the watch may have run "
                "on: log it by hand"
            )
    return kept


def log_entries(
    sessions: Sequence[RecordedSession], zone: dt.tzinfo | None, weight_kg: float
) -> tuple[TrainingDone, ...]:
    """
    Turn recorded sessions into entries of a log.

    Parameters
    ----------
    sessions : sequence of RecordedSession
    zone : tzinfo or None
        Where the client lives, so that the day is his; that of this machine when None.
    weight_kg : float
        Body mass, for what rest would have cost. [kg]

    Returns
    -------
    tuple of TrainingDone
    """
    return tuple(_entry(one, zone, weight_kg) for one in sessions)


def _entry(one: RecordedSession, zone: dt.tzinfo | None, weight_kg: float) -> TrainingDone:
    local = one.begin.astimezone(zone)
    net, note = None, ""
    if one.gross_kcal is not None:
        rest = RESTING_KCAL_PER_KG_H * weight_kg * one.minutes / 60
        net = round(max(0.0, one.gross_kcal - rest), 1)
        note = (
            f"energy by the watch: {one.gross_kcal:.0f} kcal, less {rest:.0f} for rest; "
            f"{WATCH_ERROR}"
        )
    return TrainingDone(
        on=local.date(),
        at=local.time().replace(second=0, microsecond=0, tzinfo=None),
        what=one.sport or "session from a watch",
        minutes=round(one.minutes, 1),
        net_kcal=net,
        note=note,
    )


def _sport(*words: str | None) -> str:
    """Say a sport in our words, the most particular one first."""
    for word in words:
        plain = (word or "").strip().lower().replace(" ", "_").replace("-", "_")
        if plain not in _GENERIC:
            return _SPORTS.get(plain, plain.replace("_", " ")[:60])
    return ""


# ---- FIT --------------------------------------------------------------------------------------


def _from_fit(content: bytes) -> list[RecordedSession]:
    import fitdecode

    found: list[RecordedSession] = []
    try:
        with fitdecode.FitReader(
            io.BytesIO(content),
            check_crc=fitdecode.CrcCheck.RAISE,
            error_handling=fitdecode.ErrorHandling.IGNORE,
        ) as reader:
            for frame in reader:
                if frame.frame_type == fitdecode.FIT_FRAME_DATA and frame.name == "session":
                    one = _fit_session(frame)
                    if one is not None:
                        found.append(one)
    except (fitdecode.FitError, ValueError, KeyError, IndexError, OverflowError) as error:
        raise CheckInError(
            f"the FIT file breaks off or is damaged ({type(error).__name__}); {_EXAMPLE} again"
        ) from None
    return found


def _fit_session(frame: object) -> RecordedSession | None:
    def value(name: str) -> object:
        return frame.get_value(name, fallback=None)  # type: ignore[attr-defined]

    begin = value("start_time")
    seconds = value("total_timer_time") or value("total_elapsed_time")
    if not isinstance(begin, dt.datetime) or not isinstance(seconds, int | float):
        return None
    if begin.tzinfo is None:
        begin = begin.replace(tzinfo=dt.UTC)
    kcal = value("total_calories")
    sub, sport = value("sub_sport"), value("sport")
    return RecordedSession(
        begin,
        float(seconds) / 60,
        _sport(sub if isinstance(sub, str) else "", sport if isinstance(sport, str) else ""),
        float(kcal) if isinstance(kcal, int | float) and kcal > 0 else None,
    )


# ---- GPX and TCX ------------------------------------------------------------------------------


def _from_xml(content: bytes) -> list[RecordedSession]:
    head = content[:4096].lower()
    if b"<!doctype" in content[:100_000].lower() or b"<!entity" in content[:100_000].lower():
        raise CheckInError(f"the file declares entities, which no recording needs; {_EXAMPLE}")
    if b"<gpx" in head:
        return _from_gpx(content)
    if b"trainingcenterdatabase" in head:
        return _from_tcx(content)
    raise CheckInError(f"the file is neither FIT, GPX nor TCX; {_EXAMPLE}")


def _from_gpx(content: bytes) -> list[RecordedSession]:
    import gpxpy
    import gpxpy.gpx

    try:
        read = gpxpy.parse(content.decode("utf-8-sig", errors="replace"))
    except (gpxpy.gpx.GPXException, ValueError) as error:
        raise CheckInError(f"the GPX file does not read ({error}); {_EXAMPLE} again") from None
    found: list[RecordedSession] = []
    for track in read.tracks:
        times = sorted(
            point.time if point.time.tzinfo else point.time.replace(tzinfo=dt.UTC)
            for segment in track.segments
            for point in segment.points
            if point.time is not None
        )
        if len(times) > 1:
            found.append(RecordedSession(times[0], _moving(times), _sport(track.type), None))
    return found


def _moving(times: Sequence[dt.datetime]) -> float:
    """Add up the time between points, pauses left out [min]."""
    steps = ((b - a).total_seconds() / 60 for a, b in pairwise(times))
    return sum(step for step in steps if step <= LONGEST_PAUSE_MIN)


def _from_tcx(content: bytes) -> list[RecordedSession]:
    try:
        root = ElementTree.fromstring(content)
    except ElementTree.ParseError as error:
        raise CheckInError(f"the TCX file does not read ({error}); {_EXAMPLE} again") from None
    return [one for activity in _all(root, "Activity") if (one := _tcx_activity(activity))]


def _all(root: ElementTree.Element, name: str) -> Iterator[ElementTree.Element]:
    return (part for part in root.iter() if part.tag.rpartition("}")[2] == name)


def _number(lap: ElementTree.Element, name: str) -> float:
    for part in lap:
        if part.tag.rpartition("}")[2] == name:
            try:
                return float(part.text or "")
            except ValueError:
                return 0.0
    return 0.0


def _tcx_activity(activity: ElementTree.Element) -> RecordedSession | None:
    laps = list(_all(activity, "Lap"))
    begins = []
    for lap in laps:
        try:
            begin = dt.datetime.fromisoformat(lap.get("StartTime", ""))
        except ValueError:
            continue
        begins.append(begin if begin.tzinfo else begin.replace(tzinfo=dt.UTC))
    seconds = sum(_number(lap, "TotalTimeSeconds") for lap in laps)
    kcal = sum(_number(lap, "Calories") for lap in laps)
    if not begins or seconds <= 0:
        return None
    return RecordedSession(
        min(begins), seconds / 60, _sport(activity.get("Sport")), kcal if kcal > 0 else None
    )
