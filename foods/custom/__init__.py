"""
Foods and dishes of one's own: read from a label or a file, questioned, kept as the coach confirmed.

Whose they are and where they are kept is not known here.
"""
