"""
The words every part of the program uses for what foods contain: nutrients, records, the error.

No table is read here but the registry of nutrients; look-ups are in :mod:`foods.composition.table`.
"""
