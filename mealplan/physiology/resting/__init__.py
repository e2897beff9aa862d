"""
Energy at rest: equations, choosing among them, gas exchange and whole resting tests.

What activity adds is in :mod:`mealplan.physiology.expenditure`.
"""
