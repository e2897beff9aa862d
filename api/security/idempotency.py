"""Carry a repeated write out once: the same key and body get the first answer again."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable
from typing import Annotated

from fastapi import Depends, Header, Request
from fastapi.responses import Response

from api.records.book import Records
from api.records.view import hashed
from mealplan.errors import StoreError
from mealplan.store.base import AlreadyThere, NotThere
from mealplan.store.records import Reply

LONGEST_KEY = 200
CLAIM_LASTS = dt.timedelta(minutes=5)
"""After this a request that left no answer is taken for lost, and its key is free again."""


class KeyReused(AlreadyThere):
    """An idempotency key came back with another body."""


class OnceOnly:
    """A write that may carry an idempotency key."""

    def __init__(self, key: str, fingerprint: str, client_id: str) -> None:
        self.key = key
        self.fingerprint = fingerprint
        self.client_id = client_id

    def do(self, records: Records, work: Callable[[], Response]) -> Response:
        """
        Carry the work out, or repeat the answer it got before.

        Parameters
        ----------
        records : Records
        work : callable
            Makes the answer; a refusal is raised and not remembered.

        Returns
        -------
        Response

        Raises
        ------
        KeyReused
            When the key came with another request.
        """
        if not self.key:
            return work()
        id_ = hashed(f"{records.principal.coach_id} {records.principal.client_id} {self.key}")
        try:
            with records.store.reading() as unit:
                known = unit.get(Reply, id_)
        except NotThere:
            known = None
        now = records.settings.now()
        if known is not None and not _lapsed(known, records):
            return self._again(known)
        with records.store.writing() as writer:
            writer.remove(Reply, before=("made_at", now - records.settings.keeping.replies))
            writer.remove(Reply, id=id_, status=0, before=("made_at", now - CLAIM_LASTS))
        self._claim(records, id_)
        try:
            response = work()
        except BaseException:
            with records.store.writing() as writer:
                writer.remove(Reply, id=id_)
            raise
        self._remember(records, id_, response)
        return response

    def _claim(self, records: Records, id_: str) -> None:
        """Take the key before the work, so that two requests side by side do not both work."""
        claim = Reply(
            id=id_,
            made_at=records.settings.now(),
            coach_id=records.principal.coach_id,
            fingerprint=self.fingerprint,
            status=0,
            body="",
            client_id=self.client_id,
        )
        with records.store.writing() as unit:
            unit.add(claim)

    def _remember(self, records: Records, id_: str, response: Response) -> None:
        headers = "\n".join(
            f"{name}: {response.headers[name]}"
            for name in ("etag", "location")
            if name in response.headers
        )
        made = response.headers.get("location", "").rpartition("/clients/")[2].partition("/")[0]
        with records.store.writing() as unit:
            if not unit.find(Reply, id=id_):
                return  # the client was erased meanwhile
            unit.change(
                Reply(
                    id=id_,
                    made_at=records.settings.now(),
                    coach_id=records.principal.coach_id,
                    fingerprint=self.fingerprint,
                    status=response.status_code,
                    body=f"{headers}\n\n{bytes(response.body).decode()}",
                    client_id=self.client_id or made,
                )
            )

    def _again(self, known: Reply) -> Response:
        if known.fingerprint != self.fingerprint:
            raise KeyReused("this Idempotency-Key came with another request before; use a new key")
        if known.status == 0:
            raise AlreadyThere(
                "the first request with this Idempotency-Key is still at work; ask again in a "
                "moment"
            )
        head, _, body = known.body.partition("\n\n")
        headers = dict(line.split(": ", 1) for line in head.splitlines() if line)
        return Response(
            body, known.status, headers | {"Idempotent-Replay": "true"}, "application/json"
        )


def _lapsed(known: Reply, records: Records) -> bool:
    lasts = CLAIM_LASTS if known.status == 0 else records.settings.keeping.replies
    return known.made_at < records.settings.now() - lasts


async def once_of(
    request: Request,
    idempotency_key: Annotated[
        str,
        Header(
            max_length=LONGEST_KEY,
            description="Any word; a repeated request with it is carried out once",
        ),
    ] = "",
) -> OnceOnly:
    """
    Read the key and fingerprint the request.

    Parameters
    ----------
    request : Request
        What was asked.
    idempotency_key : str or None
        Header under which a repeated write is carried out once.
    """
    body = await request.body()
    if len(idempotency_key) > LONGEST_KEY:
        raise StoreError(f"Idempotency-Key is longer than {LONGEST_KEY} letters; shorten it")
    line = f"{request.method} {request.url.path}?{request.url.query}\n".encode()
    client_id = request.path_params.get("client_id", "")
    return OnceOnly(idempotency_key, hashlib.sha256(line + body).hexdigest(), client_id)


Once = Annotated[OnceOnly, Depends(once_of)]
