"""A clinic's file over the page and over JSON."""

import json

BUNDLE = {
    "resourceType": "Bundle",
    "type": "collection",
    "entry": [
        {
            "resource": {
                "resourceType": "Observation",
                "status": "final",
                # source: confirmed by independent transcription (LOINC 29463-7 is body weight)
                "code": {"coding": [{"system": "http://loinc.org", "code": code}]},
                "effectiveDateTime": "2020-01-02",
                "valueQuantity": {"value": value, "unit": "kg", "code": "kg"},
            }
        }
        for code, value in (("29463-7", 79.5), ("1234-5", 1))
    ],
}


def in_force(browser, client):
    return browser.get(f"/api/clients/{client.id}/intake").json()["intake"]["weight_kg"]


def test_json_takes_a_clinics_file_and_says_what_it_passed_over(browser, client):
    answer = browser.post(f"/api/clients/{client.id}/observations", json=BUNDLE)
    assert answer.status_code == 201
    assert "not among" in answer.json()["passed_over"][0]
    assert in_force(browser, client) == 79.5
    given = browser.get(f"/api/clients/{client.id}/observations").json()
    assert given["resourceType"] == "Bundle"


def test_the_page_takes_it_where_an_intake_is_pasted(browser, client):
    answer = browser.post_form(
        f"/clients/{client.id}/amend/json",
        pasted=json.dumps(BUNDLE),
        reason="from the clinic",
        was="1",
    )
    assert answer.status_code == 200
    assert in_force(browser, client) == 79.5
    given = browser.get(f"/clients/{client.id}/observations.json")
    assert "79.5" in given.text


def test_another_file_is_refused_in_words(browser, client):
    answer = browser.post(f"/api/clients/{client.id}/observations", json={"resourceType": "X"})
    assert answer.status_code == 422
    assert "Bundle of Observations" in answer.text
