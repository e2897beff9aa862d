"""
What is kept, one frozen dataclass a kind; nothing here knows how.

Intakes and plans are numbered and only ever added to, so history is never overwritten and two
editors who start from the same number cannot both write the next one. Bodies are JSON text: the
same bytes in every store.
"""

from __future__ import annotations

import datetime as dt
import secrets
from dataclasses import dataclass
from typing import ClassVar, Literal

TickKind = Literal["bought", "not found"]
MarkKind = Literal["kept", "ate", "ate else", "said"]
OwnKind = Literal["food", "dish"]
JobState = Literal["waiting", "working", "done", "failed", "stopped"]
Whose = Literal["client", "coach", "service"]
"""
Whose data a record is. A client's names it by ``client_id`` (the client's own record by ``id``), is
erased with the client and stands in what the client is given; a coach's names it by ``coach_id``
and goes with the account; what is the service's concerns nobody.
"""
LOCAL_LOGIN = "local"
"""Login of the one coach of a machine without accounts; nobody can sign in as it."""


def new_id() -> str:
    """
    Draw an identifier that cannot be guessed.

    Returns
    -------
    str
        16 characters that are safe in an address.
    """
    return secrets.token_hex(8)


@dataclass(frozen=True)
class Record:
    """What every kind has."""

    id: str
    made_at: dt.datetime
    """When it was written, with its time zone (UTC)."""

    unique: ClassVar[tuple[tuple[str, ...], ...]] = ()
    """Sets of fields that no two records of the kind share."""
    searched: ClassVar[tuple[str, ...]] = ()
    """Text fields in which words are looked for."""
    whose: ClassVar[Whose]
    """Whose data it is; every kind says so itself, and erasing and exporting follow from it."""
    secret: ClassVar[tuple[str, ...]] = ()
    """Fields that no export shows."""
    documents: ClassVar[tuple[str, ...]] = ()
    """Fields that hold a document as JSON text."""
    restored: ClassVar[bool] = True
    """False for what a backup leaves out: secrets that open doors, and what soon ends by itself."""

    def for_client(self) -> bool:
        """Say whether it belongs in what the client is given of their own data."""
        return True


@dataclass(frozen=True)
class Coach(Record):
    """An account."""

    login: str
    password_hash: str
    password_at: dt.datetime | None = None
    """When the password was last changed; None when it never was."""
    second_factor: str = ""
    """Secret of the one-time codes asked for beside the password; empty when none are."""
    second_factor_step: int = 0
    """Step of the last code that was used: none counts twice."""

    unique: ClassVar[tuple[tuple[str, ...], ...]] = (("login",),)
    whose: ClassVar[Whose] = "coach"
    secret: ClassVar[tuple[str, ...]] = ("password_hash", "second_factor")


@dataclass(frozen=True)
class Client(Record):
    """
    One client with the few facts a roster shows.

    The facts repeat what the latest intake and plan say and are written together with them.
    """

    coach_id: str
    role: str
    phase: str
    start: dt.date
    intake_number: int
    """Number of the intake in force."""
    plan_number: int
    """Number of the latest plan; 0 when there is none."""
    planned_until: dt.date | None
    gravest: str
    """Gravest severity among the notices of the targets; empty when there are none."""
    measured_on: dt.date | None = None
    """Day of the latest scan or laboratory test; None without any."""
    logged_on: dt.date | None = None
    """Latest day anything was logged for."""
    revision: int = 0
    """Goes up with every change to the log, the intake in force or the decisions."""
    read_on: dt.date | None = None
    """Day for which the log was read as it stands; None once something changed."""
    warning: str = ""
    """Gravest warning of the last reading of the log, in a few words."""
    warning_severity: str = ""
    warned_on: dt.date | None = None
    """Day of that reading."""
    move_kcal: float = 0.0
    """Step proposed by the log as it stands and not decided yet; 0 for none. [kcal/day]"""
    place: str = ""
    """Place on the roster, see :mod:`api.records.roster_priority`; empty until it is worked out."""

    searched: ClassVar[tuple[str, ...]] = ("role", "phase")
    whose: ClassVar[Whose] = "client"
    secret: ClassVar[tuple[str, ...]] = ("coach_id",)


@dataclass(frozen=True)
class IntakeVersion(Record):
    """An intake as it stood from some moment on."""

    client_id: str
    number: int
    body: str
    by: str
    reason: str

    unique: ClassVar[tuple[tuple[str, ...], ...]] = (("client_id", "number"),)
    whose: ClassVar[Whose] = "client"
    documents: ClassVar[tuple[str, ...]] = ("body",)


@dataclass(frozen=True)
class SavedPlan(Record):
    """
    A change of a client's plan: the days it planned, see :mod:`mealplan.menu.running_plan`.

    Those of before plans ran on hold every day of the plan of their time.
    """

    client_id: str
    number: int
    intake_number: int
    first: dt.date
    days: int
    body: str
    shown: str
    """JSON: ISO date to the days' dish keys turned down for it, oldest first."""
    by: str
    reason: str
    change: str = "{}"
    """JSON: ``removed`` days, ``sheets`` by day, the number of the change it ``undoes``."""

    unique: ClassVar[tuple[tuple[str, ...], ...]] = (("client_id", "number"),)
    whose: ClassVar[Whose] = "client"
    documents: ClassVar[tuple[str, ...]] = ("body", "shown", "change")


@dataclass(frozen=True)
class Tick(Record):
    """What whoever holds the shopping list said of one line: bought, or not found."""

    client_id: str
    start: dt.date
    """First day of the plan whose list it is."""
    food: str
    """Line of the list, as the table calls it."""
    what: TickKind
    by: str

    whose: ClassVar[Whose] = "client"


@dataclass(frozen=True)
class Mark(Record):
    """
    What the client said about one meal: it stays, was eaten, or something else was.

    What was ``said`` without signal is a sentence nobody has read back yet.
    """

    client_id: str
    date: dt.date
    slot: int
    what: MarkKind
    text: str
    by: str

    whose: ClassVar[Whose] = "client"


@dataclass(frozen=True)
class Logged(Record):
    """One entry of a client's log; one that was withdrawn stays, with the reason."""

    client_id: str
    day: dt.date
    body: str
    by: str
    gone_at: dt.datetime | None = None
    why: str = ""
    batch: str = ""
    """Shared by what was taken in together, such as one table; empty for what came in alone."""

    whose: ClassVar[Whose] = "client"
    documents: ClassVar[tuple[str, ...]] = ("body",)


@dataclass(frozen=True)
class Decision(Record):
    """What the coach decided on a check-in's proposal."""

    client_id: str
    day: dt.date
    body: str
    by: str

    whose: ClassVar[Whose] = "client"
    documents: ClassVar[tuple[str, ...]] = ("body",)


@dataclass(frozen=True)
class Note(Record):
    """A few words of the coach on a client: for the coach alone, or for the client to read."""

    client_id: str
    text: str
    shown: bool
    """True when the client reads it too; False keeps it out of all the client is given."""
    by: str

    whose: ClassVar[Whose] = "client"

    def for_client(self) -> bool:
        """Say whether the client reads it."""
        return self.shown


@dataclass(frozen=True)
class Snapshot(Record):
    """
    What a client's log said when it was last read, so that it need not be read at every look.

    Counts only while revision, day and maker are still those it was made for.
    """

    client_id: str
    revision: int
    day: dt.date
    maker: str
    """Fingerprint of the code and reference values that read it."""
    body: str

    unique: ClassVar[tuple[tuple[str, ...], ...]] = (("client_id",),)
    whose: ClassVar[Whose] = "client"
    documents: ClassVar[tuple[str, ...]] = ("body",)


@dataclass(frozen=True)
class Link(Record):
    """An address that shows one client's pages until it ends or is taken back."""

    client_id: str
    token_hash: str
    ends_at: dt.datetime
    revoked_at: dt.datetime | None
    made_by: str

    unique: ClassVar[tuple[tuple[str, ...], ...]] = (("token_hash",),)
    whose: ClassVar[Whose] = "client"
    secret: ClassVar[tuple[str, ...]] = ("token_hash",)
    restored: ClassVar[bool] = False


@dataclass(frozen=True)
class SignIn(Record):
    """A coach's signed-in browser or program; the identifier is a hash of its token."""

    coach_id: str
    ends_at: dt.datetime
    device: str = ""
    """What the browser or program calls itself, shortened."""
    seen_at: dt.datetime | None = None
    """When it was last used, to the quarter of an hour."""

    restored: ClassVar[bool] = False
    whose: ClassVar[Whose] = "coach"
    secret: ClassVar[tuple[str, ...]] = ("id",)


@dataclass(frozen=True)
class Entry(Record):
    """One line of the audit trail."""

    coach_id: str
    client_id: str
    by: str
    what: str
    detail: str

    whose: ClassVar[Whose] = "client"
    secret: ClassVar[tuple[str, ...]] = ("coach_id",)


@dataclass(frozen=True)
class Reply(Record):
    """The answer once given to a write that carried an idempotency key."""

    coach_id: str
    fingerprint: str
    status: int
    """0 while the first request is at work."""
    body: str
    client_id: str = ""
    """Client the answer speaks of; empty without one."""

    whose: ClassVar[Whose] = "client"
    secret: ClassVar[tuple[str, ...]] = ("id", "coach_id", "fingerprint", "body")
    restored: ClassVar[bool] = False


@dataclass(frozen=True)
class Job(Record):
    """
    Something planned beside the pages: what was asked for, how far it is, how it ended.

    The engine that runs it knows its identifier and whose it is, nothing else.
    """

    coach_id: str
    """Empty for what the service does for itself, such as a backup: no page shows it."""
    client_id: str
    """Empty for what concerns a whole roster."""
    asker: str
    """Who asked, so that one link cannot fill the queue: a coach, or a client by their link."""
    by_link: bool
    by: str
    """How the audit trail calls whoever asked."""
    task: str
    """Which kind of work it is."""
    what: str
    """In words, such as ``7 days for the club rower``."""
    back_to: str
    """Address of the page to show when it is done."""
    wish: str
    """JSON: what was asked for; emptied when the job ends."""
    part_of: str = ""
    """Job that asked for this one; empty without."""
    state: JobState = "waiting"
    done: int = 0
    total: int = 1
    tries: int = 0
    """How often a worker began it."""
    ended_at: dt.datetime | None = None
    error: str = ""
    """JSON: the error that ended it; empty without one."""
    result: str = ""
    """JSON: a change that is looked at before it is kept; empty once it is kept or let go."""

    whose: ClassVar[Whose] = "client"
    secret: ClassVar[tuple[str, ...]] = ("coach_id", "asker")
    documents: ClassVar[tuple[str, ...]] = ("wish", "error", "result")
    restored: ClassVar[bool] = False


@dataclass(frozen=True)
class WorkerSeen(Record):
    """A worker that takes jobs and when it was last seen; its identifier is the engine's."""

    host: str
    process: int
    seen_at: dt.datetime

    whose: ClassVar[Whose] = "service"
    restored: ClassVar[bool] = False


@dataclass(frozen=True)
class Tombstone(Record):
    """
    That a client was erased: the identifier is a hash of the client's.

    It keeps a backup from before that day from bringing them back.
    """

    whose: ClassVar[Whose] = "service"


@dataclass(frozen=True)
class BackupFolder(Record):
    """A folder in which backups were written; the identifier is a hash of its path."""

    path: str

    whose: ClassVar[Whose] = "service"
    restored: ClassVar[bool] = False


@dataclass(frozen=True)
class Try(Record):
    """A sign-in that failed; ``of`` is a hash of the login, the address or both."""

    of: str

    whose: ClassVar[Whose] = "service"
    restored: ClassVar[bool] = False


@dataclass(frozen=True)
class OwnVersion(Record):
    """
    A coach's own food or dish as it stood from some moment on; offered to all of their clients.

    Nothing is overwritten: what is amended or withdrawn gets the next number.
    """

    coach_id: str
    what: OwnKind
    key: str
    number: int
    body: str
    """JSON text; empty once withdrawn."""
    by: str
    reason: str

    unique: ClassVar[tuple[tuple[str, ...], ...]] = (("coach_id", "what", "key", "number"),)
    whose: ClassVar[Whose] = "coach"
    documents: ClassVar[tuple[str, ...]] = ("body",)


@dataclass(frozen=True)
class SharedTable(Record):
    """What several clients share; it names none, who sits at it is in :class:`Seat`."""

    coach_id: str
    """Coach who laid it; others take part by an offer they accepted."""
    shared: str
    """JSON: meals by days and occasion."""
    guests: str
    """JSON: who eats along without targets."""
    meals: str
    """JSON: the meals that were planned, see :class:`mealplan.table.model.SharedMeal`."""

    whose: ClassVar[Whose] = "coach"
    documents: ClassVar[tuple[str, ...]] = ("shared", "guests", "meals")


@dataclass(frozen=True)
class Seat(Record):
    """That a client shares meals at a table; erased with the client, the others' stay."""

    client_id: str
    table_id: str
    """Identifier of the :class:`SharedTable`."""
    place: int
    """0 for the one whose kitchen cooks."""

    unique: ClassVar[tuple[tuple[str, ...], ...]] = (("client_id",),)
    whose: ClassVar[Whose] = "client"


@dataclass(frozen=True)
class SeatOffer(Record):
    """A seat offered to another coach's client until it is taken, taken back or ends."""

    coach_id: str
    table_id: str
    token_hash: str
    ends_at: dt.datetime

    unique: ClassVar[tuple[tuple[str, ...], ...]] = (("token_hash",),)
    whose: ClassVar[Whose] = "coach"
    secret: ClassVar[tuple[str, ...]] = ("token_hash",)
    restored: ClassVar[bool] = False


KINDS: tuple[type[Record], ...] = (
    Tombstone, Coach, Client, IntakeVersion, SavedPlan, Mark, Tick, Logged, Decision, Note,
    Snapshot, Link, SignIn, Entry, Reply, OwnVersion, SharedTable, Seat, SeatOffer, Job,
    WorkerSeen, BackupFolder, Try,
)  # fmt: skip
"""Every kind, parents before children."""

OF_A_CLIENT: tuple[type[Record], ...] = tuple(
    kind for kind in KINDS if kind.whose == "client" and kind is not Client
)
"""Kinds that carry a client's data beside the client's own record, parents before children."""
