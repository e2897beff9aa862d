"""
Who is asking and whether they may: accounts, sign-ins, repeated writes.

What they ask for is in :mod:`api.pages` and :mod:`api.json`.
"""
