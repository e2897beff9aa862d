"""All the records one person may see and change, one part a kind of work."""

from __future__ import annotations

from functools import cached_property

from api.records.clients import Clients
from api.records.decisions import Decisions
from api.records.erase import WholeFile
from api.records.intakes import Intakes
from api.records.links import Links
from api.records.log import LogBook
from api.records.marks import Marks
from api.records.notes import Notes
from api.records.plans import Plans
from api.records.roster import Roster
from api.records.tables import SharedTables
from api.records.ticks import Ticks
from api.records.view import Principal, View
from api.settings import Settings
from mealplan.store.base import Store


class Records:
    """
    One person's records.

    Parameters
    ----------
    store : Store
    settings : Settings
    principal : Principal
        Who is asking; every part shows and changes only what is theirs.
    """

    def __init__(self, store: Store, settings: Settings, principal: Principal) -> None:
        self.view = View(store, settings, principal)
        self.store = store
        self.settings = settings
        self.principal = principal

    @cached_property
    def clients(self) -> Clients:
        """Clients looked up and taken on."""
        return Clients(self.view)

    @cached_property
    def roster(self) -> Roster:
        """Clients as one list, those who need attention first."""
        return Roster(self.view)

    @cached_property
    def intakes(self) -> Intakes:
        """Intakes, every version, and the targets of the one in force."""
        return Intakes(self.view)

    @cached_property
    def plans(self) -> Plans:
        """Plans."""
        return Plans(self.view)

    @cached_property
    def marks(self) -> Marks:
        """What was said of single meals."""
        return Marks(self.view)

    @cached_property
    def ticks(self) -> Ticks:
        """What was said of the lines of a shopping list."""
        return Ticks(self.view)

    @cached_property
    def log(self) -> LogBook:
        """Logs."""
        return LogBook(self.view)

    @cached_property
    def decisions(self) -> Decisions:
        """What logs say, and what was decided on it."""
        return Decisions(self.view)

    @cached_property
    def links(self) -> Links:
        """Links handed out."""
        return Links(self.view)

    @cached_property
    def notes(self) -> Notes:
        """The coach's notes."""
        return Notes(self.view)

    @cached_property
    def tables(self) -> SharedTables:
        """Tables that clients share."""
        return SharedTables(self.view)

    @cached_property
    def file(self) -> WholeFile:
        """A client's file as a whole: trail, export, erasing."""
        return WholeFile(self.view)
