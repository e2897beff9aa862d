"""
Families of wishes on a day, one file a family, as plain rows.

How rows are solved is in :mod:`mealplan.lp`.
"""
