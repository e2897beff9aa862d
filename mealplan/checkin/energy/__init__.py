"""
Energy spent, on the client's own logging scale, and what sessions cost.

What to do about it is in :mod:`mealplan.checkin.decide`.
"""
