"""
Where a client stands, what should worry a coach, and whether to move, hold or wait.

Looking back on a whole phase is in :mod:`mealplan.checkin.review`.
"""
