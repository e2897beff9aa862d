"""
Published numbers, one CSV a subject, and the typed readers over them.

No equation is here; what a reader gives back is a row with its unit, source and provenance.
"""
