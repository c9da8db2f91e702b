"""The report: one page of HTML that works with no network, with a 3D view that folds."""

from formparts.report.html.notebook import notebook_view
from formparts.report.html.page import page_text, report_page, write_report

__all__ = ["notebook_view", "page_text", "report_page", "write_report"]
