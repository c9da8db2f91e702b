"""The report: one page of HTML that works with no network, with a 3D view that folds."""

from formparts.report.html.page import page_text, report, write_report

__all__ = ["page_text", "report", "write_report"]
