"""
From a plan to the work in the kitchen, day by day.

What a dish is made of is in :mod:`foods.dishes`.
"""
