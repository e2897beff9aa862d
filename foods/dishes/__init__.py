"""
Dishes: what a cook can make from kitchen foods, with ranges instead of one fixed recipe.

What a client may be served, and how much, is decided in :mod:`mealplan.menu`.
"""
