"""
The method, open: every equation the program knows, with its formula, inputs and source, to try.

No number of a client is made here; the equations themselves are in :mod:`mealplan.physiology` and
:mod:`mealplan.nutrition`.
"""
