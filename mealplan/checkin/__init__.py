"""
Check-ins: from a client's log to what it can and cannot tell, and to a reasoned proposal.

- ``log`` what was logged; ``csv_import`` and ``csv_export`` carry it in and out.
- ``series`` one row a day; ``simple_trend`` plain methods; ``state_space``, ``noise`` and ``trend``
  level and slope with bands.
- ``expenditure`` energy spent, on the client's own logging scale; ``proposal`` hold, wait or move.
- ``phase`` which phases there were; ``review`` what one did; ``change`` what a difference is worth.
- ``warnings`` what should worry a coach; ``words`` entries, and faults of typed ones, in words.

Pure functions; nothing here stores, renders or reads a clock.
"""

from mealplan.checkin.csv_export import write_csv
from mealplan.checkin.csv_import import Choices, CsvReading, read_csv
from mealplan.checkin.errors import CheckInError, TooLittleDataError
from mealplan.checkin.expenditure import (
    Energetics,
    Expenditure,
    Prior,
    energetics_of,
    learn_expenditure,
    scan_balance,
)
from mealplan.checkin.log import Log, log_of
from mealplan.checkin.proposal import (
    DecisionRecord,
    Proposal,
    Terms,
    propose,
    record_decision,
    words_for_client,
)
from mealplan.checkin.review import PhaseReview, review_phase
from mealplan.checkin.trend import Trend, weight_trend
from mealplan.checkin.warnings import Client, find_warnings, for_client
from mealplan.hiding import hide_numbers

__all__ = [
    "CheckInError",
    "Choices",
    "Client",
    "CsvReading",
    "DecisionRecord",
    "Energetics",
    "Expenditure",
    "Log",
    "PhaseReview",
    "Prior",
    "Proposal",
    "Terms",
    "TooLittleDataError",
    "Trend",
    "energetics_of",
    "find_warnings",
    "for_client",
    "hide_numbers",
    "learn_expenditure",
    "log_of",
    "propose",
    "read_csv",
    "record_decision",
    "review_phase",
    "scan_balance",
    "weight_trend",
    "words_for_client",
    "write_csv",
]
