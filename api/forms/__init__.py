"""
From typed text to documents and back, one module a form.

Nothing is kept here.
"""
