"""The whole job for the demo clients: what a week must give, and what is written to disk."""

import pytest

from foods.composition.catalogue import Catalogue
from mealplan.cli.progress import progress as _progress
from mealplan.client.read import load_intake, parse_intake
from mealplan.demo.folders import DEMO_CLIENTS, demo_intake, run_demo, write_folder
from mealplan.errors import IntakeError
from mealplan.menu.week import make_plan
from mealplan.nutrition.amino_acids import INDISPENSABLE
from mealplan.plan import Plan
from mealplan.render.html import stylesheet
from mealplan.targets.make import make_targets
from tests.planned import planned

ALL_THREE = ["soy", "gluten", "tree_nut", "peanut"]
EXCLUSIONS = {
    "no soy": ["soy"],
    "no gluten": ["gluten"],
    "no nuts": ["tree_nut", "peanut"],
    "no soy, gluten or nuts": ALL_THREE,
}


@pytest.fixture(scope="module", params=DEMO_CLIENTS)
def week(request):
    """The whole job, its plan being the one other tests look at."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            "mealplan.demo.folders.make_plan", lambda intake, *_, days, **__: planned(intake, days)
        )
        return run_demo(demo_intake(request.param))


def test_every_day_holds_its_energy(week):
    assert len(week.plan.days) == 7
    for day in week.plan.days:
        # source: common practice (the tolerance that the planner promises)
        assert day.energy_kcal == pytest.approx(day.energy_target_kcal, rel=0.02)


def test_no_floor_or_ceiling_that_must_hold_is_missed(week):
    missed = [
        (day.weekday, line.key)
        for day in week.plan.days
        for line in day.missed
        if line.priority == "must"
    ]
    assert missed == []


def test_protein_and_nine_amino_acids_are_among_what_must_hold(week):
    for day in week.plan.days:
        must = {line.key for line in day.adequacy if line.priority == "must" and line.low}
        assert {"protein_g", *INDISPENSABLE} <= must
        assert {"iron_mg", "zinc_mg", "calcium_mg", "vitamin_c_mg", "choline_mg"} <= must


def test_what_plants_do_not_bring_comes_as_a_supplement_line(week):
    lines = {line.key for line in week.plan.supplements}
    # source: common practice (vegan diets: B12 always, vitamin D and iodine unless otherwise met)
    assert lines >= {"vitamin_b12", "vitamin_d", "iodine"}


def test_the_printed_text_has_every_part(week):
    for words in ("Resting energy", "kcal", "Energy to plan", "[ ]", "physician", "vitamin B12"):
        assert words.lower() in week.text.lower()
    for day in week.plan.days:
        assert day.date.isoformat() in week.text or f"{day.date.day}" in week.text


def test_the_three_clients_gain_hold_and_cut():
    change = {}
    for client in DEMO_CLIENTS:
        targets = make_targets(demo_intake(client))
        by_key = {line.key: line.value for line in targets.worksheet}
        change[client] = targets.energy.value - by_key["expenditure_kcal"]
    assert change["club-lifter"] > 100
    assert change["club-runner"] == pytest.approx(0, abs=1e-6)
    assert change["club-climber"] < -100


def test_the_runner_with_a_soy_allergy_is_served_no_soy():
    catalogue = Catalogue.load()
    plan = planned(demo_intake("club-runner"))
    for day in plan.days:
        for meal in day.meals:
            for item in meal.servings:
                assert "soy" not in catalogue.food(item.food).allergens


@pytest.mark.parametrize("allergies", EXCLUSIONS.values(), ids=list(EXCLUSIONS))
@pytest.mark.parametrize("client", DEMO_CLIENTS)
def test_an_allergy_leaves_a_plan_that_holds_its_energy(client, allergies, intake_data):
    data = intake_data(client)
    data["tastes"]["allergies"] = sorted({*data["tastes"].get("allergies", []), *allergies})
    intake = parse_intake(data)
    plan = make_plan(intake, make_targets(intake), days=2)
    catalogue = Catalogue.load()
    for day in plan.days:
        assert day.energy_kcal == pytest.approx(day.energy_target_kcal, rel=0.02)
        served = {item.food for meal in day.meals for item in meal.servings}
        for food in served:
            assert not set(allergies) & set(catalogue.food(food).allergens)


@pytest.mark.parametrize(
    ("client", "energy_kcal", "pal"), [("club-runner", 1750, 1.37), ("club-lifter", 4200, 2.25)]
)
def test_small_and_large_days_are_planned_when_the_body_spends_as_much(
    client, energy_kcal, pal, intake_data
):
    intake = parse_intake(
        intake_data(
            client,
            {
                "goal": {"phase": "hold", "energy_kcal": energy_kcal},
                "activity": {"method": "multiplier", "pal": pal},
            },
        )
    )
    plan = make_plan(intake, make_targets(intake), days=1)
    [day] = plan.days
    assert day.energy_kcal == pytest.approx(energy_kcal, rel=0.02)
    # What cannot be reached is said, never hidden.
    said = " ".join(plan.explanation).lower()
    assert all(line.label.lower() in said for line in day.missed if line.priority == "must")


def test_a_folder_holds_what_can_be_read_back(tmp_path):
    intake = demo_intake("club-climber")
    targets = make_targets(intake)
    plan = make_plan(intake, targets, days=1)
    folder = write_folder(tmp_path / "new" / "folder", intake, targets, plan)
    assert load_intake(folder / "intake.json") == intake
    assert Plan.model_validate_json((folder / "plan.json").read_text(encoding="utf-8")) == plan
    for page in ("menu.html", "list.html", "worksheet.html"):
        text = (folder / page).read_text(encoding="utf-8")
        assert text.startswith("<!doctype html>")
        assert "<script" not in text
        assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")


def test_words_of_the_intake_cannot_become_part_of_a_page(tmp_path, intake_data):
    intake = parse_intake(intake_data(changes={"role": "<script>alert(1)</script> & co"}))
    targets = make_targets(intake)
    folder = write_folder(tmp_path, intake, targets, make_plan(intake, targets, days=1))
    for page in ("menu.html", "worksheet.html"):
        text = (folder / page).read_text(encoding="utf-8")
        assert "<script" not in text
        assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; co" in text


def test_the_same_intake_gives_the_same_folder(tmp_path):
    intake = demo_intake("club-runner")
    targets = make_targets(intake)
    first, second = (
        write_folder(tmp_path / name, intake, targets, make_plan(intake, targets, days=2))
        for name in ("first", "second")
    )
    for path in first.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes()


def test_an_unknown_client_is_answered_with_those_there_are():
    with pytest.raises(IntakeError, match="club-lifter, club-runner, club-climber"):
        demo_intake("club-juggler")


class Watched:
    """A terminal somebody is looking at."""

    def __init__(self):
        self.said = ""

    def isatty(self):
        return True

    def write(self, text):
        self.said += text

    def flush(self):
        pass


@pytest.mark.parametrize(("seconds", "shown"), [(0.5, False), (2.0, True)])
def test_progress_is_shown_once_work_takes_over_a_second(seconds, shown, monkeypatch):
    clock = iter([0.0, seconds, seconds])
    watched = Watched()
    monkeypatch.setattr("mealplan.cli.progress.time.monotonic", lambda: next(clock))
    monkeypatch.setattr("mealplan.cli.progress.sys.stderr", watched)
    with _progress("planning day") as tell:
        tell(3, 7)
    assert ("planning day: 3 of 7" in watched.said) is shown


def test_progress_is_not_written_where_nobody_watches(capfd):
    with _progress("planning day") as tell:
        tell(3, 7)
    captured = capfd.readouterr()
    assert captured.out == captured.err == ""


def test_committed_demo_folders_belong_to_this_program_and_are_small(root):
    folder = root / "demo_menus"
    clients = {path.parent.name: path for path in folder.glob("*/intake.json")}
    assert sorted(clients) == sorted(DEMO_CLIENTS)
    for name, intake in clients.items():
        assert load_intake(intake) == demo_intake(name)
    assert (folder / "style.css").read_text(encoding="utf-8") == stylesheet()
    pages = list(folder.glob("*/*.html"))
    assert len(pages) >= 4 * len(DEMO_CLIENTS)
    assert not [page for page in pages if "<style" in page.read_text(encoding="utf-8")]
    # source: common practice (remaking the folders is a change that can be read through)
    assert sum(path.stat().st_size for path in folder.rglob("*") if path.is_file()) < 700_000
