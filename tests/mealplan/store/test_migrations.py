import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, text

from mealplan.errors import StoreError
from mealplan.store.records import Client, Coach
from mealplan.store.schema import migrate, migration_config
from mealplan.store.sql import SqlStore, _engine
from mealplan.store.tables import METADATA

REVISIONS = [
    script.revision
    for script in reversed(list(ScriptDirectory.from_config(migration_config()).walk_revisions()))
]


def test_the_migrations_end_in_the_tables_the_store_uses(tmp_path):
    store = SqlStore(f"sqlite:///{tmp_path / 'new.sqlite'}")
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []
    store.close()


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_database_of_every_released_schema_comes_up_to_date_with_its_records(tmp_path, revision):
    url = f"sqlite:///{tmp_path / 'old.sqlite'}"
    engine = _engine(url)
    migrate(engine, revision)
    with engine.begin() as connection:
        connection.execute(
            text(
                "insert into coach (id, made_at, login, password_hash) "
                "values ('c1', '2026-11-25 11:00:00.000000', 'north', 'x')"
            )
        )
        connection.execute(
            text(
                "insert into client (id, made_at, coach_id, role, phase, start, intake_number, "
                "plan_number, gravest) values ('k1', '2026-11-25 11:00:00.000000', 'c1', "
                "'club rower', 'gain', '2026-11-30', 1, 0, '')"
            )
        )
    engine.dispose()
    store = SqlStore(url)
    with store.reading() as unit:
        assert [coach.login for coach in unit.find(Coach)] == ["north"]
        assert [client.role for client in unit.find(Client, coach_id="c1")] == ["club rower"]
    store.close()


def test_a_database_of_a_newer_release_is_refused_with_what_to_do(tmp_path):
    url = f"sqlite:///{tmp_path / 'newer.sqlite'}"
    SqlStore(url).close()
    engine = create_engine(url)
    with engine.begin() as connection:
        connection.execute(text("update alembic_version set version_num = '9999'"))
    engine.dispose()
    with pytest.raises(StoreError, match="newer release"):
        SqlStore(url)


def test_a_file_that_is_no_database_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("not a database, but long enough to look like a page of one" * 20)
    before = path.read_bytes()
    with pytest.raises(StoreError, match="cannot be opened"):
        SqlStore(f"sqlite:///{path}")
    assert path.read_bytes() == before


def test_an_sqlite_store_flushes_every_commit_to_disk(tmp_path):
    store = SqlStore(f"sqlite:///{tmp_path / 'new.sqlite'}")
    with store.engine.connect() as connection:
        # source: published (SQLite documentation: synchronous 2 is FULL)
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    store.close()
