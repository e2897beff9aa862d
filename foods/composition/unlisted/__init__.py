"""
Foods the release does not list: recipes of its rows, surveys of products, acids of kindred foods.

What belongs in here is what such a composition rests on and how it is worked out; what a kitchen or
a shop needs to know of a food is in the catalogue, and a user's own labels are in ``foods.custom``.
"""
