"""Settings from the environment, the file and the command, in that order of weight from below."""

from pathlib import Path

import pytest

from api.settings import Settings, load_settings
from api.start_errors import BadSettings


def test_with_nothing_set(tmp_path: Path):
    settings = load_settings({}, tmp_path)
    assert settings == Settings(tmp_path, "", "127.0.0.1", 8000)
    assert settings.target == tmp_path / "nubbin.sqlite"


def test_who_wins(tmp_path: Path):
    (tmp_path / "nubbin.toml").write_text('host = "10.0.0.5"\nport = 9000\n')
    environment = {"NUBBIN_DATA": str(tmp_path), "NUBBIN_PORT": "9100"}
    assert load_settings(environment) == Settings(tmp_path, "", "10.0.0.5", 9100)
    assert load_settings(environment, host="0.0.0.0", port=0).port == 0
    assert load_settings(environment, host="0.0.0.0").host == "0.0.0.0"


def test_postgresql_by_one_setting(tmp_path: Path):
    settings = load_settings({"NUBBIN_DATABASE": "postgresql://farm@db/farm"}, tmp_path)
    assert (settings.is_sqlite, settings.target) == (False, "postgresql://farm@db/farm")


def test_settings_do_not_change():
    with pytest.raises(AttributeError):
        Settings(Path("x")).port = 1  # type: ignore[misc]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('host = "a"\nport = "8"\n', "line 2: 'port' must be a whole number"),
        ("port = true", "line 1: 'port' must be a whole number"),
        ("# c\n\nhost = 3\n", "line 3: 'host' must be text in quotes"),
        ("database = []", "line 1: 'database' must be text in quotes"),
        ("\nprot = 8\n", "line 2: there is no setting 'prot'. There are database, host and port."),
        ("[server]\nport = 8", "line 1: there is no setting 'server'"),
        ('host = "a"\nport = \n', "at line 2"),
        ("port = 65536", "The port is '65536'"),
        ("port = -1", "The port is '-1'"),
        ('database = "mysql://x"', "begins with postgresql://"),
    ],
)
def test_a_mistake_is_told_with_its_place(tmp_path: Path, text: str, words: str):
    (tmp_path / "nubbin.toml").write_text(text)
    with pytest.raises(BadSettings) as told:
        load_settings({}, tmp_path)
    assert words in str(told.value)


def test_a_file_that_is_no_text(tmp_path: Path):
    (tmp_path / "nubbin.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadSettings, match="not UTF-8"):
        load_settings({}, tmp_path)


def test_a_folder_in_the_files_place(tmp_path: Path):
    (tmp_path / "nubbin.toml").mkdir()
    with pytest.raises(BadSettings, match="cannot be read"):
        load_settings({}, tmp_path)


@pytest.mark.parametrize("port", ["", "80 80", "8_000", "０", "1" * 20, "x"])
def test_a_port_in_the_environment(tmp_path: Path, port: str):
    if not port:
        assert load_settings({"NUBBIN_PORT": port}, tmp_path).port == 8000
        return
    with pytest.raises(BadSettings, match="Give a whole number"):
        load_settings({"NUBBIN_PORT": port}, tmp_path)
