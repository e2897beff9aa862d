"""The coach's notes: some for the coach alone, some for the client to read; tables taken back."""

from api.records.book import Records
from api.records.view import Principal
from tests.api.conftest import alert, records_for

MINE = "Talks about the scale a lot; ask how she sleeps."
YOURS = "Well done: the long run went better than planned."


def client_records(app, client):
    service = app.state.service
    who = Principal("client", client.coach_id, "client", client_id=client.id, link_id="l1")
    return Records(service.store, service.settings, who)


def write(browser, client, text, whom):
    return browser.post_form(f"/clients/{client.id}/notes", text=text, whom=whom)


def test_a_private_note_is_in_the_coachs_export_and_never_in_the_clients(app, browser, client):
    write(browser, client, MINE, "coach")
    write(browser, client, YOURS, "client")
    page = browser.get(f"/clients/{client.id}").text
    assert MINE in page
    assert YOURS in page
    whole = browser.get(f"/clients/{client.id}/export.json").text
    assert MINE in whole
    assert YOURS in whole
    given = browser.get(f"/clients/{client.id}/export.json?whose=client").text
    assert MINE not in given
    assert YOURS in given
    assert [note.text for note in client_records(app, client).notes.all(client)] == [YOURS]
    assert MINE not in browser.get(f"/clients/{client.id}/today").text


def test_the_last_note_stands_on_the_roster_and_can_be_let_go(app, browser, client):
    write(browser, client, MINE, "coach")
    assert MINE in browser.get("/").text
    (note,) = records_for(app).notes.all(client)
    browser.post_form(f"/clients/{client.id}/notes/{note.id}/remove")
    assert records_for(app).notes.all(client) == ()
    assert MINE not in browser.get("/").text


def test_an_empty_note_and_one_for_nobody_are_refused_in_words(app, browser, client):
    assert "write a few words" in alert(write(browser, client, "  ", "coach").text)
    assert "press one of the buttons" in alert(write(browser, client, MINE, "everybody").text)
    assert records_for(app).notes.all(client) == ()


TABLE = "date,weight kg\n2026-11-28,80.1\n2026-11-29,80.3\n2026-11-30,80.2\n"


def test_a_table_is_taken_back_as_one_and_stays_in_the_history(app, browser, client):
    path = f"/clients/{client.id}/checkin"
    browser.post_form(f"{path}/weigh-in", on="2026-11-27", value="80.0", unit="kg")
    browser.post_form(f"{path}/table", pasted=TABLE, confirmed="yes")
    records = records_for(app)
    (one,) = records.log.imports(client)
    assert one.entries == 3
    assert len(records.log.read(client).entries) == 4
    page = browser.post_form(f"{path}/tables/{one.batch}/undo")
    assert page.status_code == 200
    left = records.log.read(client)
    assert [entry.on.day for entry in left.entries] == [27]
    assert len(left.history) == 3
    assert records.log.imports(client) == ()
    assert browser.post_form(f"{path}/tables/{one.batch}/undo").status_code == 404


def test_a_table_taken_back_can_be_taken_in_again(app, browser, client):
    path = f"/clients/{client.id}/checkin"
    for _ in range(2):
        browser.post_form(f"{path}/table", pasted=TABLE, confirmed="yes")
        (one,) = records_for(app).log.imports(client)
        browser.post_form(f"{path}/tables/{one.batch}/undo")
    assert records_for(app).log.read(client).entries == ()
