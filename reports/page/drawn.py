"""The pictures of a view: each vessel drawn, ready to stand in its page."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from reports.language import in_its_language
from reports.page.picture.drawing import vessel_svg
from reports.page.picture.parts import shared_parts
from reports.page.picture.sighting import picture_of
from reports.page.picture.sizes import Size
from reports.page.picture.stage_steps import stage_steps
from reports.page.picture.vessel_picture import VesselPicture, VesselShape
from reports.records import NightRecord, Setting

# From so many vessels on each has little room: its picture, its name and a line.
MANY = 7


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a vessel's way: its picture, its name, and whether it is "past", "now" or "ahead"."""

    svg: Markup
    name: str
    when: str


@dataclass(frozen=True, slots=True)
class Pictures:
    """A view's pictures by the vessel's id; `shared` stands once before them."""

    shared: Markup
    of: Mapping[str, Markup]
    steps: Mapping[str, tuple[Step, ...]]


@in_its_language
def drawn(
    setting: Setting,
    record: NightRecord,
    shapes: Mapping[str, VesselShape],
    covered: Collection[str],
    size: Size,
) -> Pictures:
    """Every vessel of the record, small ones where there are many; `covered` are those under a lid."""
    now, unit = setting.written_at, setting.unit
    many = len(record.vessels) >= MANY
    seen = [
        picture_of(one, shapes[one.vessel], now, unit, covered=one.vessel in covered)
        for one in record.vessels
    ]
    return Pictures(
        Markup(shared_parts()) if many else Markup(),  # noqa: S704 - made of numbers and our own words
        {one.vessel: _picture(one, "small" if many else size, many=many) for one in seen},
        {one.vessel: _steps(one) for one in seen},
    )


def _picture(one: VesselPicture, size: Size, *, many: bool) -> Markup:
    return Markup(vessel_svg(one, size, parts_apart=many))  # noqa: S704 - text in it is escaped there


def _steps(one: VesselPicture) -> tuple[Step, ...]:
    steps = stage_steps(one.stage, one.age_days)
    return tuple(Step(Markup(step.svg), step.name, step.when) for step in steps)  # noqa: S704 - as above
