"""
What foods contain and are called: the release's table, the kitchen's catalogue, foods as eaten.

How the table is made is in :mod:`foods.release`; a user's own foods are in :mod:`foods.custom`.
"""
