"""The report as one HTML file that holds its pictures and loads nothing."""

from base64 import b64encode
from collections.abc import Mapping

from reports.batch.account import BatchReport
from reports.language import spoken
from reports.letters.web_page import web_page


def html_of(report: BatchReport, charts: Mapping[str, bytes]) -> str:
    """The whole file; `charts` are the pictures by their names, as SVG."""
    held = {
        name: f"data:image/svg+xml;base64,{b64encode(chart).decode('ascii')}"
        for name, chart in charts.items()
    }
    with spoken(report.language):
        return web_page(report.title, report.lead, report.blocks, report.signature, held)


def _in_ascii(chart: bytes) -> str:
    return b64encode(chart).decode("ascii")
