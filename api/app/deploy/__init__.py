"""
Files for running the service on a server: units for systemd and a site for nginx, to be printed.

How the service itself behaves does not belong here; each file says what to put in its place.
"""

from __future__ import annotations

from importlib.resources import files

NAMES = {"service": "mealplan.service", "work": "mealplan-work.service", "nginx": "nginx.conf"}
"""What can be printed, and its file."""


def printed(name: str) -> str:
    """
    Return one of the files.

    Parameters
    ----------
    name : {"service", "work", "nginx"}

    Returns
    -------
    str
    """
    return (files("api.app.deploy") / NAMES[name]).read_text(encoding="utf-8")
