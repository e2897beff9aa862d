"""Sessions from a watch, taken in by page and over the JSON interface."""

from base64 import b64encode

GPX = (
    b'<?xml version="1.0"?><gpx version="1.1" creator="t" '
    b'xmlns="http://www.topografix.com/GPX/1/1"><trk><type>running</type><trkseg>'
    b'<trkpt lat="52.5" lon="13.4"><time>2026-11-14T06:00:00Z</time></trkpt>'
    b'<trkpt lat="52.6" lon="13.4"><time>2026-11-14T06:08:00Z</time></trkpt>'
    b"</trkseg></trk></gpx>"
)


def test_a_session_is_taken_in_once_and_without_its_position(browser, client):
    at = f"/api/clients/{client.id}/log/activity"
    first = browser.post(at, json={"file": b64encode(GPX).decode()})
    assert first.status_code == 201
    (entry,) = [e for e in first.json()["entries"] if e["kind"] == "training"]
    assert (entry["what"], entry["minutes"], entry["on"]) == ("run", 8.0, "2026-11-14")
    assert "52.5" not in first.text
    again = browser.post(at, json={"file": b64encode(GPX).decode()})
    assert again.status_code == 422
    assert "already" in again.text


def test_what_is_no_recording_is_refused_in_words(browser, client):
    at = f"/api/clients/{client.id}/log/activity"
    answer = browser.post(at, json={"file": b64encode(b"date,weight").decode()})
    assert answer.status_code == 422
    assert "neither FIT, GPX nor TCX" in answer.text


def test_the_page_takes_a_file_in_and_takes_it_back_as_one(browser, client):
    browser.get("/sign-in")
    browser.get("/offline")
    at = f"/clients/{client.id}/checkin/activity"
    guard = {"guard": browser.cookies["guard"]}
    page = browser.post(at, data=guard, files={"file": ("run.gpx", GPX)})
    assert page.status_code == 200
    assert "Training, run, 8 min" in page.text
    assert "Take the table back" in page.text
    again = browser.post(at, data=guard, files={"file": ("run.gpx", GPX)})
    assert again.status_code == 422
    assert "already" in again.text
