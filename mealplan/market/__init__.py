"""
What buying is: bought forms, packs, price lists, what a household would rather not buy.

No plan is known here; a plan's list is in :mod:`mealplan.shopping`.
"""
