"""
Erasing and exporting, as each record kind declares whose data it is.

No kind is named here: one that is added declares its owner (:attr:`Record.whose`), and everything
below follows.
"""

from __future__ import annotations

import dataclasses
import datetime as dt

from mealplan.store.base import Reader, Writer
from mealplan.store.documents import opened
from mealplan.store.records import OF_A_CLIENT, Client, Record


def erase_client(unit: Writer, client_id: str) -> int:
    """
    Remove everything that is a client's, the client's own record last.

    Parameters
    ----------
    unit : Writer
        All of it goes, or nothing.
    client_id : str

    Returns
    -------
    int
        Records removed.
    """
    gone = sum(unit.remove(kind, client_id=client_id) for kind in reversed(OF_A_CLIENT))
    return gone + unit.remove(Client, id=client_id)


def gather_client(unit: Reader, client: Client, *, for_client: bool = False) -> dict[str, object]:
    """
    Gather everything kept about a client.

    Parameters
    ----------
    unit : Reader
    client : Client
    for_client : bool
        True leaves out what only the coach reads, see :meth:`Record.for_client`.

    Returns
    -------
    dict
        Ready for JSON: the client's record, then a list for each kind by its name; secrets left
        out.
    """
    gathered: dict[str, object] = {"client": plain(client)}
    for kind in OF_A_CLIENT:
        found = unit.find(kind, client_id=client.id)
        gathered[kind.__name__] = [
            plain(record) for record in found if record.for_client() or not for_client
        ]
    return gathered


def plain(record: Record) -> dict[str, object]:
    """
    Turn a record into what an export shows of it.

    Parameters
    ----------
    record : Record

    Returns
    -------
    dict
        Documents opened, days and moments as ISO 8601 text, secrets left out.
    """
    shown: dict[str, object] = {}
    for item in dataclasses.fields(record):
        if item.name in record.secret:
            continue
        value = getattr(record, item.name)
        if item.name in record.documents:
            value = opened(value) if value else None
        elif isinstance(value, dt.date):
            value = value.isoformat()
        shown[item.name] = value
    return shown
