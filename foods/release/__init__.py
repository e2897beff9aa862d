"""
Making the committed food table out of the public release, run rarely.

Nothing here is imported when people plan or shop.
"""
