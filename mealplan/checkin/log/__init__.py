"""
The client's log: its entries, their words, and tables in and out.

Nothing is estimated here.
"""
