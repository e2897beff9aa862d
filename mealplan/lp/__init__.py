"""
The day as a linear programme: plain problem, exact solver seam, fast search with a bound.

What a day should satisfy is in :mod:`mealplan.rules`; which dishes may be served, and how days make
a week, in :mod:`mealplan.menu`.
"""
