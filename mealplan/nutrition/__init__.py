"""
What a person should eat of each nutrient, before any food is chosen.

Energy spent is in :mod:`mealplan.physiology`; what foods contain is not known here.
"""
