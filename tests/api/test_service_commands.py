"""Running and keeping the service from the command line."""

import io
import socket

import pytest

from api.app.work import open_store
from mealplan.cli.main import EXIT_FILE, main
from mealplan.store.records import Client, Coach


@pytest.fixture
def db(tmp_path):
    return str(tmp_path / "plans.sqlite")


def typed(monkeypatch, text):
    monkeypatch.setattr("sys.stdin", io.StringIO(text))


def test_a_coach_signs_up_by_command_line(db, monkeypatch, capsys):
    typed(monkeypatch, "a short sentence\n")
    assert main(["coach", "add", "north-harbour", "--db", db]) == 0
    assert main(["coach", "list", "--db", db]) == 0
    assert "north-harbour  since" in capsys.readouterr().out


def test_a_short_password_is_refused_in_one_line(db, monkeypatch, capsys):
    typed(monkeypatch, "short\n")
    assert main(["coach", "add", "north-harbour", "--db", db]) == EXIT_FILE
    said = capsys.readouterr().err
    assert "take at least 12" in said
    assert said.count("\n") == 1
    assert "short\n" not in said.replace("a short sentence", "")


def test_a_new_password_needs_a_coach_there_is(db, monkeypatch, capsys):
    typed(monkeypatch, "a short sentence\n")
    assert main(["coach", "password", "nobody", "--db", db]) == EXIT_FILE
    assert "coach list" in capsys.readouterr().err


def test_backup_and_restore_take_one_command_each(db, tmp_path, monkeypatch, capsys):
    from tests.mealplan.store.conftest import a_client, a_coach

    coach = a_coach("north")
    store = open_store(db)
    with store.writing() as unit:
        unit.add(coach)
        unit.add(a_client(coach))
    store.close()
    file, other = str(tmp_path / "monday.backup"), str(tmp_path / "other.sqlite")
    assert main(["backup", file, "--db", db]) == 0
    assert main(["restore", file, "--db", other]) == 0
    store = open_store(other)
    with store.reading() as unit:
        assert unit.find(Coach) == (coach,)
        assert len(unit.find(Client)) == 1
    store.close()
    assert main(["restore", file, "--db", other]) == EXIT_FILE
    assert "--replace" in capsys.readouterr().err
    assert main(["restore", file, "--replace", "--db", other]) == 0


def test_serving_others_without_accounts_is_refused(db, capsys):
    assert main(["serve", "--host", "0.0.0.0", "--db", db]) == EXIT_FILE
    assert "would let anyone in" in capsys.readouterr().err


def test_a_port_that_is_taken_is_said_in_one_line(db, capsys):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        assert main(["serve", "--port", port, "--db", db]) == EXIT_FILE
    said = capsys.readouterr().err
    assert f"port {port} cannot be listened on" in said
    assert said.count("\n") == 1


def test_a_new_database_file_is_for_its_owner_alone(db, tmp_path):
    open_store(db).close()
    assert (tmp_path / "plans.sqlite").stat().st_mode & 0o077 == 0


def test_the_default_database_lies_in_the_users_data_folder(tmp_path, monkeypatch):
    from api.settings import default_url

    monkeypatch.delenv("MEALPLAN_DB", raising=False)
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_url() == f"sqlite:///{tmp_path}/mealplan/mealplan.sqlite"


@pytest.mark.parametrize(
    ("given", "url"),
    [
        ("postgres://coach@127.0.0.1/plans", "postgresql+psycopg://coach@127.0.0.1/plans"),
        ("postgresql://coach@127.0.0.1/plans", "postgresql+psycopg://coach@127.0.0.1/plans"),
        ("/tmp/plans.sqlite", "sqlite:////tmp/plans.sqlite"),
        ("sqlite:////tmp/plans.sqlite", "sqlite:////tmp/plans.sqlite"),
    ],
)
def test_a_path_or_a_url_names_a_database(given, url):
    from api.settings import database_url

    assert database_url(given) == url


def test_a_backup_by_workers_needs_some_and_a_secret_they_can_read(db, tmp_path, capsys):
    file = str(tmp_path / "monday.backup")
    assert main(["backup", file, "--by-workers", "--db", db]) == EXIT_FILE
    assert "no worker takes jobs" in capsys.readouterr().err
    assert main(["backup", file, "--by-workers", "--sealed", "--db", db]) == EXIT_FILE
    assert "--key-file" in capsys.readouterr().err
