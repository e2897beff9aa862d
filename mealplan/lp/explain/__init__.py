"""
Why a day misses what it misses: the ends of its rows, the clashes among them, and their prices.

Searching for better days is outside; everything here reads a finished day and its model.
"""
