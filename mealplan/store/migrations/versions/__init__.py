"""The schema changes themselves, in order."""
