"""
The course of body mass from readings alone: level, slope and how sure they are.

Energy is in :mod:`mealplan.checkin.energy`.
"""
