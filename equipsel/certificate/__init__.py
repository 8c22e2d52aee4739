"""A lower bound that anyone can check: rows of the program weighed against its cost, in exact fractions."""

from equipsel.certificate.certify import certified, check_certificate

__all__ = ["certified", "check_certificate"]
