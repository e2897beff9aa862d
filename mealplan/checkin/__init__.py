"""
Check-ins: from a client's log to what it can and cannot tell, and to a reasoned proposal.

Pure functions; nothing here stores, renders or reads a clock.
"""
