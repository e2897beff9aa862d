"""
Check-ins: from a client's log to what it can and cannot tell, and to a reasoned proposal.

- ``log`` what was logged; ``csv_import`` and ``csv_export`` carry it in and out.
- ``series`` one row a day; ``simple_trend`` plain methods; ``state_space``, ``noise`` and ``trend``
  level and slope with bands.
- ``expenditure`` energy spent, on the client's own logging scale; ``proposal`` hold, wait or move.
- ``review`` what a phase did; ``warnings`` what should worry a coach.

Pure functions; nothing here stores, renders or reads a clock.
"""
