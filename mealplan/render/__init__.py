"""
What people read: pages that print, plain text, charts, and what is left out for whom.

Nothing is worked out here that a number depends on.
"""
