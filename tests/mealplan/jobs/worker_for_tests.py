"""A worker whose jobs count steps, or do not listen, instead of planning."""

import datetime as dt
import json
import sys
import time

from mealplan.jobs.durable import Durable
from mealplan.jobs.house import house_run
from mealplan.jobs.worker import take_jobs
from mealplan.store.records import Mark, new_id
from mealplan.store.sql import SqlStore
from mealplan.store.tidy import RetentionSpans


def now():
    return dt.datetime.now(dt.UTC)


def counts(work):
    wish = json.loads(work.job.wish)
    time.sleep(wish.get("deaf", 0))
    for step in range(wish.get("steps", 1)):
        work.tell(step, wish["steps"])
        time.sleep(0.1)
    with work.store.writing() as unit:
        unit.add(
            Mark(
                id=new_id(),
                made_at=now(),
                client_id=work.job.client_id,
                date=now().date(),
                slot=0,
                what="kept",
                text="",
                by="job",
            )
        )
        work.finish(unit)


if __name__ == "__main__":
    opened = SqlStore(sys.argv[1])
    kinds = dict.fromkeys(("week", "day", "further", "roster"), counts)
    queues = Durable(opened, now)
    take_jobs(opened, queues, sys.argv[2], kinds | house_run(queues, RetentionSpans()), now)
