"""The independent re-check of a kit: everything recomputed from the tables, every rule tested, findings in words."""

from equipsel.audit.findings import audit

__all__ = ["audit"]
