"""The views: each makes a page from a glance at the station. A new one has a row here."""

from collections.abc import Callable, Mapping
from typing import Any

from daemon.page.views.classroom import classroom
from daemon.page.views.experiments import (
    experiment,
    experiment_counts,
    experiment_form,
    experiments,
    how_many_cups,
    spoonfuls,
)
from daemon.page.views.letter import letter, letter_chart
from daemon.page.views.nights import night, nights
from daemon.page.views.paper import (
    paper,
    paper_count,
    paper_dose,
    paper_experiment,
    paper_labels,
    paper_week,
)
from daemon.page.views.plans import plan_batch_report, plan_cone, plan_dose, plan_wrap_up, plans
from daemon.page.views.shelf import shelf
from daemon.page.views.starts import plan_start, plan_start_calendar
from daemon.page.views.station import station
from daemon.page.views.take_away import calendar_feed, lesson, records, take_away
from daemon.page.views.tins import tin_test, tins
from daemon.page.views.today import today
from daemon.page.views.vessel import vessel
from daemon.page.views.why import why

VIEWS: Mapping[str, Callable[..., Any]] = {
    "/": shelf,
    "/today": today,
    "/vessel/<vessel_id>": vessel,
    "/why/<vessel_id>": why,
    "/class": classroom,
    "/station": station,
    "/nights": nights,
    "/nights/<until>": nights,
    "/night/<day>": night,
    "/letter/<letter_id>": letter,
    "/letter/<letter_id>/chart.png": letter_chart,
    "/plan": plans,
    "/plan/dose": plan_dose,
    "/plan/cone": plan_cone,
    "/plan/start": plan_start,
    "/plan/start.ics": plan_start_calendar,
    "/plan/tin": tin_test,
    "/plan/tins": tins,
    "/plan/experiment": experiments,
    "/plan/cups": how_many_cups,
    "/plan/spoonfuls": spoonfuls,
    "/plan/wrap-up": plan_wrap_up,
    "/plan/wrap-up/<vessel_id>": plan_batch_report,
    "/experiment/<int:number>": experiment,
    "/experiment/<int:number>.csv": experiment_counts,
    "/experiment/<int:number>/form.csv": experiment_form,
    "/paper": paper,
    "/paper/labels": paper_labels,
    "/paper/week": paper_week,
    "/paper/count": paper_count,
    "/paper/dose": paper_dose,
    "/paper/experiment": paper_experiment,
    "/take-away": take_away,
    "/calendar.ics": calendar_feed,
    "/lesson/<int:batch_id>.zip": lesson,
    "/records.zip": records,
}
