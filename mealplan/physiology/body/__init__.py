"""
What body measurements tell: girths, skinfolds, scans, and how far each can be trusted.

No target is made here.
"""
