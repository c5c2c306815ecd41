"""The page of the centre's database names its tables, views and columns, all of them and no others."""

import psycopg

from tests.kit.checkout import REFERENCE
from tests.kit.pages import rows, section, words
from tests.kit.postgres import Cluster, needs_postgres, new_database

PAGE = REFERENCE / "rooms-database.md"


def columns(cluster: Cluster, kind: str) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    with psycopg.connect(cluster.dsn(new_database(cluster))) as line:
        asked = line.execute(
            "SELECT c.relname, a.attname FROM pg_class AS c JOIN pg_attribute AS a ON a.attrelid = c.oid "
            "WHERE c.relnamespace = 'naupliad'::regnamespace AND c.relkind = ANY (%s) "
            "AND NOT c.relispartition AND a.attnum > 0 AND NOT a.attisdropped",
            ([*kind],),
        )
        for table, column in asked:
            found.setdefault(table, set()).add(column)
    return found


@needs_postgres
def test_every_table_stands_there_with_its_columns(cluster: Cluster) -> None:
    told = {
        words(row[0])[0]: {word for cell in row[1:] for word in words(cell)}
        for row in rows(section(PAGE, "Tables"))
    }
    for table, its in columns(cluster, "rp").items():
        assert its <= told.pop(table), table
    assert told == {}


@needs_postgres
def test_every_view_stands_there_with_its_columns(cluster: Cluster) -> None:
    told = {
        words(row[0])[0]: {*words(row[1])} for row in rows(section(PAGE, "For people and their programs"))
    }
    for view, its in columns(cluster, "v").items():
        assert its <= told.pop(view), view
    assert told == {}
