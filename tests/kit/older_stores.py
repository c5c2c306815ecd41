"""Stores as earlier versions left them: their migrations were noted by sqlite-utils, with its own hand."""

import sqlite3

from sqlite_utils import Database, Migrations

from daemon.store import schema


def made_by_the_library(connection: sqlite3.Connection, before: str) -> None:
    """Do every migration that comes before one, by its number or its name."""
    done = Migrations("naupliad")
    for name, step in schema.steps().items():
        if name < before:
            done(name=name)(lambda database, step=step: step(database.conn))
    done.apply(Database(connection))
