"""Schema changes, one file a release that changes it."""
