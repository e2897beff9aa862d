"""
Energy spent on top of rest: activity levels, sessions, the day, and what food leaves the body.

How stored energy changes is in :mod:`mealplan.physiology.weight_change`.
"""
