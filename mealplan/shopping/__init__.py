"""
From a plan to what is bought, on which day, in which packs, and what is left over.

What packs and prices are is in :mod:`mealplan.market`.
"""
