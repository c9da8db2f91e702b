"""The report: one HTML page that needs no network, with a folding 3D view."""

from formparts.report.html.notebook import notebook_view
from formparts.report.html.page import page_text, report_page, write_report

__all__ = ["notebook_view", "page_text", "report_page", "write_report"]
