"""
Somebody else's table of readings: its shape, its columns, its days, its cells and what is odd.

The log's own file and the entries themselves are in :mod:`mealplan.checkin.log`.
"""
