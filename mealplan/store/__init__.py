"""Where clients, plans and accounts are kept: records, the seam, and two stores behind it."""

from __future__ import annotations

from mealplan.store.base import AlreadyThere, NotThere, Reader, Store, Writer

__all__ = ["AlreadyThere", "NotThere", "Reader", "Store", "Writer"]
