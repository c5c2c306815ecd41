"""A centre's database for the tests of one module; what a test writes is taken back."""

from collections.abc import Iterator

import psycopg
import pytest

from tests.kit.postgres import Cluster, new_database
from tests.kit.told_boxes import Line


@pytest.fixture(scope="module")
def line(cluster: Cluster) -> Iterator[Line]:
    with psycopg.connect(cluster.dsn(new_database(cluster)), options="-csearch_path=naupliad") as made:
        yield made


@pytest.fixture
def empty(line: Line) -> Iterator[Line]:
    yield line
    line.rollback()
