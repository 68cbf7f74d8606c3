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
    expected = Settings(tmp_path, "", "10.0.0.5", 9100, https="own")
    assert load_settings(environment) == expected
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
        ("\nprot = 8\n", "line 2: there is no setting 'prot'. There are database, host, port, "),
        ("https = true", "line 1: 'https' must be text in quotes"),
        ('\nbehind_proxy = "10.0.0.2"', "line 2: 'behind_proxy' must be a list of texts in quotes"),
        ("behind_proxy = [1]", "line 1: 'behind_proxy' must be a list"),
        ("name_constraints = 1", "line 1: 'name_constraints' must be true or false"),
        ('https_port = "8443"', "line 1: 'https_port' must be a whole number"),
        ("https_port = 70000", "The https port is '70000'"),
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


OUT = {"NUBBIN_HOST": "0.0.0.0"}


def test_everything_for_https_in_the_environment(tmp_path: Path):
    environment = OUT | {
        "NUBBIN_HTTPS": "files", "NUBBIN_CERT": "tls/cert.pem", "NUBBIN_KEY": "/etc/key.pem",
        "NUBBIN_HTTPS_PORT": "443", "NUBBIN_NAME": "Farm.Example.",
        "NUBBIN_BEHIND_PROXY": "10.0.0.2, fd00::/64", "NUBBIN_NAME_CONSTRAINTS": "False",
    }  # fmt: skip
    assert load_settings(environment, tmp_path) == Settings(
        tmp_path, host="0.0.0.0", https="files", cert=tmp_path / "tls" / "cert.pem",
        key=Path("/etc/key.pem"), https_port=443, name="farm.example",
        behind_proxy=("10.0.0.2", "fd00::/64"), name_constraints=False,
    )  # fmt: skip


def test_everything_for_https_in_the_file(tmp_path: Path):
    (tmp_path / "nubbin.toml").write_text(
        'host = "0.0.0.0"\nhttps = "own"\nhttps_port = 8444\nname = "nubbin.local"\n'
        'behind_proxy = ["192.168.1.2"]\nname_constraints = false\n'
    )
    assert load_settings({}, tmp_path) == Settings(
        tmp_path, host="0.0.0.0", https="own", https_port=8444, name="nubbin.local",
        behind_proxy=("192.168.1.2",), name_constraints=False,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("given", "https"),
    [
        ({}, "off"),
        ({"host": "localhost"}, "off"),
        ({"host": "::1"}, "off"),
        ({"host": "127.0.0.1", "https": "own"}, "own"),
        ({"host": "0.0.0.0"}, "own"),
        ({"host": "192.168.1.5"}, "own"),
        ({"host": "0.0.0.0", "https": "off"}, "off"),
        ({"host": "0.0.0.0", "behind_proxy": ["10.0.0.2"]}, "off"),
        ({"host": "0.0.0.0", "cert": "a.pem", "key": "b.pem"}, "files"),
        ({"host": "0.0.0.0", "cert": "a.pem", "key": "b.pem", "https": "own"}, "own"),
    ],
)
def test_where_https_comes_from_if_nothing_is_said(
    tmp_path: Path, given: dict[str, str], https: str
):
    assert load_settings({}, tmp_path, **given).https == https


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"https": "yes"}, "https is 'yes'. Write own"),
        ({"https": "files"}, "cert and key must both be given"),
        ({"cert": "a.pem"}, "cert and key must both be given"),
        ({"name": "https://nubbin.local"}, "a plain host name without https://"),
        ({"name": "nubbin.local:8443"}, "without a port"),
        ({"name": "farm box"}, "a plain host name"),
        ({"name": "10.0.0.300"}, "an address that this machine keeps"),
        ({"name": "-a.local"}, "a plain host name"),
        ({"name": "a" * 64 + ".local"}, "a plain host name"),
        ({"name": "farm.example", "host": "0.0.0.0"}, "'farm.example' is no local one"),
        ({"name": "203.0.113.5", "host": "0.0.0.0"}, "'203.0.113.5' is no local one"),
        ({"behind_proxy": ["*"]}, "holds '*', which is no address"),
        ({"behind_proxy": ["proxy.lan"]}, "holds 'proxy.lan'"),
        ({"behind_proxy": ["0.0.0.0/0"]}, "which is everyone"),
        ({"host": "0.0.0.0", "port": 8443}, "port and https_port are both 8443"),
    ],
)
def test_what_cannot_work_is_said(tmp_path: Path, given: dict[str, str], words: str):
    with pytest.raises(BadSettings) as told:
        load_settings({}, tmp_path, **given)
    assert words in str(told.value)


def test_a_public_name_is_fine_where_nubbin_need_not_vouch_for_it(tmp_path: Path):
    for more in ({"https": "off"}, {"name_constraints": False}, {"cert": "a", "key": "b"}):
        name = load_settings({}, tmp_path, host="0.0.0.0", name="farm.example", **more).name
        assert name == "farm.example"


def test_a_switch_in_the_environment(tmp_path: Path):
    with pytest.raises(BadSettings, match="NUBBIN_NAME_CONSTRAINTS is '0'"):
        load_settings({"NUBBIN_NAME_CONSTRAINTS": "0"}, tmp_path)


@pytest.mark.parametrize(
    ("given", "name"),
    [("[FD00::9]", "fd00::9"), ("192.168.1.5", "192.168.1.5"), ("NUBBIN.local", "nubbin.local"),
     ("farmbox", "farmbox"), ("  ", "")],
)  # fmt: skip
def test_names_in_their_usual_form(tmp_path: Path, given: str, name: str):
    assert load_settings({}, tmp_path, name=given).name == name
