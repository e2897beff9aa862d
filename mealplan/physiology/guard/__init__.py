"""
When to stop: safety findings on typed numbers, a person, a plan and a trend, each with its basis.

What is shown or refused on a finding is decided in :mod:`mealplan.targets.safety`.
"""
