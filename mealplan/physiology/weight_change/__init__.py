"""
How a body changes over weeks: tissue energy, rates, goals and phases.

What logged readings say is in :mod:`mealplan.checkin`.
"""
