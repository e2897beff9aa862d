"""The coach's notes on a client: for the coach alone, or for the client to read."""

from __future__ import annotations

from api.records.view import View
from mealplan.errors import IntakeError
from mealplan.store.base import NotThere
from mealplan.store.records import Client, Note, new_id

LONGEST_NOTE = 2_000
"""Longest note. [characters]"""


class Notes:
    """
    What the coach wrote down about a client.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def all(self, client: Client) -> tuple[Note, ...]:
        """
        Return the notes this person may read, newest first.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.reading() as unit:
            found = unit.find(Note, client_id=client.id, newest_first=True)
        coach = self.view.principal.kind == "coach"
        return tuple(note for note in found if coach or note.shown)

    def write(self, client: Client, text: str, *, shown: bool) -> Note:
        """
        Keep a note.

        Parameters
        ----------
        client : Client
        text : str
        shown : bool
            True lets the client read it.

        Returns
        -------
        Note

        Raises
        ------
        IntakeError
            When it is empty or too long.
        """
        text = text.strip()
        if not 1 <= len(text) <= LONGEST_NOTE:
            raise IntakeError(
                f"a note holds 1 to {LONGEST_NOTE:,} letters, this one {len(text):,}; "
                + ("shorten it" if text else "write a few words")
            )
        note = Note(
            id=new_id(),
            made_at=self.view.settings.now(),
            client_id=client.id,
            text=text,
            shown=shown,
            by=self.view.principal.name,
        )
        with self.view.store.writing() as unit:
            self.view.seen(unit, client.id)
            unit.add(note)
            self.view.note(unit, client.id, "note for the client" if shown else "private note", "")
        return note

    def remove(self, client: Client, note_id: str) -> None:
        """
        Let go of a note.

        Parameters
        ----------
        client : Client
            Whose file it is.
        note_id : str
            Identifier of the note.
        """
        with self.view.store.writing() as unit:
            if not unit.remove(Note, id=note_id, client_id=client.id):
                raise NotThere(f"there is no note {note_id[:40]!r} here; load the file again")
