"""The three users' ways through a real browser: phone and desktop, scripts off, paper, axe."""

import datetime as dt
import importlib.util
import random
import re
from pathlib import Path

import pytest

from api.records.own_kept import keep_dish, keep_food
from api.security import accounts
from foods.custom.as_catalogue import catalogue_with
from foods.custom.own_file import parse_own_foods
from foods.dishes.load import own_dishes
from mealplan.checkin.log.entries import ENTRY
from mealplan.demo.folders import demo_intake, example_text
from tests.api.conftest import PASSWORD, Clock, add_planned, records_for
from tests.api.real_browser import (
    NO_COPY,
    PATIENCE_MS,
    PHONE,
    SIZES,
    kept_by_the_device,
    patient,
    press,
    serve,
    usual_settings,
)

pytestmark = pytest.mark.browser

MOST_PAGE_BYTES = 100_000
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


class Site:
    """A running service with one planned client."""

    def __init__(self, address, app, client, coach_id):
        self.address = address
        self.app = app
        self.client = client
        self.coach_id = coach_id

    def pages(self):
        root = f"/clients/{self.client.id}"
        day = "2026-12-01"
        return {
            "roster": "/",
            "new client": "/clients/new",
            "file": root,
            "amend": f"{root}/amend",
            "worksheet": f"{root}/worksheet",
            "week": f"{root}/week",
            "day": f"{root}/days/{day}",
            "day changed": f"{root}/days/{day}?changed=yes",
            "today": f"{root}/today",
            "stove": f"{root}/days/{day}/stove",
            "others": f"{root}/days/{day}/meals/2/others",
            "dish": f"{root}/days/{day}/meals/0",
            "cooking": f"{root}/cooking",
            "list": f"{root}/list",
            "paper": f"{root}/paper",
            "tastes": f"{root}/tastes",
            "check-in": f"{root}/checkin",
            "looking back": f"{root}/review?start=2026-11-04&end=2026-12-01",
            "too early to look back": f"{root}/review",
            "erase": f"{root}/erase",
            "own": "/own",
            "own food": "/own/foods/own_vegetable_burger_chilled",
            "own dish": "/own/dishes/own-burger-potatoes-slaw",
            "error": "/clients/none",
            "offline": "/offline",
        }


def add_history(app, client):
    """Four weeks of readings before the clock's day."""
    rng = random.Random(5)
    days = [Clock().today() - dt.timedelta(days=back) for back in range(28)]
    readings = [
        ENTRY.validate_python(
            {"kind": "weigh-in", "on": day, "value": round(80 + rng.gauss(0, 0.5), 1)}
        )
        for day in days
    ]
    eaten = [
        ENTRY.validate_python(
            {"kind": "intake", "on": day, "adherence": "as planned", "planned_kcal": 3260}
        )
        for day in days
    ]
    ends = [
        ENTRY.validate_python({"on": on, **entry})
        for on in (days[-1], days[0])
        for entry in (
            {"kind": "scan", "fat_kg": 12.1, "lean_kg": 67.9, "machine": "one"},
            {"kind": "girth", "site": "waist", "value": 82.5},
            {"kind": "test", "name": "back squat", "value": 120, "unit": "kg"},
        )
    ]
    records_for(app, client.coach_id).log.add(client, [*readings, *eaten, *ends])


def add_own(app, coach_id):
    """Foods and dishes of the coach's own."""
    foods = parse_own_foods(example_text("foods"))
    records = records_for(app, coach_id)
    for food in foods:
        keep_food(records, food, "entered", 0)
    for dish in own_dishes(example_text("dishes"), "dishes", catalogue_with(foods)):
        keep_dish(records, dish, "entered", 0)


@pytest.fixture(scope="module")
def site(planned):
    running = serve(usual_settings())
    address, app = next(running)
    client = add_planned(app, demo_intake("club-lifter"), planned)
    add_history(app, client)
    add_own(app, client.coach_id)
    yield Site(address, app, client, client.coach_id)
    running.close()


@pytest.fixture(scope="module")
def guarded(planned):
    """The same with accounts."""
    running = serve(usual_settings(accounts=True))
    address, app = next(running)
    coach = accounts.add_coach(app.state.service.store, "north", PASSWORD, Clock().now())
    client = add_planned(app, demo_intake("club-lifter"), planned, coach.id)
    yield Site(address, app, client, coach.id)
    running.close()


@pytest.fixture(params=sorted(SIZES))
def page(request, chromium):
    context = patient(chromium.new_context(**SIZES[request.param], service_workers="block"))
    opened = context.new_page()
    faults = []
    opened.on("console", lambda m: faults.append(m.text) if m.type == "error" else None)
    opened.on("pageerror", lambda error: faults.append(str(error)))
    yield opened
    context.close()
    # What the browser itself reports of a refused page is not a fault of the page.
    assert [f for f in faults if "Failed to load resource" not in f] == []


@pytest.fixture(scope="module")
def axe():
    found = importlib.util.find_spec("axe_playwright_python")
    if found is None:
        pytest.skip("axe-core is not installed: pip install axe-playwright-python")
    return (Path(found.origin).parent / "axe.min.js").read_text(encoding="utf-8")


def violations(page, axe):
    page.evaluate(axe)
    found = page.evaluate("tags => axe.run(document, {runOnly: {type: 'tag', values: tags}})", TAGS)
    return [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found["violations"]]


def test_axe_finds_nothing_on_any_page(site, page, axe):
    for name, path in site.pages().items():
        page.emulate_media(color_scheme="light")
        page.goto(site.address + path)
        assert (name, violations(page, axe)) == (name, [])
        page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
        assert (name, "opened", violations(page, axe)) == (name, "opened", [])
        page.emulate_media(color_scheme="dark")
        assert (name, "dark", violations(page, axe)) == (name, "dark", [])


def test_a_long_roster_is_found_through_with_the_keyboard_and_axe_finds_nothing(page, axe):
    running = serve(usual_settings())
    address, app = next(running)
    records = records_for(app)
    for number in range(35):
        records.clients.take_on(
            demo_intake("club-lifter").model_copy(update={"role": f"rower {number}"})
        )
    page.goto(address)
    assert violations(page, axe) == []
    press(page, "text=Next")
    assert "Page 2 of 2" in page.inner_text("main")
    assert violations(page, axe) == []
    page.focus("#find")
    page.keyboard.type("rower 33")
    with page.expect_navigation(url="**find=rower+33**"):
        page.keyboard.press("Enter")
    assert page.locator("main tbody").count() == 1  # a client is one group of rows
    assert violations(page, axe) == []
    running.close()


def test_axe_finds_nothing_on_pages_with_accounts(guarded, page, axe):
    page.goto(guarded.address + "/sign-in")
    assert violations(page, axe) == []
    page.fill("#login", "north")
    page.fill("#password", "not the password")
    press(page, "button.main")
    assert violations(page, axe) == []
    sign_in(page, guarded)
    page.goto(f"{guarded.address}/clients/{guarded.client.id}")
    press(page, "button:has-text('Hand out a link')")
    assert violations(page, axe) == []
    page.goto(f"{guarded.address}/clients/{guarded.client.id}")
    assert violations(page, axe) == []


def test_axe_finds_nothing_on_a_form_that_was_not_taken(site, page, axe):
    page.goto(site.address + "/clients/new")
    page.fill("[name=role]", "club rower")
    for name, value in (("age_years", "30"), ("height_cm", "17"), ("weight_kg", "62")):
        page.fill(f"[name={name}]", value)
    page.select_option("[name='sex']", "female")
    page.select_option("[name='goal.phase']", "gain")
    press(page, "button:has-text('Enter the client and work the targets out')")
    assert "write 170 cm, 1.70 m or 5 ft 7" in page.inner_text("#message")
    assert violations(page, axe) == []


def test_axe_finds_nothing_on_a_log_form_that_was_not_taken(site, page, axe):
    page.goto(f"{site.address}/clients/{site.client.id}/checkin")
    page.click("summary:has-text('Girths')")
    page.fill("#girths-waist", "820")
    press(page, "button:has-text('Log the girths')")
    assert "check the number and the unit" in page.inner_text("#message")
    assert page.input_value("#girths-waist") == "820"
    assert violations(page, axe) == []


def test_everything_is_logged_with_the_keyboard_and_scripts_off(site, chromium):
    context = patient(chromium.new_context(java_script_enabled=False, **PHONE))
    opened = context.new_page()
    opened.goto(f"{site.address}/clients/{site.client.id}/checkin")
    opened.locator("summary:has-text('How it felt')").focus()
    opened.keyboard.press("Enter")
    opened.locator("[aria-label='How it felt'] input[name=sleep][value='4']").focus()
    opened.keyboard.press("Space")
    with opened.expect_navigation():
        opened.locator("[aria-label='How it felt'] button").press("Enter")
    opened.locator("#log summary").click()
    assert "How it felt, sleep 4" in opened.inner_text("#log")
    context.close()


def test_no_page_is_wider_than_the_screen(site, page):
    for name, path in site.pages().items():
        page.goto(site.address + path)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert (name, max(wide, 0)) == (name, 0)


def test_a_first_load_weighs_less_than_100_kb_and_asks_no_other_host(site, chromium):
    weights = {}
    for name, path in site.pages().items():
        context = patient(chromium.new_context(service_workers="block"))
        opened = context.new_page()
        sizes = []
        hosts = set()

        def note(response, sizes=sizes, hosts=hosts):
            hosts.add(response.url.split("/")[2])
            sizes.append(len(response.body()))

        opened.on("response", note)
        opened.goto(site.address + path, wait_until="load")
        assert hosts == {site.address.partition("//")[2]}
        weights[name] = sum(sizes)
        context.close()
    heaviest = max(weights, key=weights.get)
    assert weights[heaviest] < MOST_PAGE_BYTES, weights


def sign_in(page, guarded):
    page.goto(guarded.address + "/sign-in")
    page.fill("#login", "north")
    page.fill("#password", PASSWORD)
    press(page, "button.main")


def test_a_coach_comes_from_sign_in_to_a_first_plan_in_few_clicks(guarded, page):
    sign_in(page, guarded)
    press(page, "text=New client")
    page.locator("#pasted").fill(
        demo_intake("club-climber").model_copy(update={"role": "wall climber"}).model_dump_json()
    )
    press(page, page.locator("button:has-text('Enter the client')").nth(1))
    with page.expect_navigation(url=re.compile(r"/week(\?|$)"), timeout=2 * PATIENCE_MS):
        page.click("text=Plan the week")  # which is planned meanwhile
    # The grid on a records, days one under the other on a phone.
    shown = page.locator(".week" if page.viewport_size["width"] > 800 else ".days-narrow").first
    assert shown.is_visible()
    page.goto(guarded.address)
    press(page, "text=Wall climber")
    press(page, "text=Erase")
    page.fill("#sure", "wall climber")
    press(page, "text=Erase for good")
    assert "Wall climber" not in page.content()


def test_an_athlete_changes_a_dish_with_the_keyboard_alone(guarded, page):
    token, _ = records_for(guarded.app, guarded.coach_id).links.hand_out(guarded.client, 3)
    page.goto(f"{guarded.address}/link/{token}")
    page.goto(f"{guarded.address}/clients/{guarded.client.id}/days/2026-12-02")
    before = page.locator("h3").first.inner_text()
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.innerText").startswith("Change "):
            break
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.innerText") == "Another dish"
    with page.expect_navigation(url="**/others"):
        page.keyboard.press("Enter")
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.innerText").startswith("Take this"):
            break
    with page.expect_navigation(url="**changed=yes"):
        page.keyboard.press("Enter")
    assert page.locator("h3").first.inner_text() != before
    assert "on Wednesday" in page.inner_text("[role=status]")


def test_focus_can_be_seen(site, page):
    page.goto(site.address)
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
    assert float(outline.removesuffix("px")) >= 2


def test_everything_works_with_scripts_off(site, chromium):
    context = patient(chromium.new_context(java_script_enabled=False))
    opened = context.new_page()
    opened.goto(f"{site.address}/clients/{site.client.id}/days/2026-12-02")
    opened.click("text=Change breakfast")
    press(opened, "a:has-text('Another dish')")
    press(opened, "button:has-text('Take this')")
    opened.get_by_text("on Wednesday").first.wait_for()
    press(opened, "text=Look at another day")
    opened.get_by_text("What would change").first.wait_for()
    press(opened, "text=Leave the plan as it is")
    opened.goto(f"{site.address}/clients/{site.client.id}/worksheet")
    opened.locator("main summary").first.click()
    assert opened.locator("details[open]").count() == 1
    opened.goto(f"{site.address}/clients/{site.client.id}/list")
    opened.locator("input[type=checkbox]").first.check()
    context.close()


def test_ticks_on_the_list_stay_and_the_list_reads_without_signal(site, chromium):
    context = patient(chromium.new_context(**PHONE))
    opened = context.new_page()
    address = f"{site.address}/clients/{site.client.id}/list"
    opened.goto(address)
    kept_by_the_device(opened, address)
    with opened.expect_response("**/waiting"):
        opened.locator("input[type=checkbox]").nth(2).check()
    other = chromium.new_page()  # another holder of the list
    other.goto(address)
    assert other.locator("input[type=checkbox]").nth(2).is_checked()
    other.close()
    context.set_offline(True)
    opened.reload()
    assert opened.locator("h1").inner_text() == "Shopping list"
    assert "this page is as of" in opened.locator("p.kept").inner_text()
    assert opened.locator("input[type=checkbox]").nth(2).is_checked()
    opened.goto(f"{site.address}/clients/{site.client.id}/worksheet")
    assert opened.locator("h1").inner_text() == "No signal"
    context.close()


def kept_by(opened, site):
    """Open a client's link, ask for a copy, and read the list, so that it is kept."""
    records = records_for(site.app, site.coach_id)
    token, link = records.links.hand_out(site.client, 7)
    opened.goto(f"{site.address}/link/{token}")
    kept_by_the_device(opened, f"{site.address}/clients/{site.client.id}/list")
    assert opened.locator("h1").inner_text() == "Shopping list"
    return link


def offline_reads(context, opened, site):
    context.set_offline(True)
    try:
        opened.goto(f"{site.address}/clients/{site.client.id}/list")
        return opened.locator("h1").inner_text()
    except Exception:
        return "nothing"
    finally:
        context.set_offline(False)


AS_BEFORE = """([before, same]) => caches.keys().then(
    names => names.some(name => before.includes(name)) === same)"""


def copies(opened):
    names = opened.evaluate("caches.keys()")
    return {name for name in names if name.startswith("kept-")}


@pytest.mark.parametrize("what", ["nothing", "taken back", "hidden", "another", "forgotten"])
def test_a_kept_copy_is_gone_once_it_is_not_its_holders_any_more(guarded, chromium, what):
    context = patient(chromium.new_context(**PHONE))
    opened = context.new_page()
    link = kept_by(opened, guarded)
    records = records_for(guarded.app, guarded.coach_id)
    assert offline_reads(context, opened, guarded) == "Shopping list"
    if what == "taken back":
        records.links.take_back(guarded.client, link.id)
        opened.goto(f"{guarded.address}/clients/{guarded.client.id}/today")
    elif what == "hidden":
        client = records.clients.one(guarded.client.id)
        before = copies(opened)
        for hide in (True, False):
            changed = records.intakes.in_force(client).model_copy(update={"hide_numbers": hide})
            client = records.intakes.amend(client.id, changed, "for a test", client.intake_number)
            opened.goto(f"{guarded.address}/clients/{guarded.client.id}/today")
            # with numbers hidden, another copy
            opened.wait_for_function(AS_BEFORE, arg=[sorted(before), not hide])
        context.close()
        return
    elif what == "another":
        opened.goto(f"{guarded.address}/sign-in")
        opened.fill("#login", "north")
        opened.fill("#password", PASSWORD)
        press(opened, opened.get_by_role("button", name="Sign in"))
    elif what == "forgotten":
        opened.goto(f"{guarded.address}/clients/{guarded.client.id}/today")
        press(opened, opened.get_by_role("button", name="Forget this device"))
    if what != "nothing":
        opened.wait_for_function(NO_COPY)
    read = offline_reads(context, opened, guarded)
    context.close()
    assert (read == "Shopping list") == (what == "nothing")


def pages_of(pdf):
    return len(re.findall(rb"/Type\s*/Page[^s]", pdf))


@pytest.mark.parametrize(
    ("name", "most"), [("week", 2), ("list", 2), ("day", 4), ("worksheet", 4), ("looking back", 1)]
)
def test_pages_print_on_few_sheets(site, chromium, name, most):
    context = chromium.new_context(service_workers="block")
    opened = context.new_page()
    opened.goto(site.address + site.pages()[name])
    assert 1 <= pages_of(opened.pdf(prefer_css_page_size=True)) <= most
    context.close()


def test_paper_shows_no_buttons_and_no_navigation(site, page):
    page.emulate_media(media="print")
    for name in ("week", "day", "list", "worksheet", "file", "check-in", "looking back"):
        page.goto(site.address + site.pages()[name])
        shown = [b for b in page.locator("button, nav, .button").all() if b.is_visible()]
        assert (name, len(shown)) == (name, 0)
