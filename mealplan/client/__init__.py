"""
The client as typed and checked: intake, household, and what is wrong with what was typed.

Nothing is worked out here; targets are in :mod:`mealplan.targets`.
"""
