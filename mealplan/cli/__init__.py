"""
The command line: parse, call, print.

No command works anything out by itself.
"""
