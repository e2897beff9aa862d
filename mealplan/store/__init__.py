"""
Where clients, plans and accounts are kept: records, the seam, and two stores behind it.

Who may see or change a record, and what a page shows of it, is decided in :mod:`api`.
"""

from __future__ import annotations

from mealplan.store.base import AlreadyThere, NotThere, Reader, Store, Writer

__all__ = ["AlreadyThere", "NotThere", "Reader", "Store", "Writer"]
