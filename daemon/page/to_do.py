"""What is to be done by the newest estimates: the same for the shelf, today and a vessel's own view."""

from daemon.kept_starts import kept_plans
from daemon.page.due import due
from daemon.page.glance import Glance
from reports.page.task import Task
from reports.page.tasks import tasks
from reports.page.vessel_due import VesselDue
from reports.records import NightRecord
from reports.starts.kept import KeptPlan


def tasks_of(
    glance: Glance, record: NightRecord | None = None
) -> tuple[list[VesselDue], list[KeptPlan], list[Task]]:
    """What is due in each vessel, the starts that somebody keeps, and all tasks; of the vessels of `record`
    alone, where one is given."""
    record = glance.record if record is None else record
    names = {one.vessel for one in record.vessels}
    known = [one for one in due(glance) if one.vessel in names]
    planned = kept_plans(glance.station, glance.connection, glance.at)
    mine = [one for one in planned if one.vessel in names or record is glance.record]
    return known, mine, tasks(glance.setting, record, known, mine)
