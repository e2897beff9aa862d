import datetime as dt
import re
from dataclasses import fields
from importlib.resources import files

import jinja2.meta
import pytest
from markupsafe import Markup

from api.desk.planning import RosterRun
from api.desk.shared_table import SharedPots
from api.forms.intake_fields import GROUPS
from api.pages import coach_contexts, contexts, plan_contexts, rendering
from api.records.changes import Outlook, PlanStatus
from mealplan.method.entries import find_equations
from mealplan.physiology.guard.findings import Finding
from mealplan.rules.weights import by_family
from mealplan.targets.season import season_steps
from tests.api.conftest import a_job, add_planned, records_for

COMMON = {"guard", "local", "coach", "signed_in", "guard_name", "hide", "discreet"}
"""What every page is given beside its context."""


def own_templates():
    names = (entry.name for entry in (files("api") / "templates").iterdir())
    return sorted(name for name in names if name.endswith(".html"))


def test_every_page_template_has_a_context_and_every_context_a_template():
    pages = {name for name in own_templates() if not name.startswith("_") and name != "page.html"}
    assert {page.template for page in contexts.PAGES} == pages


@pytest.mark.parametrize("page", contexts.PAGES, ids=lambda page: page.template)
def test_a_template_uses_every_field_of_its_context_and_nothing_else(page):
    environment = rendering.environment()
    source, _, _ = environment.loader.get_source(environment, page.template)
    used = jinja2.meta.find_undeclared_variables(environment.parse(source))
    known = {item.name for item in fields(page)}
    assert used <= known | COMMON | set(environment.globals) | {"m", "part"}
    assert {name for name in known if not re.search(rf"\b{name}\b", source)} == set()


OLD = PlanStatus(behind=(dt.date(2026, 12, 1), dt.date(2026, 12, 2)))
REFUSED = PlanStatus(refused="Stress fracture: see a physician.")
WARNED = tuple(
    Finding("code", severity, "What it is.", "Why it matters.", see, "practice", "common practice")
    for severity, see in (("override", "a physician"), ("note", ""))
)


def looks_back(records, client):
    from api.pages.reviews import looked_back, spans_of

    spans = spans_of(records, client)
    return looked_back(records, client, spans[0]), spans


def contexts_to_render(app, lifter, planned):
    import datetime as dt

    from api.desk.exports import recipe
    from api.pages.dish_facts import gives, why
    from api.records.reading import plan_of
    from api.records.roster import RosterSlice
    from mealplan.cooking.sheet import batch_plan
    from mealplan.shopping.door import shopping_list

    client = add_planned(app, lifter, planned)
    records = records_for(app)
    records.links.hand_out(client, 3)
    note = records.notes.write(client, "Sleeps badly.", shown=False)
    records.notes.write(client, "Well done.", shown=True)
    plan, saved, now = plan_of(planned), records.plans.kept(client), records.settings.now()
    day = plan.days[0]
    line = coach_contexts.RosterLine(client, ("no plan yet",))
    moved = coach_contexts.RosterLine(
        client,
        (),
        "−0.2 kg a week",
        "move",
        100.0,
        3100.0,
        "Move.",
        ("because",),
        1,
        True,
        True,
        note=note,
    )
    outcomes = (
        coach_contexts.RosterResult(client, "declined", True),
        coach_contexts.RosterResult(client, "no", False),
    )
    one = RosterSlice((client,), 1, 1, 1, 1, 1, 0)
    batch = batch_plan(plan, lifter)
    pots = SharedPots(batch, shopping_list(plan, lifter))
    laid = (("rower", "climber"), ("child 0.6 nuts",), ("dinner",), ("Monday: dal",))
    yield plan_contexts.TablePage(client, *laid, pots, (client,), "a1b2", day.date)
    yield plan_contexts.TablePage(client, (), (), (), (), None, (), "", day.date)
    yield coach_contexts.RosterPage((line,), now.date(), one, "", True)
    many = RosterSlice((client,), 40, 90, 2, 2, 3, 5)
    yield coach_contexts.RosterPage((line, moved), now.date(), many, "gain", True, outcomes)
    none = RosterSlice((), 0, 0, 0, 1, 1, 0)
    yield coach_contexts.RosterPage((), now.date(), none, "", False)
    yield coach_contexts.RosterPage((), now.date(), none, "nobody", False)
    opened = find_equations("mifflin")
    yield contexts.MethodPage("mifflin", opened)
    yield contexts.MethodPage("nothing", ())
    yield contexts.EquationPage(opened[0])
    yield contexts.EquationPage(opened[0], {"ffm_kg": "x"}, ("1 kcal",), "ffm_kg is no number")
    yield coach_contexts.IntakePage(
        "New", None, GROUPS, {}, "", "height_cm", frozenset({"height_cm"}), "/x", 0
    )
    yield coach_contexts.IntakePage("Amend", client, GROUPS, {}, "{}", "", frozenset(), "/x", 1)
    for known in (saved, None):
        yield coach_contexts.FilePage(
            client,
            lifter,
            "3,000 kcal",
            ("no plan yet",),
            records.intakes.history(client),
            records.file.trail(client),
            records.links.all(client),
            now,
            known,
            now.date(),
            known is not None,
            season_steps(lifter) if known else (),
            WARNED if known else (),
            tuple(records.notes.all(client)) if known else (),
        )
    outlook = Outlook("Changed.", ((day, plan.days[1]), (None, plan.days[2])), ("At the till.",))
    yield plan_contexts.LookPage(client, a_job(app, client), outlook)
    yield plan_contexts.WorksheetPage(client, lifter, records.intakes.targets(client), 1)
    sheets = ((day.date, plan.days[-1].date), (dt.date(2027, 1, 1), dt.date(2027, 1, 7)))
    yield plan_contexts.WeekPage(client, plan, saved, now.date(), sheets, False, status=OLD)
    yield plan_contexts.WeekPage(client, plan, saved, now.date(), sheets[:1], True, status=REFUSED)
    yield plan_contexts.WeeksPage(client, (plan, plan), now.date())
    yield plan_contexts.WeeksPage(client, (), now.date())
    yield plan_contexts.ChangesPage(client, (saved, saved))
    yield plan_contexts.ChangesPage(client, ())
    views = tuple(
        plan_contexts.MealView(meal, True, "", meal.slot == 0, meal.slot < 2) for meal in day.meals
    )
    yield plan_contexts.DayPage(
        client, day, views, saved, None, plan.days[1].date, "Changed.", ("Beans",), "Today"
    )
    yield plan_contexts.DayPage(
        client, day, views, saved, day.date, None, "", (), "Monday", "no such food", 0, "bananna"
    )
    from api.pages.today import today_page
    from mealplan.menu.other_dishes import OtherDish

    yield today_page(records, client)
    now = plan_contexts.MealNow(day.meals[0], False, "", None, None)
    said = (plan_contexts.Said(day.date, 0, "Breakfast", "1 banana"),)
    common = (client, day, saved, "Today", None, (now,), ("Soak beans.",))
    yield plan_contexts.TodayPage(*common, "Weigh-in, 80 kg", "kg", day.date, None, (note,), said)
    offer = OtherDish(
        day.meals[1], plan, ("Holds.",), -1, 1.2, "EUR", ("tofu: 1 × 400 g",), ("rice",)
    )
    yield plan_contexts.OthersPage(client, day, day.meals[0], saved, (offer,))
    yield plan_contexts.OthersPage(client, day, day.meals[0], saved, ())
    meal = day.meals[0]
    yield plan_contexts.DishPage(
        client, day, meal, recipe(day, meal), gives(meal), why(plan, day, meal, lifter)
    )
    yield plan_contexts.CookingPage(client, plan, batch_plan(plan, lifter))
    yield plan_contexts.ListPage(client, plan, shopping_list(plan, lifter), ("Costs, EUR: 90.00",))
    from mealplan.cooking.stove import stove_order

    yield plan_contexts.StovePage(client, day, "", stove_order(batch_plan(plan, lifter).days[0]))
    yield plan_contexts.StovePage(client, day, "19:00", ())
    yield plan_contexts.PaperPage(client, plan, shopping_list(plan, lifter))
    steps = (("never", "never", (("soupy", "soupy"),)), ("likes", "gladly", ()))
    yield coach_contexts.TastesPage(
        client, ("soy",), steps, ("Tofu",), {}, "no such word", "xyz", "likes"
    )
    from api.pages.checkins import check_in_page
    from mealplan.checkin.log.csv_import import read_csv
    from mealplan.checkin.log.entries import ENTRY

    yield check_in_page(records, client)
    readings = [
        ENTRY.validate_python(
            {"kind": "weigh-in", "on": f"2026-11-{number:02}", "value": 80 + number % 3}
        )
        for number in range(1, 29)
    ]
    eaten = ENTRY.validate_python(
        {"kind": "intake", "on": "2026-11-20", "adherence": "other", "kcal": 3000, "what": "out"}
    )
    event = {"kind": "event", "on": "2026-11-02", "until": "2026-11-04", "what": "sick"}
    records.log.add(client, [*readings, eaten, ENTRY.validate_python(event)])
    records.log.withdraw(client, records.log.read(client).entries[0].id, "wrong scale")
    records.decisions.decide(client, "decline", reason="away next week", step_kcal=None, was=1)
    reading = read_csv("date,weight\n03/04/2026,80.2\n04/05/2026,80.4\n")
    yield check_in_page(records, client, message="no", pasted="date", reading=reading, reason="x")
    yield coach_contexts.ReviewPage(client, *looks_back(records, client))
    yield coach_contexts.ReviewPage(
        client, *looks_back(records, client), "no date", {"start": "soon"}
    )
    for state in ("waiting", "working", "done", "failed", "stopped"):
        yield plan_contexts.RosterPlanPage(
            RosterRun(a_job(app, client, client_id="", task="roster"), 3, 1, 1, 0, 1, ()),
            ((client.id, "a week", "no day exists"),),
        )
        yield plan_contexts.SolvePage(
            "1", "a week", state, 1, 7, "no dish" if state == "failed" else "", "/"
        )
    from tests.api.test_own import contexts_to_render as own_contexts

    yield from own_contexts(records)
    yield coach_contexts.LinkPage(
        client, "http://x/link/1", dt.datetime(2027, 1, 1, tzinfo=dt.UTC), Markup("")
    )
    yield coach_contexts.LinkOverPage()
    yield coach_contexts.ErasePage(client, "not the role")
    one = contexts.SignInLine("handle", "a browser", dt.datetime(2027, 1, 1, tzinfo=dt.UTC), False)
    for secret in ("", "JBSWY3DPEHPK3PXP"):
        yield contexts.AccountPage("north", (one,), (), bool(secret), secret, "otpauth://x", "no")
    yield contexts.SignInPage("coach", "wrong")
    yield contexts.ErrorPage("Not here", "nothing", "go back", ("one", "two"))
    yield contexts.OfflinePage()
    yield contexts.ForgottenPage()
    yield contexts.WeightsPage(by_family())


@pytest.mark.parametrize(("local", "coach"), [(True, True), (False, True), (False, False)])
@pytest.mark.parametrize("store", ["memory"], indirect=True)
def test_every_page_renders_when_undefined_names_are_errors(app, lifter, planned, local, coach):
    assert rendering.environment().undefined is jinja2.StrictUndefined
    seen = set()
    for context in contexts_to_render(app, lifter, planned):
        text = rendering.html(context, guard="g", local=local, coach=coach, signed_in="coach")
        assert text.rstrip().endswith("</html>")
        assert "<style" not in text
        assert not re.search(r"\son\w+=|\sstyle=", text), context.template
        seen.add(type(context))
    assert seen == set(contexts.PAGES)


@pytest.mark.parametrize("store", ["memory"], indirect=True)
def test_every_form_that_writes_carries_the_guard(app, lifter, planned):
    for context in contexts_to_render(app, lifter, planned):
        text = rendering.html(
            context, guard="the-guard", local=False, coach=True, signed_in="coach"
        )
        for form in re.findall(r"<form.*?</form>", text, re.DOTALL):
            if 'method="get"' in form:
                continue  # asks and writes nothing
            assert 'method="post"' in form
            assert 'name="guard" value="the-guard"' in form


@pytest.mark.parametrize("store", ["memory"], indirect=True)
def test_pages_fetch_nothing_from_other_hosts(app, lifter, planned):
    for context in contexts_to_render(app, lifter, planned):
        text = rendering.html(context, guard="g", local=True, coach=True, signed_in="")
        for address in re.findall(r'(?:src|href|action)="([^"]+)"', text):
            assert address.startswith(("/", "#")), address
