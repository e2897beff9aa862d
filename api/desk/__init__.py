"""
What pages and the interface ask alike: who asks, what is handed in to plan, files, faults' shape.

Neither routes nor templates belong here, and no record is read or written past ``api.records``.
"""
