"""The report that is handed over: one page of HTML that needs no network, and the parts to build such pages from."""

from equipsel.report.document import report_html

__all__ = ["report_html"]
