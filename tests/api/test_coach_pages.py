import re
import threading

import pytest

from mealplan.plan import Plan
from mealplan.store.records import OF_A_CLIENT, Client
from tests.api.conftest import alert, intake_json, records_for


def test_an_empty_roster_offers_a_new_client_and_the_demo_clients(browser):
    page = browser.get("/").text
    assert "New client" in page
    assert "Load the demo clients" in page


def test_the_demo_clients_load_by_one_button_and_only_once(browser):
    browser.post_form("/demo")
    page = browser.post_form("/demo").text
    # source: common practice (three demo clients ship)
    assert page.count('scope="row"') == 3
    assert "Load the demo clients" not in page


def test_the_roster_says_who_has_no_plan(browser):
    assert browser.post_form("/demo").text.count("no plan yet") == 3


def test_a_page_of_a_plan_that_is_not_there_leads_to_where_it_is_made(app, browser):
    browser.post_form("/demo")
    client = records_for(app).clients.all()[0]
    for place in ("week", "list", "cooking"):
        page = browser.get(f"/clients/{client.id}/{place}")
        assert page.status_code == 404
        assert f'href="/clients/{client.id}">The client&#39;s file' in page.text.replace(
            "'", "&#39;"
        )
        assert "Nothing is planned yet for the" in page.text


def test_the_roster_says_when_a_plan_ended(browser, client, clock):
    clock.at = clock.at.replace(month=12, day=20)
    assert "plan ended 06 December" in browser.get("/").text


def test_local_mode_says_that_no_password_is_asked(browser):
    assert "no password is asked" in browser.get("/").text


FORM = {
    "role": "club rower",
    "sex": "female",
    "age_years": "31",
    "height_cm": "170",
    "weight_kg": "62.5",
    "start": "2026-12-07",
    "training_status": "intermediate",
    "sessions_per_week": "4",
    "goal.phase": "gain",
    "activity.method": "component",
    "activity.everyday_factor": "1.3",
    "activity.sessions": "mon, 02072, 60, hard\nthu, 02054, 45",
    "tastes.allergies": ["soy", "sesame"],
    "tastes.never": "natto, aubergine",
    "kitchen.meals": "4",
    "kitchen.hands_on_min": "mon 30, sat 90",
    "tastes.heat_max": "2",
    "kitchen.people": "1",
    "kitchen.units": "metric",
}


def test_a_client_taken_on_by_form_has_what_was_typed(browser):
    page = browser.post_form("/clients", **FORM)
    client_id = page.url.path.rpartition("/")[2]
    intake = browser.get(f"/api/clients/{client_id}/intake").json()["intake"]
    assert (intake["weight_kg"], intake["tastes"]["allergies"]) == (62.5, ["soy", "sesame"])
    assert intake["kitchen"]["hands_on_min"] == {"mon": 30, "sat": 90}
    assert [s["minutes"] for s in intake["activity"]["sessions"]] == [60, 45]
    assert intake["tastes"]["never"] == ["natto", "aubergine"]


def test_a_form_that_is_not_taken_comes_back_with_all_that_was_typed(browser):
    page = browser.post_form("/clients", **(FORM | {"height_cm": "5.7"}))
    assert page.status_code == 422
    assert "would be 5.7 cm, outside 100 to 250" in alert(page.text)
    assert 'value="5.7"' in page.text
    assert "thu, 02054, 45" in page.text
    assert 'value="natto, aubergine"' in page.text
    assert re.search(r'value="sesame" checked', page.text)
    assert re.search(r'name="height_cm"[^>]*aria-invalid="true"', page.text)


def test_a_number_in_words_comes_back_with_how_to_write_it(browser):
    page = browser.post_form("/clients", **(FORM | {"weight_kg": "some kg"}))
    assert "62 kg, 156 lb or 11 st 4" in alert(page.text)
    assert 'value="some kg"' in page.text


def test_an_unknown_food_is_said_while_the_form_is_at_hand(browser):
    page = browser.post_form("/clients", **(FORM | {"tastes.never": "aubergin"}))
    assert page.status_code == 422
    assert "aubergin" in alert(page.text)


def test_an_unknown_activity_is_said_while_the_form_is_at_hand(browser):
    page = browser.post_form(
        "/clients", **(FORM | {"activity.sessions": "mon, zorbing uphill, 30"})
    )
    assert page.status_code == 422
    assert "zorbing" in alert(page.text)


def test_pasted_text_that_is_not_json_comes_back_as_pasted(browser):
    page = browser.post_form("/clients/json", pasted='{"role": "club rower",')
    assert page.status_code == 422
    assert "is not JSON" in alert(page.text)
    assert "{&#34;role&#34;: &#34;club rower&#34;," in page.text


def test_a_file_is_taken_as_well_as_pasted_text(browser, lifter):
    browser.get("/")
    page = browser.post(
        "/clients/json",
        data={"guard": browser.cookies["guard"]},
        files={"file": ("lifter.json", lifter.model_dump_json().encode())},
    )
    assert page.status_code == 200
    assert "Club lifter" in page.text


def test_a_file_that_is_not_text_is_refused_with_how_to_mend_it(browser):
    browser.get("/")
    page = browser.post(
        "/clients/json",
        data={"guard": browser.cookies["guard"]},
        files={"file": ("lifter.json", b"\xff\xfe\x00")},
    )
    assert "UTF-8" in alert(page.text)


def test_a_body_beyond_an_intakes_size_is_turned_away(browser):
    page = browser.post_form("/clients/json", pasted="x" * 2_000_000)
    assert page.status_code == 413


def test_a_client_refused_for_safety_is_kept_and_says_whom_to_see(browser, lifter):
    page = browser.post_form(
        "/clients/json", pasted=lifter.model_copy(update={"age_years": 15}).model_dump_json()
    )
    assert page.status_code == 200
    assert "Refused for safety" in page.text
    plans = browser.post_form(f"{page.url.path}/plans", first="2026-12-07", days="7")
    assert plans.status_code == 422
    assert "Refused for safety" in plans.text


def test_every_number_of_the_worksheet_opens_to_its_working(browser, client):
    page = browser.get(f"/clients/{client.id}/worksheet").text
    targets = browser.get(f"/api/clients/{client.id}/targets").json()
    for line in targets["worksheet"]:
        assert f"<summary>{line['label']}</summary>" in page
    for target in targets["days"][0]["ranges"].values():
        assert target["label"] in page


def test_an_amended_intake_keeps_the_one_before_and_why(browser, client, lifter):
    page = browser.post_form(
        f"/clients/{client.id}/amend/json",
        pasted=lifter.model_copy(update={"weight_kg": 81.5}).model_dump_json(),
        reason="new weigh-in",
        was="1",
    )
    assert "new weigh-in" in page.text
    assert "weight_kg 80.0 → 81.5" in page.text
    assert (
        "intake 1, no longer in force"
        in browser.get(f"/clients/{client.id}/worksheet?intake=1").text
    )


def test_two_editors_never_overwrite_each_other(browser, client, lifter):
    def amend(weight):
        return browser.post_form(
            f"/clients/{client.id}/amend/json",
            pasted=lifter.model_copy(update={"weight_kg": weight}).model_dump_json(),
            reason="weigh-in",
            was="1",
        )

    assert amend(81.0).status_code == 200
    second = amend(82.0)
    assert second.status_code == 412
    assert "amended meanwhile" in second.text
    intake = browser.get(f"/api/clients/{client.id}/intake").json()
    assert (intake["number"], intake["intake"]["weight_kg"]) == (2, 81.0)


def test_of_many_editors_at_once_exactly_one_is_taken(app, client, lifter):
    from api.records.view import Stale
    from tests.api.conftest import records_for

    start = threading.Barrier(6)
    taken, refused = [], []

    def amend(weight):
        records = records_for(app, client.coach_id)
        intake = lifter.model_copy(update={"weight_kg": weight})
        start.wait()
        try:
            records.intakes.amend(client.id, intake, "weigh-in", 1)
            taken.append(weight)
        except Stale:
            refused.append(weight)

    threads = [threading.Thread(target=amend, args=(80.0 + n,)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(taken), len(refused)) == (1, 5)
    assert (
        records_for(app, client.coach_id).intakes.in_force(client_now(app, client)).weight_kg
        == taken[0]
    )


def client_now(app, client):
    from tests.api.conftest import records_for

    return records_for(app, client.coach_id).clients.one(client.id)


def test_the_amend_form_round_trips_an_intake(browser, client, lifter):
    from api.forms.intake import to_data, to_typed
    from mealplan.client.read import parse_intake

    assert parse_intake(to_data(to_typed(lifter), intake_json(lifter))) == lifter


def test_a_change_without_a_reason_is_refused(browser, client, lifter):
    page = browser.post_form(
        f"/clients/{client.id}/amend/json", pasted=lifter.model_dump_json(), reason=" ", was="1"
    )
    assert page.status_code == 422
    assert "reason is empty" in alert(page.text)


def test_planning_a_week_leads_to_its_grid(browser, client):
    page = browser.post_form(f"/clients/{client.id}/plans", first="2026-12-07", days="2")
    assert page.url.path == f"/clients/{client.id}/week"
    assert "Mon 07" in page.text


def test_export_holds_everything_and_no_secrets(browser, client):
    data = browser.get(f"/clients/{client.id}/export.json").json()
    assert set(data) == {"client"} | {kind.__name__ for kind in OF_A_CLIENT}
    Plan.model_validate(data["SavedPlan"][0]["body"])
    assert "token_hash" not in str(data)


def test_erasing_needs_the_role_typed_and_leaves_nothing(browser, client, app):
    page = browser.post_form(f"/clients/{client.id}/erase", sure="somebody")
    assert page.status_code == 422
    browser.post_form(f"/clients/{client.id}/erase", sure="Club Lifter")
    with app.state.service.store.reading() as unit:
        assert unit.find(Client) == ()
        assert all(unit.find(kind, client_id=client.id) == () for kind in OF_A_CLIENT)
    assert browser.get(f"/clients/{client.id}").status_code == 404


def test_a_fault_stands_beside_its_field_with_what_was_typed(browser):
    typed = {"role": "club rower", "weight_kg": "620 kg", "height_cm": "5 ft 7"}
    page = browser.post_form("/clients", **typed)
    assert page.status_code == 422
    assert 'value="620 kg"' in page.text
    assert 'value="5 ft 7"' in page.text
    beside = page.text.split('id="f-weight_kg"')[1].split("</div>")[0]
    assert "outside 25 to 350" in beside
    assert "weight_kg=" not in page.text


def test_a_client_is_taken_on_in_words_and_units_as_people_write(app, browser):
    done = browser.post_form(
        "/clients",
        **{
            "role": "club rower", "sex": "female", "age_years": "28 years", "height_cm": "1,70 m",
            "weight_kg": "9 st 10", "start": "2026-12-07", "training_status": "intermediate",
            "sessions_per_week": "4", "goal.phase": "hold", "activity.method": "component",
            "activity.everyday_factor": "1,3", "time_zone": "Europe/Berlin",
            "activity.sessions": "mon, 17:30, easy run, 45 min\ntue, strength, 1 h, hard",
            "kitchen.meals": "4", "kitchen.people": "1",
        },
    )  # fmt: skip
    assert done.status_code == 200, alert(done.text)
    records = records_for(app)
    intake = records.intakes.in_force(records.clients.all()[0])
    assert intake.height_cm == 170
    assert intake.weight_kg == pytest.approx(61.69, abs=0.01)
    assert [s.activity for s in intake.activity.sessions] == ["12029", "02054"]
