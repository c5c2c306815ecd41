"""What a table is and what stands in its columns: data about data, for people and for programs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Column:
    """A column. `kind` and `form` are Table Schema's type and format; `unit` is set where all of it has one.

    `choices` are all that may stand in it, `least` and `most` its bounds; `given` says that no cell is empty.
    """

    name: str
    kind: str
    about: str
    unit: str = ""
    form: str = "default"
    given: bool = False
    choices: Sequence[str] = ()
    least: float | None = None
    most: float | None = None


@dataclass(frozen=True, slots=True)
class DataTable:
    """A table. `key` names the columns that tell its rows apart.

    `refers` says by column to which table's `id` it refers; `refers_within` which columns refer to the `id`
    of an other row of the same table, which may be left out of a part of it.
    """

    name: str
    title: str
    about: str
    columns: Sequence[Column]
    key: Sequence[str]
    refers: Mapping[str, str] = field(default_factory=dict)
    refers_within: Sequence[str] = ()

    @property
    def file(self) -> str:
        """The name of its file."""
        return f"{self.name}.csv"

    @property
    def header(self) -> list[str]:
        """The names of its columns."""
        return [column.name for column in self.columns]


def moment(name: str, about: str, *, given: bool = False) -> tuple[Column, Column]:
    """A moment in two columns: by UTC and by the station's clock."""
    return (
        Column(f"{name}_utc", "datetime", f"{about}, UTC", given=given),
        # With an offset; its default form is UTC alone.
        Column(f"{name}_local", "datetime", f"{about}, by the station's clock", form="any", given=given),
    )


def schema_of(table: DataTable, *, whole: bool) -> dict[str, Any]:
    """Its Table Schema, Frictionless Data Package v1 [M]; `whole` says that no row was left out."""
    foreign = [_foreign(column, other) for column, other in table.refers.items()]
    within = [_foreign(column, "") for column in table.refers_within] if whole else []
    return {
        "fields": [_field(column) for column in table.columns],
        "missingValues": [""],
        "primaryKey": list(table.key),
        **({"foreignKeys": [*foreign, *within]} if foreign or within else {}),
    }


def _foreign(column: str, other: str) -> dict[str, Any]:
    """The standard calls the table itself by an empty name."""
    return {"fields": column, "reference": {"resource": other, "fields": "id"}}


def _field(column: Column) -> dict[str, Any]:
    constraints = {
        "required": True if column.given else None,
        "enum": list(column.choices) or None,
        "minimum": column.least,
        "maximum": column.most,
    }
    kept = {name: value for name, value in constraints.items() if value is not None}
    return {
        "name": column.name,
        "type": column.kind,
        "format": column.form,
        "description": column.about,
        **({"unit": column.unit} if column.unit else {}),
        **({"constraints": kept} if kept else {}),
    }
