"""Sessions out of FIT, GPX and TCX files: day, length, kind and energy, never a position."""

import datetime as dt
import struct
from zoneinfo import ZoneInfo

import pytest

from mealplan.checkin.log.activity_files import log_entries, read_activity
from mealplan.errors import CheckInError

BERLIN = ZoneInfo("Europe/Berlin")

GPX = """<?xml version="1.0"?>
<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><type>running</type>
<trkseg>{points}</trkseg></trk></gpx>"""
TCX = """<?xml version="1.0"?>
<TrainingCenterDatabase xmlns="urn:test:tcx">
<Activities><Activity Sport="Biking"><Id>2026-11-14T22:30:00Z</Id>
<Lap StartTime="2026-11-14T22:30:00Z"><TotalTimeSeconds>1800.0</TotalTimeSeconds>
<Calories>300</Calories></Lap>
<Lap StartTime="2026-11-14T23:00:00Z"><TotalTimeSeconds>600.0</TotalTimeSeconds>
<Calories>100</Calories></Lap></Activity></Activities></TrainingCenterDatabase>"""


def gpx(*times):
    points = "".join(f'<trkpt lat="52.52" lon="13.40"><time>{t}</time></trkpt>' for t in times)
    return GPX.format(points=points).encode()


def fit_crc(data):
    """Work out the checksum of a FIT file."""
    # source: published, FIT protocol, CRC-16 with these sixteen constants
    table = (0x0000, 0xCC01, 0xD801, 0x1400, 0xF001, 0x3C00, 0x2800, 0xE401,
             0xA001, 0x6C00, 0x7800, 0xB401, 0x5000, 0x9C01, 0x8801, 0x4400)  # fmt: skip
    crc = 0
    for byte in data:
        for part in (byte & 0xF, byte >> 4):
            low = table[crc & 0xF]
            crc = (crc >> 4) & 0x0FFF
            crc ^= low ^ table[part]
    return crc


def fit(begin, seconds, sport, kcal):
    """Write a FIT file with one session message, by the protocol's own layout."""
    # source: published, FIT protocol: session is message 18, start_time 2, sport 5,
    # total_timer_time 8 (ms), total_calories 11; seconds count from 31 December 1989
    epoch = dt.datetime(1989, 12, 31, tzinfo=dt.UTC)
    stamp = int((begin - epoch).total_seconds())
    fields = [(2, 4, 0x86), (8, 4, 0x86), (11, 2, 0x84), (5, 1, 0x00)]
    definition = struct.pack("<BBBHB", 0x40, 0, 0, 18, len(fields))
    definition += b"".join(struct.pack("<BBB", *one) for one in fields)
    data = struct.pack("<BIIHB", 0, stamp, seconds * 1000, kcal, sport)
    body = definition + data
    header = struct.pack("<BBHI4s", 14, 0x20, 2132, len(body), b".FIT")
    header += struct.pack("<H", fit_crc(header))
    whole = header + body
    return whole + struct.pack("<H", fit_crc(whole))


def test_a_gpx_track_gives_its_moving_time_and_kind():
    content = gpx("2026-11-14T06:00:00Z", "2026-11-14T06:05:00Z", "2026-11-14T06:10:00Z",
                  "2026-11-14T07:00:00Z", "2026-11-14T07:05:00Z")  # fmt: skip
    (one,) = read_activity(content)
    assert one.minutes == 15  # source: worked by hand, the pause of 50 minutes left out
    assert one.sport == "run"
    assert one.gross_kcal is None


def test_a_tcx_file_adds_its_laps_and_the_day_is_the_clients():
    (one,) = read_activity(TCX.encode())
    assert one.minutes == 40
    (entry,) = log_entries([one], BERLIN, 70.0)
    assert entry.on == dt.date(2026, 11, 14)
    assert entry.at == dt.time(23, 30)
    assert entry.what == "ride"
    # source: worked by hand, 400 kcal less 70 kg x 1 kcal/(kg h) x 40/60 h
    assert entry.net_kcal == pytest.approx(400 - 70 * 40 / 60, abs=0.1)
    assert "off by a quarter" in entry.note


def test_a_fit_session_is_read():
    begin = dt.datetime(2026, 11, 14, 17, 30, tzinfo=dt.UTC)
    (one,) = read_activity(fit(begin, 3600, 1, 620))
    assert (one.begin, one.minutes, one.sport, one.gross_kcal) == (begin, 60, "run", 620)


def test_no_position_is_kept():
    content = gpx("2026-11-14T06:00:00Z", "2026-11-14T06:05:00Z")
    (entry,) = log_entries(read_activity(content), BERLIN, 70.0)
    assert "52.5" not in entry.model_dump_json()
    assert "13.4" not in entry.model_dump_json()


BOMB = b'<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaa">]><gpx version="1.1">&a;</gpx>'


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "neither FIT, GPX nor TCX"),
        (b"date,weight\n2026-11-01,80\n", "neither FIT, GPX nor TCX"),
        (BOMB, "entities"),
        (b"<gpx version='1.1'><trk>", "does not read"),
        (gpx(), "no session"),
        (gpx("2026-11-14T06:00:00Z"), "no session"),
        (b"x" * 12_000_001, "more than"),
        (fit(dt.datetime(2026, 1, 1, tzinfo=dt.UTC), 600, 1, 50)[:30], "no session|damaged"),
        (fit(dt.datetime(2026, 1, 1, tzinfo=dt.UTC), 600, 1, 50)[:-1] + b"?", "damaged"),
        (TCX.replace("1800.0", "180000").encode(), "longer than a day"),
    ],
)
def test_what_is_no_recording_says_what_to_do(content, said):
    with pytest.raises(CheckInError, match=said):
        read_activity(content)
