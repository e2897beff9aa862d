"""The roster of any length, and what a log said kept only as long as it holds."""

import dataclasses
import datetime as dt
import random
import re

import pytest

from api.records import snapshots
from api.records.roster import ROSTER_LINES
from api.records.roster_priority import last_place, needs, placed
from mealplan.checkin.decide.status import stand, standing
from mealplan.checkin.log.entries import ENTRY, WeighIn
from mealplan.demo.history import demo_history
from mealplan.store.backup import backup, restore
from mealplan.store.base import NotThere
from mealplan.store.records import Client, Logged, Snapshot
from tests.api.conftest import NOW, TODAY, a_job, add_planned, intake_json, records_for
from tests.mealplan.store.conftest import a_client
from tests.mealplan.store.memory import MemoryStore


def weigh_in(on, kg):
    return WeighIn(on=on, mass_kg=kg)


def afresh(records, client):
    """Read a log from nothing but what is kept of it."""
    return standing(
        records.intakes.in_force(records.clients.one(client.id)),
        records.log.read(client),
        records.decisions.made(client),
        records.settings.today(),
    )


def snapshot_of(store, client):
    with store.reading() as unit:
        return unit.find(Snapshot, client_id=client.id)


def falling(records, client, clock, days=40, kg_a_day=-0.35):
    """A fortnight and more of a loss far too fast for anyone."""
    first = clock.today()
    clock.at += dt.timedelta(days=days)
    chance = random.Random(4)
    records.log.add(
        client,
        [
            weigh_in(
                first + dt.timedelta(days=n), round(80 + kg_a_day * n + chance.gauss(0, 0.3), 1)
            )
            for n in range(days)
        ],
    )


@pytest.fixture
def records(app):
    return records_for(app)


@pytest.mark.parametrize("seed", range(2))
def test_what_was_kept_is_never_other_than_what_the_log_says_now(
    records, client, clock, lifter, seed
):
    chance = random.Random(seed)
    day = clock.today()

    def log_some():
        on = day + dt.timedelta(days=chance.randrange((clock.today() - day).days + 1))
        eaten = {"kind": "intake", "on": on, "adherence": "roughly", "planned_kcal": 3300}
        reading = weigh_in(on, round(80 + chance.gauss(0, 1), 1))
        records.log.add(client, [reading, ENTRY.validate_python(eaten)])

    def withdraw_an_old_one():
        entries = records.log.read(client).entries
        if entries:
            records.log.withdraw(client, chance.choice(entries).id, "wrong scale")

    def confirm_one():
        readings = records.log.read(client).of(WeighIn)
        if readings:
            records.log.confirm(client, chance.choice(readings).id)

    def amend():
        now = records.clients.one(client.id)
        changed = records.intakes.in_force(now).model_copy(
            update={"weight_kg": 79.0 + chance.random()}
        )
        records.intakes.amend(client.id, changed, "weighed again", now.intake_number)

    def turn_the_day():
        clock.at += dt.timedelta(days=chance.randrange(1, 5))

    steps = [log_some, log_some, withdraw_an_old_one, confirm_one, amend, turn_the_day]
    for _ in range(3):
        turn_the_day()
        log_some()
    for _ in range(12):
        chance.choice(steps)()
        said = afresh(records, client)
        assert records.decisions.standing(client) == said
        assert records.decisions.standing(client) == said  # as kept


def test_a_log_is_read_once_until_something_changes(app, client, clock, monkeypatch):
    import api.records.decisions

    read = []

    def counted(*asked):
        read.append(asked[3])
        return stand(*asked)

    monkeypatch.setattr(api.records.decisions, "stand", counted)
    records = records_for(app)
    clock.at += dt.timedelta(days=6)
    records.log.add(client, [weigh_in(TODAY + dt.timedelta(days=n), 80) for n in range(5)])
    for _ in range(3):
        records_for(app).decisions.standing(client)
    assert len(read) == 1
    clock.at += dt.timedelta(days=1)
    for _ in range(2):
        records.decisions.standing(client)
    # source: worked by hand (the day turned once, so the log was read once more, for that day)
    assert read == [TODAY + dt.timedelta(days=6), TODAY + dt.timedelta(days=7)]


def test_what_an_older_release_read_is_read_again(records, client, clock, store, monkeypatch):
    records.log.add(client, [weigh_in(TODAY, 80)])
    records.decisions.standing(client)
    assert [kept.maker for kept in snapshot_of(store, client)] == [snapshots.maker()]
    monkeypatch.setattr("api.records.decisions.maker", lambda: "the next release")
    records.decisions.standing(client)
    assert [kept.maker for kept in snapshot_of(store, client)] == ["the next release"]


def test_a_snapshot_that_does_not_read_is_made_again(records, client, store):
    records.log.add(client, [weigh_in(TODAY, 80)])
    said = records.decisions.standing(client)
    (kept,) = snapshot_of(store, client)
    with store.writing() as unit:
        unit.change(dataclasses.replace(kept, body='{"trend": 3}'))
    assert records.decisions.standing(client) == said
    assert snapshots.unpack(snapshot_of(store, client)[0].body) == said


def test_a_reading_logged_while_a_log_is_read_is_not_taken_for_read(
    app, client, store, monkeypatch
):
    import api.records.decisions

    records = records_for(app)
    records.log.add(client, [weigh_in(TODAY, 80)])

    def slow(*asked):
        records_for(app).log.add(client, [weigh_in(TODAY, 81)])
        monkeypatch.setattr(api.records.decisions, "stand", stand)
        return stand(*asked)

    monkeypatch.setattr(api.records.decisions, "stand", slow)
    records.decisions.standing(client)
    assert snapshot_of(store, client) == ()
    assert records.clients.one(client.id).read_on is None
    assert records.decisions.standing(client) == afresh(records, client)


def test_a_decision_made_changes_what_is_kept(records, app, lifter, planned, clock):
    past = demo_history("club-climber", clock.today())
    client = records.clients.take_on(past.intake)
    records.decisions.take_over(client, past.log.entries, ())
    records.decisions.standing(client)
    before = records.clients.one(client.id).revision
    records.decisions.take_over(client, [], past.decisions)
    assert records.clients.one(client.id).revision == before + 1
    assert records.clients.one(client.id).read_on is None
    assert records.decisions.standing(client) == afresh(records, client)


def test_erasing_a_client_erases_what_their_log_said(records, client, store):
    records.log.add(client, [weigh_in(TODAY, 80)])
    records.decisions.standing(client)
    records.file.erase(client)
    with store.reading() as unit:
        assert unit.find(Snapshot) == ()


def test_export_holds_what_the_log_said(records, client):
    records.log.add(client, [weigh_in(TODAY, 80)])
    said = records.decisions.standing(client)
    (kept,) = records.file.export(client)["Snapshot"]
    assert kept["body"]["proposal"]["summary"] == said.proposal.summary


def test_a_backup_brings_the_log_back_with_what_it_said(records, client, app, store, tmp_path):
    records.log.add(client, [weigh_in(TODAY, 80), weigh_in(TODAY, 80.4)])
    said = records.decisions.standing(client)
    backup(store, tmp_path / "one.backup", NOW)
    other = MemoryStore()
    restore(other, tmp_path / "one.backup")
    again = type(records)(other, records.settings, records.principal)
    assert again.decisions.standing(client) == said == afresh(again, client)
    with store.reading() as old, other.reading() as new:
        assert new.find(Logged) == old.find(Logged)


def test_a_grave_warning_from_the_log_comes_first_on_the_roster(
    browser, app, lifter, planned, client, clock
):
    records = records_for(app)
    calm = lifter.model_copy(update={"role": "calm rower"})
    add_planned(app, calm, planned)
    falling(records, client, clock)
    page = browser.get("/").text
    rows = re.findall(r'<th scope="row">.*?</tr>', page, re.DOTALL)
    assert "Club lifter" in rows[0]
    assert "losing over" in rows[0]
    assert "as read on" not in rows[0]
    assert "losing over" not in rows[1]


def test_a_warning_not_read_again_yet_says_when_it_was_read(records, client, clock):
    falling(records, client, clock)
    records.decisions.standing(client)
    clock.at += dt.timedelta(days=1)
    yesterday = clock.today() - dt.timedelta(days=1)
    first = needs(records.clients.one(client.id), clock.today())[0]
    assert first.endswith(f"(as read on {yesterday:%d %B})")


def not_gaining(records, client, clock):
    """Twelve weeks in which a gain did not come although all was eaten as planned."""
    first = clock.today()
    clock.at += dt.timedelta(days=84)
    chance = random.Random(7)
    entries = []
    for n in range(84):
        on = first + dt.timedelta(days=n)
        entries.append(weigh_in(on, round(80 - 0.25 * n / 7 + chance.gauss(0, 0.5), 1)))
        eaten = {"kind": "intake", "on": on, "adherence": "as planned", "planned_kcal": 3260}
        entries.append(ENTRY.validate_python(eaten))
    records.log.add(client, entries)


def test_a_proposed_move_is_named_until_it_is_decided(browser, records, client, clock):
    not_gaining(records, client, clock)
    shown = browser.get("/").text
    step = records.decisions.standing(client).proposal.step_kcal
    assert step > 0
    assert f"<strong>+{step:.0f} kcal</strong>" in shown
    records.decisions.decide(client, "decline", reason="away next week", step_kcal=None, was=1)
    shown = browser.get("/").text
    assert "decided this week" in shown
    assert f"<strong>+{step:.0f} kcal</strong>" not in shown


def test_a_proposal_of_yesterday_is_not_shown(records, client, clock):
    not_gaining(records, client, clock)
    records.decisions.standing(client)
    clock.at += dt.timedelta(days=1)
    said = needs(records.clients.one(client.id), clock.today())
    assert "log to be read again" in said
    assert not any("kcal" in need for need in said)


def test_a_decision_on_a_proposal_that_changed_meanwhile_is_refused(
    browser, records, client, clock
):
    not_gaining(records, client, clock)
    page = browser.get(f"/clients/{client.id}/checkin").text
    seen = re.search(r'name="seen" value="([\d.]+)"', page).group(1)
    readings = records.log.read(client).of(WeighIn)[-30:]
    for entry in readings:
        records.log.withdraw(client, entry.id, "the scale was broken")
    address = f"/clients/{client.id}/checkin/decide"
    answer = browser.post_form(address, do="accept", was="1", seen=seen)
    assert answer.status_code == 412
    assert "out of date" in answer.text
    assert records.decisions.made(client) == ()
    assert records.clients.one(client.id).intake_number == 1


def test_a_step_taken_leaves_the_wanted_pace_as_it_was(browser, records, client, clock):
    not_gaining(records, client, clock)
    before = records.decisions.standing(client).proposal
    records.decisions.decide(client, "accept", reason="", step_kcal=None, was=1)
    after = records.decisions.standing(client).proposal
    assert after.target_kcal == pytest.approx(before.new_target_kcal)
    rate = {line.key: line.value for line in after.working}["rate_kg_per_week"]
    # source: worked by hand (3 kg in 12 weeks)
    assert rate == pytest.approx(0.25, abs=0.001)
    form = browser.get(f"/clients/{client.id}/amend").text
    assert 'name="goal.rate_percent_per_week" value="0.3125"' in form


def test_every_date_that_needs_attention_sorts_before_those_that_do_not():
    chance = random.Random(11)
    coach = dataclasses.make_dataclass("Coach", ["id"])("c")

    def some_day(back=90, ahead=90):
        return TODAY + dt.timedelta(days=chance.randrange(-back, ahead))

    for _ in range(3000):
        client = placed(
            a_client(
                coach,
                start=some_day(),
                gravest=chance.choice(["", "", "", "note", "warn", "override", "refuse"]),
                plan_number=chance.choice([0, 1]),
                planned_until=chance.choice([None, some_day(10, 10)]),
                measured_on=chance.choice([None, some_day(100, 1)]),
                logged_on=chance.choice([None, some_day(20, 1)]),
                warning=chance.choice(["", "", "", "repeated illness"]),
                warning_severity="warn",
                move_kcal=chance.choice([0.0, 0.0, -80.0]),
            )
        )
        for ahead in range(0, 20, 3):
            today = TODAY + dt.timedelta(days=ahead)
            assert bool(needs(client, today)) == (client.place <= last_place(today)), client


def test_a_plan_ends_the_day_after_its_last_and_is_said_to_from_then_on():
    coach = dataclasses.make_dataclass("Coach", ["id"])("c")
    client = a_client(coach, start=TODAY, plan_number=1, planned_until=TODAY)
    assert [
        f"plan ends {TODAY:%A}" in needs(client, TODAY),
        "plan ended" in str(needs(client, TODAY)),
    ] == [True, False]
    tomorrow = TODAY + dt.timedelta(days=1)
    assert f"plan ended {TODAY:%d %B}" in needs(client, tomorrow)


@pytest.fixture
def many(app, lifter, store):
    """A full page and a half of clients, two of whom stand out."""
    records = records_for(app)
    for number in range(ROSTER_LINES + 14):
        records.clients.take_on(lifter.model_copy(update={"role": f"club rower {number}"}))
    records.clients.take_on(lifter.model_copy(update={"role": "Küstenschwimmer"}))
    return records


def test_a_long_roster_comes_a_page_at_a_time_and_loses_nobody(browser, many):
    first, second = (browser.get(f"/?page={number}").text for number in (1, 2))
    roles = [re.findall(r'<th scope="row"><a[^>]*>(.*?)</a>', page) for page in (first, second)]
    assert len(roles[0]) == ROSTER_LINES
    assert len(set(roles[0] + roles[1])) == ROSTER_LINES + 15
    assert "Page 1 of 2" in first
    assert "?page=2" in first
    assert f"{ROSTER_LINES + 15} clients" in first


def test_the_roster_finds_words_in_any_case_and_no_wildcards(browser, many):
    # source: worked by hand (of 0 to 43, those with a 3: 3, 13, 23, 43 and 30 to 39)
    wanted = {"küste": 1, "KÜSTEN": 1, "rower 12": 1, "gain rower 3": 14, "100%": 0, "_": 0}
    pages = {words: browser.get("/", params={"find": words}).text for words in wanted}
    assert [words for words, found in wanted.items() if f"{found} with" not in pages[words]] == []


def test_a_page_that_cannot_be_shows_one_that_can(browser, many):
    for number in ("0", "-3", "x", "99999999", "²"):
        page = browser.get("/", params={"page": number})
        assert page.status_code == 200
        assert "Page 1 of 2" in page.text or "Page 2 of 2" in page.text


def test_logs_past_a_moment_are_read_behind_the_page(store, settings, browse, lifter, clock):
    from api.app.app import create_app

    app = create_app(dataclasses.replace(settings, reading_s=0.0), store)
    records = records_for(app)
    for number in range(4):
        client = records.clients.take_on(lifter.model_copy(update={"role": f"club rower {number}"}))
        records.log.add(client, [weigh_in(TODAY, 80)])
    page = browse(app).get("/").text
    assert "3 logs are still being read" in page
    assert records.roster.page().unread == 0
    assert "still being read" not in browse(app).get("/").text
    app.state.service.jobs.close()


def test_a_log_that_cannot_be_read_says_so_and_spares_the_roster(
    records, browser, client, monkeypatch
):
    import api.records.decisions
    from mealplan.errors import TargetError

    def refused(*asked):
        raise TargetError("nobody can say")

    records.log.add(client, [weigh_in(TODAY, 80)])
    monkeypatch.setattr(api.records.decisions, "stand", refused)
    page = browser.get("/")
    assert page.status_code == 200
    assert "log cannot be read" in page.text
    assert "still being read" not in page.text


def test_clients_of_an_older_database_get_their_place(records, client, store, browser):
    with store.writing() as unit:
        unit.change(dataclasses.replace(client, place=""))
    browser.get("/")
    assert records.clients.one(client.id).place == placed(client).place


def test_withdrawing_the_newest_reading_takes_the_last_day_back(records, client, clock):
    clock.at += dt.timedelta(days=9)
    records.log.add(client, [weigh_in(TODAY, 80), weigh_in(TODAY + dt.timedelta(days=8), 81)])
    newest = records.log.read(client).entries[-1]
    records.log.withdraw(client, newest.id, "someone else stood on the scale")
    assert records.clients.one(client.id).logged_on == TODAY


def test_a_scan_in_the_log_counts_as_the_latest_measurement(records, client, clock):
    clock.at += dt.timedelta(weeks=13)
    assert any("weeks old" in need for need in needs(records.clients.one(client.id), clock.today()))
    scan = {"kind": "scan", "on": clock.today(), "fat_kg": 12, "lean_kg": 68}
    records.log.add(client, [ENTRY.validate_python(scan)])
    assert not any(
        "weeks old" in need for need in needs(records.clients.one(client.id), clock.today())
    )


def test_the_demo_clients_come_with_their_weeks_and_decisions(browser, app, clock):
    browser.post_form("/demo")
    records = records_for(app)
    lifter = records.clients.of_role("club lifter")
    past = demo_history("club-lifter", clock.today())
    assert len(records.log.read(lifter).entries) == len(past.log.entries)
    assert records.decisions.made(lifter) == past.decisions
    moved = [made for made in past.decisions if made.step_kcal]
    assert lifter.intake_number == 1 + len(moved)
    assert records.intakes.in_force(lifter).goal.energy_kcal == moved[-1].new_target_kcal
    assert 77 <= (clock.today() - lifter.start).days <= 83
    page = browser.get(f"/clients/{lifter.id}/checkin")
    assert page.status_code == 200
    assert "weigh-in" in page.text
    assert "Load the demo clients" not in browser.get("/").text


def test_a_roster_is_of_one_coachs_clients(app, store, clock, lifter):
    from api.security import accounts
    from tests.api.conftest import PASSWORD

    north, south = (accounts.add_coach(store, name, PASSWORD, clock.at) for name in ("n-1", "s-1"))
    client = records_for(app, north.id).clients.take_on(lifter)
    assert records_for(app, south.id).roster.page().everyone == 0
    assert records_for(app, south.id).clients.of_role(client.role) is None
    assert [c.id for c in records_for(app, north.id).roster.page().clients] == [client.id]
    with pytest.raises(NotThere):
        records_for(app, south.id).decisions.standing(client)


def test_the_interface_amends_and_the_log_is_read_anew(browser, records, client, lifter):
    records.log.add(client, [weigh_in(TODAY, 80)])
    records.decisions.standing(client)
    browser.put(
        f"/api/clients/{client.id}/intake",
        json={"intake": intake_json(lifter, weight_kg=81.0), "reason": "weigh-in"},
        headers={"If-Match": '"1"'},
    )
    assert isinstance(records.clients.one(client.id), Client)
    assert records.clients.one(client.id).read_on is None
    assert records.decisions.standing(client) == afresh(records, client)


def test_people_logging_at_once_and_a_reader_behind_them_lose_nothing(app, client):
    from concurrent.futures import ThreadPoolExecutor

    def log_some(person):
        records = records_for(app)
        for n in range(6):
            records.log.add(client, [weigh_in(TODAY - dt.timedelta(days=n), 80 + person)])

    def read_some():
        for _ in range(6):
            records_for(app).decisions.standing(client)

    with ThreadPoolExecutor(4) as pool:
        done = [pool.submit(log_some, person) for person in range(3)] + [pool.submit(read_some)]
        for each in done:
            each.result()
    records = records_for(app)
    # source: worked by hand (three people, six readings each)
    assert len(records.log.read(client).entries) == 18
    assert records.clients.one(client.id).revision == 18
    assert records.decisions.standing(client) == afresh(records, client)


def test_the_interface_names_the_needs_the_page_names_and_to_the_coach_alone(
    browser, app, records, client, clock
):
    falling(records, client, clock)
    browser.get("/")
    body = browser.get(f"/api/clients/{client.id}").json()
    (listed,) = browser.get("/api/clients").json()["clients"]
    assert body == listed
    assert body["needs"] == list(needs(records.clients.one(client.id), clock.today()))
    assert body["needs"][0].startswith("losing over")
    from api.json.clients import _client
    from api.records.view import Principal

    link = dataclasses.replace(records.principal, kind="client", client_id=client.id)
    assert isinstance(link, Principal)
    theirs = type(records)(records.store, records.settings, link)
    assert _client(records.clients.one(client.id), theirs).needs == ()


def test_a_roster_is_planned_in_one_go_and_says_who_has_no_plan(app, browser, lifter):
    records = records_for(app)
    young = lifter.model_copy(update={"role": "club junior", "age_years": 15})
    clients = [records.clients.take_on(intake) for intake in (lifter, young)]
    page = browser.post_form("/roster-plans", first="2026-12-07")
    assert "The roster is planned" in page.text
    assert "1 of 2 planned, 1 without a plan" in page.text
    assert f'href="/clients/{clients[1].id}"' in page.text
    assert records.clients.one(clients[0].id).planned_until == dt.date(2026, 12, 13)
    assert records.clients.one(clients[1].id).plan_number == 0
    id_ = page.url.path.rpartition("/")[2]
    body = browser.get(f"/api/roster-plans/{id_}").json()
    assert (body["clients"], body["done"], body["failed"], body["ended"]) == (2, 1, 1, True)
    assert body["refused"][0]["client_id"] == clients[1].id
    assert body["refused"][0]["error"]["code"] == "refused_for_safety"


def test_a_stopped_roster_goes_on_with_those_who_have_no_plan(app, browser, lifter):
    records = records_for(app)
    clients = [records.clients.take_on(lifter) for _ in range(2)]
    whole = a_job(
        app, clients[0], client_id="", task="roster", state="stopped",
        wish='{"first": "2026-12-07", "days": 1}',
    )  # fmt: skip
    a_job(app, clients[0], part_of=whole.id, state="done")
    a_job(app, clients[1], part_of=whole.id, state="stopped")
    assert "Go on with the rest" in browser.get(f"/roster-plans/{whole.id}").text
    answer = browser.post(f"/api/roster-plans/{whole.id}/resume").json()
    assert (answer["clients"], answer["done"], answer["stopped"]) == (2, 2, 0)
    assert records.clients.one(clients[0].id).plan_number == 0  # counted as planned before
    assert records.clients.one(clients[1].id).planned_until == dt.date(2026, 12, 7)


@pytest.mark.parametrize("first", ["", "soon", "1999-01-01"])
def test_a_roster_is_not_planned_from_a_day_that_cannot_be(browser, first):
    page = browser.post_form("/roster-plans", first=first)
    assert page.status_code == 422
