"""Settings: where they come from, which wins, and how a wrong one is told."""

from __future__ import annotations

import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from underboard.config import Settings, SettingsError, default_data_folder, load_settings
from underboard.data_folder import prepare_data_folder, server_id, write_secret


def test_without_anything_it_is_this_machine_and_sqlite(tmp_path: Path) -> None:
    settings = load_settings(tmp_path, environ={})
    assert (settings.host, settings.port, settings.rate_limits) == ("127.0.0.1", 8350, True)
    assert settings.database == f"sqlite:///{tmp_path / 'underboard.sqlite3'}"
    assert settings.sqlite_file == tmp_path / "underboard.sqlite3"


def test_the_command_line_wins_over_the_environment_and_that_over_the_file(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('port = 9001\nhost = "10.0.0.1"\nlog_level = "error"\n')
    environ = {"UNDERBOARD_PORT": "9002", "UNDERBOARD_HOST": "10.0.0.2"}
    settings = load_settings(tmp_path, environ=environ, port="9003", host=None)
    assert (settings.port, settings.host, settings.log_level) == (9003, "10.0.0.2", "error")


def test_the_data_folder_can_come_from_the_environment(tmp_path: Path) -> None:
    assert load_settings(environ={"UNDERBOARD_DATA": str(tmp_path)}).data == tmp_path
    elsewhere = tmp_path / "elsewhere"
    assert load_settings(elsewhere, environ={"UNDERBOARD_DATA": str(tmp_path)}).data == elsewhere


@pytest.mark.parametrize(
    ("word", "on"), [("off", False), ("0", False), ("No", False), ("on", True), ("1", True)]
)
def test_switches_are_words(tmp_path: Path, word: str, on: bool) -> None:
    assert load_settings(tmp_path, environ={"UNDERBOARD_RATE_LIMITS": word}).rate_limits is on


@pytest.mark.parametrize(
    ("environ", "words"),
    [
        ({"UNDERBOARD_PORT": "eighty"}, "UNDERBOARD_PORT: port is a whole number from 1 to 65535"),
        ({"UNDERBOARD_PORT": "65536"}, "1 to 65535"),
        ({"UNDERBOARD_RATE_LIMITS": "perhaps"}, "rate_limits is on or off"),
        ({"UNDERBOARD_LOG_LEVEL": "loud"}, "log_level is one of debug, info, warning, error"),
    ],
)
def test_a_wrong_value_is_told_with_its_place_and_what_is_right(
    tmp_path: Path, environ: dict[str, str], words: str
) -> None:
    with pytest.raises(SettingsError) as told:
        load_settings(tmp_path, environ=environ)
    assert words in str(told.value)


@pytest.mark.parametrize("text", ["porrt = 1", "port = true", "host = 3", "port = ", "\xff"])
def test_a_wrong_settings_file_is_named(tmp_path: Path, text: str) -> None:
    (tmp_path / "settings.toml").write_bytes(text.encode("latin-1"))
    with pytest.raises(SettingsError) as told:
        load_settings(tmp_path, environ={})
    assert "settings.toml" in str(told.value)


def test_a_plain_postgresql_address_gets_the_driver_we_ship(tmp_path: Path) -> None:
    environ = {"UNDERBOARD_DATABASE_URL": "postgresql://grower@db.example/plot"}
    settings = load_settings(tmp_path, environ=environ)
    assert settings.database == "postgresql+psycopg://grower@db.example/plot"
    assert settings.sqlite_file is None


@pytest.mark.parametrize(
    ("settings", "address"),
    [
        (Settings(Path()), "http://127.0.0.1:8350"),
        (Settings(Path(), host="0.0.0.0", port=9000), "http://127.0.0.1:9000"),
        (Settings(Path(), host="::1"), "http://[::1]:8350"),
        (Settings(Path(), public_url="https://plot.example/"), "https://plot.example"),
    ],
)
def test_people_are_sent_to_an_address_that_a_browser_can_open(settings: Settings, address: str) -> None:
    assert settings.address() == address


# XDG Base Directory Specification 0.8; Apple, File System Programming Guide; Microsoft, Known Folders
@pytest.mark.parametrize(
    ("environ", "platform", "folder"),
    [
        ({"HOME": "/home/ada"}, "linux", "/home/ada/.local/share/underboard"),
        ({"HOME": "/home/ada", "XDG_DATA_HOME": "/srv/x"}, "linux", "/srv/x/underboard"),
        ({"HOME": "/Users/ada"}, "darwin", "/Users/ada/Library/Application Support/Underboard"),
    ],
)
def test_each_person_has_a_data_folder_where_the_platform_wants_it(
    environ: dict[str, str], platform: str, folder: str
) -> None:
    assert default_data_folder(environ, platform) == Path(folder)


def test_keys_are_closed_to_others_and_a_server_keeps_its_id(tmp_path: Path) -> None:
    settings = Settings(tmp_path / "new" / "data")
    prepare_data_folder(settings)
    settings.keys.chmod(0o755)
    prepare_data_folder(settings)
    assert stat.S_IMODE(settings.keys.stat().st_mode) == 0o700
    with ThreadPoolExecutor(8) as pool:
        ids = set(pool.map(lambda _: server_id(settings), range(8)))
    assert len(ids) == 1
    write_secret(settings.claim_file, "ABCD-EFGH")
    write_secret(settings.claim_file, "WXYZ-2346")
    assert settings.claim_file.read_text() == "WXYZ-2346\n"
    assert stat.S_IMODE(settings.claim_file.stat().st_mode) == 0o600


def test_a_data_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(SettingsError, match="choose another with --data"):
        prepare_data_folder(Settings(tmp_path / "file" / "data"))
