"""
What coaches, athletes and clients do to the records, over the store.

No request, form or page is known here.
"""
