"""
The service put together and run: its app and door, its processes, and the units a server keeps.

What any page or the interface answers is not here; those rooms do not know how they are run.
"""
