"""The pictures of a view: each vessel drawn, ready to stand in its page."""

from collections.abc import Collection, Mapping

from markupsafe import Markup

from reports.language import in_its_language
from reports.page.picture.drawing import vessel_svg
from reports.page.picture.sighting import picture_of
from reports.page.picture.sizes import Size
from reports.page.picture.vessel_picture import VesselShape
from reports.records import NightRecord, Setting


@in_its_language
def drawn(
    setting: Setting,
    record: NightRecord,
    shapes: Mapping[str, VesselShape],
    covered: Collection[str],
    size: Size,
) -> dict[str, Markup]:
    """Every vessel of the record by its id; `covered` are those under a lid."""
    return {
        vessel.vessel: Markup(  # noqa: S704 - made of numbers, of our own words and of text it escapes
            vessel_svg(
                picture_of(
                    vessel,
                    shapes[vessel.vessel],
                    setting.written_at,
                    setting.unit,
                    covered=vessel.vessel in covered,
                ),
                size,
            )
        )
        for vessel in record.vessels
    }
