"""
Foods as a client's kitchen meets them: arrays, measures, safety advice, spread, words for tastes.

Buying is in :mod:`mealplan.market`, choosing meals in :mod:`mealplan.menu`.
"""
