"""
Dishes on their way out of the kitchen and in: schema.org recipes, read and written.

Reading a dish in the kitchen's own words belongs to ``foods.dishes``; nothing here fetches a page.
"""
