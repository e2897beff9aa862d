"""Tables of the relational store: one a record kind, columns named as its fields."""

from __future__ import annotations

import base64
import datetime as dt
import zlib
from typing import ClassVar

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

from mealplan.store.records import (
    BackupFolder,
    Client,
    Coach,
    Decision,
    Entry,
    IntakeVersion,
    Job,
    Link,
    Logged,
    Mark,
    Note,
    OwnVersion,
    Record,
    Reply,
    SavedPlan,
    Seat,
    SeatOffer,
    SharedTable,
    SignIn,
    Snapshot,
    Tick,
    Tombstone,
    Try,
    WorkerSeen,
)


class UtcTime(TypeDecorator[dt.datetime]):
    """A moment; kept in UTC without a zone, since not every database keeps one."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        """
        Turn an aware moment into UTC.

        Parameters
        ----------
        value : dt.datetime or None
            What is kept; None for nothing.
        dialect : Dialect
            Of the database.
        """
        return None if value is None else value.astimezone(dt.UTC).replace(tzinfo=None)

    def process_result_value(
        self, value: dt.datetime | None, dialect: Dialect
    ) -> dt.datetime | None:
        """
        Give the zone back.

        Parameters
        ----------
        value : dt.datetime or None
            What is kept; None for nothing.
        dialect : Dialect
            Of the database.
        """
        return None if value is None else value.replace(tzinfo=dt.UTC)


class Packed(TypeDecorator[str]):
    """
    Long text, kept compressed: a week of meals says the same words over and over.

    Text of an older release, and short text, stands as it is.
    """

    impl = Text
    cache_ok = True
    sign: ClassVar[str] = "zlib64:"
    shortest: ClassVar[int] = 2_000

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        """
        Compress what is long.

        Parameters
        ----------
        value : str or None
            What is kept; None for nothing.
        dialect : Dialect
            Of the database.
        """
        if value is None or len(value) < self.shortest:
            return value
        return self.sign + base64.b64encode(zlib.compress(value.encode(), 9)).decode()

    def process_result_value(self, value: str | None, dialect: Dialect) -> str | None:
        """
        Give the text back.

        Parameters
        ----------
        value : str or None
            What is kept; None for nothing.
        dialect : Dialect
            Of the database.
        """
        if value is None or not value.startswith(self.sign):
            return value
        return zlib.decompress(base64.b64decode(value[len(self.sign) :])).decode()


METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _table(name: str, *columns: Column[object] | UniqueConstraint | Index) -> Table:
    return Table(
        name,
        METADATA,
        Column("id", String(64), primary_key=True),
        Column("made_at", UtcTime, nullable=False),
        *columns,
    )


def _text(name: str, length: int | None = None) -> Column[object]:
    return Column(name, String(length) if length else Text, nullable=False)


def _number(name: str) -> Column[object]:
    return Column(name, Integer, nullable=False)


def _of(parent: str) -> Column[object]:
    return Column(
        f"{parent}_id", String(64), ForeignKey(f"{parent}.id"), nullable=False, index=True
    )


coach = _table(
    "coach",
    _text("login", 80),
    _text("password_hash"),
    Column("password_at", UtcTime),
    Column("second_factor", String(64), nullable=False, server_default=""),
    Column("second_factor_step", Integer, nullable=False, server_default="0"),
    UniqueConstraint("login"),
)
client = _table(
    "client",
    _of("coach"),
    _text("role", 60),
    _text("phase", 20),
    Column("start", Date, nullable=False),
    _number("intake_number"),
    _number("plan_number"),
    Column("planned_until", Date),
    _text("gravest", 20),
    Column("measured_on", Date),
    Column("logged_on", Date),
    Column("revision", Integer, nullable=False, server_default="0"),
    Column("read_on", Date),
    Column("warning", String(80), nullable=False, server_default=""),
    Column("warning_severity", String(20), nullable=False, server_default=""),
    Column("warned_on", Date),
    Column("move_kcal", Float, nullable=False, server_default="0"),
    Column("place", String(20), nullable=False, server_default=""),
    Index("ix_client_coach_id_place", "coach_id", "place", "made_at", "id"),
    Index("ix_client_coach_id_role", "coach_id", "role"),
)
intake_version = _table(
    "intake_version",
    _of("client"),
    _number("number"),
    _text("body"),
    _text("by", 80),
    _text("reason"),
    UniqueConstraint("client_id", "number"),
)
saved_plan = _table(
    "saved_plan",
    _of("client"),
    _number("number"),
    _number("intake_number"),
    Column("first", Date, nullable=False),
    _number("days"),
    Column("body", Packed, nullable=False),
    _text("shown"),
    _text("by", 80),
    _text("reason"),
    Column("change", Text, nullable=False, server_default="{}"),
    UniqueConstraint("client_id", "number"),
)
mark = _table(
    "mark",
    _of("client"),
    Column("date", Date, nullable=False),
    _number("slot"),
    _text("what", 20),
    _text("text"),
    _text("by", 80),
)
tick = _table(
    "tick",
    _of("client"),
    Column("start", Date, nullable=False),
    _text("food"),
    _text("what", 20),
    _text("by", 80),
)
logged = _table(
    "logged",
    _of("client"),
    Column("day", Date, nullable=False),
    _text("body"),
    _text("by", 80),
    Column("gone_at", UtcTime),
    _text("why"),
    Column("batch", String(64), nullable=False, server_default=""),
)
decision = _table(
    "decision",
    _of("client"),
    Column("day", Date, nullable=False),
    _text("body"),
    _text("by", 80),
)
note = _table(
    "note",
    _of("client"),
    _text("text"),
    Column("shown", Boolean, nullable=False),
    _text("by", 80),
)
snapshot = _table(
    "snapshot",
    Column("client_id", String(64), ForeignKey("client.id"), nullable=False),
    _number("revision"),
    Column("day", Date, nullable=False),
    _text("maker", 64),
    _text("body"),
    UniqueConstraint("client_id"),
)
link = _table(
    "link",
    _of("client"),
    _text("token_hash", 64),
    Column("ends_at", UtcTime, nullable=False),
    Column("revoked_at", UtcTime),
    _text("made_by", 80),
    UniqueConstraint("token_hash"),
)
sign_in = _table(
    "sign_in",
    _of("coach"),
    Column("ends_at", UtcTime, nullable=False),
    Column("device", String(120), nullable=False, server_default=""),
    Column("seen_at", UtcTime),
)
entry = _table(
    "entry",
    _of("coach"),
    _text("client_id", 64),
    _text("by", 80),
    _text("what", 80),
    _text("detail"),
    Index(None, "client_id"),
)
reply = _table(
    "reply",
    _of("coach"),
    _text("fingerprint", 64),
    _number("status"),
    _text("body"),
    Column("client_id", String(64), nullable=False, server_default=""),
    Index(None, "client_id"),
    Index("ix_reply_made_at", "made_at"),
)
own_version = _table(
    "own_version",
    _of("coach"),
    _text("what", 10),
    _text("key", 80),
    _number("number"),
    _text("body"),
    _text("by", 80),
    _text("reason"),
    UniqueConstraint("coach_id", "what", "key", "number"),
)

job = _table(
    "job",
    _text("coach_id", 64),
    _text("client_id", 64),
    _text("asker", 80),
    Column("by_link", Boolean, nullable=False),
    _text("by", 80),
    _text("task", 20),
    _text("what"),
    _text("back_to", 200),
    _text("wish"),
    _text("part_of", 64),
    _text("state", 10),
    _number("done"),
    _number("total"),
    _number("tries"),
    Column("ended_at", UtcTime),
    _text("error"),
    Column("result", Text, nullable=False, server_default=""),
    Index(None, "coach_id"),
    Index(None, "client_id"),
    Index(None, "part_of", "state"),
    Index("ix_job_asker_state", "asker", "state"),
    Index("ix_job_state_ended_at", "state", "ended_at"),
)
worker_seen = _table(
    "worker_seen",
    _text("host", 255),
    _number("process"),
    Column("seen_at", UtcTime, nullable=False),
)

tombstone = _table("tombstone")
backup_folder = _table("backup_folder", _text("path"))
failed_try = _table("failed_try", _text("of", 64), Index(None, "of", "made_at"))

shared_table = _table(
    "shared_table", _of("coach"), _text("shared"), _text("guests"), _text("meals")
)
seat = _table(
    "seat",
    _of("client"),
    Column("table_id", String(64), nullable=False, index=True),
    _number("place"),
    UniqueConstraint("client_id"),
)
seat_offer = _table(
    "seat_offer",
    _of("coach"),
    Column("table_id", String(64), nullable=False, index=True),
    _text("token_hash", 64),
    Column("ends_at", UtcTime, nullable=False),
    UniqueConstraint("token_hash"),
)

TABLES: dict[type[Record], Table] = {
    Coach: coach,
    Client: client,
    IntakeVersion: intake_version,
    SavedPlan: saved_plan,
    Mark: mark,
    Tick: tick,
    Logged: logged,
    Decision: decision,
    Note: note,
    Snapshot: snapshot,
    Link: link,
    SignIn: sign_in,
    Entry: entry,
    Reply: reply,
    OwnVersion: own_version,
    SharedTable: shared_table,
    Seat: seat,
    SeatOffer: seat_offer,
    Job: job,
    WorkerSeen: worker_seen,
    Tombstone: tombstone,
    BackupFolder: backup_folder,
    Try: failed_try,
}
"""Where each kind is kept."""
