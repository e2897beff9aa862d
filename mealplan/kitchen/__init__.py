"""
Foods and dishes as a client's kitchen meets them: measures, safety, tastes, recipes in and out.

Buying is in :mod:`mealplan.market`, choosing meals in :mod:`mealplan.menu`.
"""
