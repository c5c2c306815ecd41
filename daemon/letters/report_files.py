"""The report of batches as a file: HTML that holds its charts, or a PDF of A4 pages."""

from pathlib import Path
from tempfile import TemporaryDirectory

from daemon.errors import InputError, NaupliadError
from reports.batch.account import BatchReport, written
from reports.batch.html import html_of
from reports.batch.paper_child import draw_on_paper
from reports.batch.records import Account
from reports.chart.alt_text import alt_text
from reports.chart.child_process import DrawingError, draw_in_child, write_whole

FORMS = (".pdf", ".html")


def report_of(account: Account) -> BatchReport:
    """The report's words, with its charts in words too."""
    alts = {f"batch-{place}": alt_text(batch.record) for place, batch in enumerate(account.batches)}
    return written(account, alts)


def write_report(account: Account, out: Path) -> None:
    """Write the report into `out`, or leave `out` as it was.

    Raises InputError for a file that is of no such form or cannot be written, NaupliadError where it cannot
    be drawn.
    """
    if out.suffix not in FORMS:
        raise InputError(f"{out}: found {out.suffix or 'no ending'}; allowed: {', '.join(FORMS)}")
    if not out.parent.is_dir():
        raise InputError(f"{out.parent}: found no such folder; allowed: one that is there")
    report = report_of(account)
    try:
        if out.suffix == ".pdf":
            draw_on_paper(report, out)
        else:
            write_whole(out, html_of(report, _charts(report)).encode())
    except DrawingError as error:
        raise NaupliadError(str(error)) from error
    except OSError as error:
        raise InputError(f"{out}: found {error.strerror}; allowed: a file this user can write") from error


def _charts(report: BatchReport) -> dict[str, bytes]:
    with TemporaryDirectory() as folder:
        paths = {name: Path(folder) / f"{name}.svg" for name in report.pictures}
        for name, path in paths.items():
            draw_in_child(report.pictures[name], path)
        return {name: path.read_bytes() for name, path in paths.items()}
