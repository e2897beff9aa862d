"""
The whole job for three clients of an invented club, their logged weeks, and folders to look at.

Nothing here is used for anybody's plan.
"""
