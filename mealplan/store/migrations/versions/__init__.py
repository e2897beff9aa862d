"""
The schema changes themselves, in order.

A step that has been released is not edited; the next one mends it.
"""
