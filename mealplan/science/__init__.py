"""
What all science is told in: values with unit and error, units, and the list of equations.

The equations themselves stand in :mod:`mealplan.physiology` and :mod:`mealplan.nutrition`.
"""
