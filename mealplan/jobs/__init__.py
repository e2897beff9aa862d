"""
What is planned beside the pages, and the engine that runs it: queues, workers, progress, stopping.

What a job does to a client's records belongs to the service, which hands it in; what a page shows
of a job, and how a week or a day is planned, belong elsewhere.
"""

from __future__ import annotations

from mealplan.jobs.model import Busy, Jobs, Run, Stopped, Work
from mealplan.jobs.outcome import error_of, know, packed

__all__ = ["Busy", "Jobs", "Run", "Stopped", "Work", "error_of", "know", "packed"]
