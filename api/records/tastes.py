"""What a client likes: words on the intake in force, changed without a new version of it."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from api.records.book import Records
from api.records.custom_foods import beside, pantry_of
from api.records.reading import intake_of, version_in_force
from mealplan.client.intake import Intake
from mealplan.kitchen.preferences import STEPS, check_tastes, with_word
from mealplan.store.base import Writer
from mealplan.store.documents import INTAKE
from mealplan.store.records import Client


def say_tastes(records: Records, client: Client, steps: Mapping[str, Sequence[str]]) -> Intake:
    """
    Put words on the steps of liking; the trail keeps what was said.

    No target hangs on a liking, so the intake keeps its number and no plan grows old by it.

    Parameters
    ----------
    records : Records
    client : Client
    steps : mapping
        A step of :data:`mealplan.kitchen.preferences.STEPS`, or ``nothing``, to its words: foods,
        groups, dishes, textures.

    Returns
    -------
    Intake
        As it stands then.

    Raises
    ------
    IntakeError
        When a word means nothing or there is no such step; nothing is changed.
    """
    pantry = pantry_of(records)
    view = records.view

    def work(unit: Writer) -> Intake:
        version = version_in_force(unit, view.seen(unit, client.id))
        intake = intake_of(version.body)
        said = []
        for step, words in steps.items():
            for word in words:
                intake = with_word(intake, step, word)
                said.append(f"{STEPS.get(step, step)}: {word}")
        check_tastes(beside(intake, pantry))
        unit.change(dataclasses.replace(version, body=INTAKE.write(intake)))
        view.note(unit, client.id, "likes and dislikes", "; ".join(said))
        return intake

    return view.write(work)
