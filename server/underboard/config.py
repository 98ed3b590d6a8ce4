"""Settings: one TOML file in the data folder, and UNDERBOARD_* variables that win over it.

This is the only module that reads the environment. Everybody else is handed a `Settings`.

Order, the later wins: built-in default, `settings.toml` in the data folder, environment, command line.
"""

from __future__ import annotations

import os
import re
import sys
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

from underboard.data_paths import SETTINGS_FILE, DataPaths

PREFIX: Final = "UNDERBOARD_"
ON_WORDS: Final = frozenset({"on", "true", "yes", "1"})
OFF_WORDS: Final = frozenset({"off", "false", "no", "0"})


class SettingsError(Exception):
    """A setting that can't be used; the text is one plain sentence with the fix in it."""


@dataclass(frozen=True)
class Settings(DataPaths):
    """Everything that may differ between two installs.

    Attributes
    ----------
    data : see `DataPaths`.
    host, port : where `serve` listens; port 1 to 65535.
    database_url : SQLAlchemy address; empty means SQLite in the data folder.
    rate_limits : off only for tests and benches.
    trusted_proxies : how many reverse proxies in front may tell us the caller's address and scheme.
    metrics_open : answer `/metrics` to other machines too.
    blob_quota_mb : photos one device may store [MB].
    photo_store : where photos lie, https://HOST/BUCKET or https://HOST/BUCKET/FOLDER of S3-compatible storage; empty
        means the data folder.
    photo_region : the region that requests to it are signed for; most that are not Amazon's take any.
    photo_access_key, photo_secret_key : who we are there. They lie in `keys/` under these names or in UNDERBOARD_….
    log_level : debug, info, warning or error.
    public_url : how phones reach this server, such as https://plot.example; empty means host and port.
    jobs : whether this server looks for warnings every quarter of an hour and sends them.
    certificate : file (PEM) of the certificate that phones see, where a proxy in front shows it.
    https : answer by https as well, as soon as there is a certificate (`underboard certificate`).
    https_port : where; port 1 to 65535.
    hsts : let browsers remember that only https will do. Heeded once the server has renewed by itself.
    mail_host, mail_port, mail_security : the mail server that warnings are handed to; without a host there is
        no mail. Security is starttls (port 587 as a rule), tls (465) or none (a relay on this machine).
    mail_user, mail_password : name there. The password lies in `keys/mail_password` or UNDERBOARD_MAIL_PASSWORD.
    mail_from : address that warnings come from; the user name if left out.
    mail_ca : file (PEM) of a certificate authority to trust for the mail server, if it has its own.
    backup_folder : where a backup is kept each day, best on another disk; empty means none by itself. A path
        without a root lies in the data folder. With a file `keys/backup_passphrase` backups are encrypted.
    backup_at : when, HH:MM by the clock of the first plot.
    backup_daily, backup_weekly, backup_monthly : how many days, weeks and months are kept there, 0 to 1000.
    push_contact : mail address or https page that push services may write to when our notices trouble them.
    push_hosts : push services besides the known ones, host or host:port, parted by commas.
    push_plain_loopback : let a push service on this machine be spoken to by http.
    """

    host: str = "127.0.0.1"
    port: int = 8350
    database_url: str = ""
    rate_limits: bool = True
    trusted_proxies: int = 0
    metrics_open: bool = False
    blob_quota_mb: int = 4096
    photo_store: str = ""
    photo_region: str = "us-east-1"
    photo_access_key: str = field(default="", repr=False)
    photo_secret_key: str = field(default="", repr=False)
    log_level: str = "info"
    public_url: str = ""
    jobs: bool = True
    certificate: str = ""
    https: bool = True
    https_port: int = 8443
    hsts: bool = False
    mail_host: str = ""
    mail_port: int = 587
    mail_security: str = "starttls"
    mail_user: str = ""
    mail_password: str = field(default="", repr=False)
    mail_from: str = ""
    mail_ca: str = ""
    backup_folder: str = ""
    backup_at: str = "02:45"
    backup_daily: int = 7
    backup_weekly: int = 5
    backup_monthly: int = 12
    push_contact: str = ""
    push_hosts: str = ""
    push_plain_loopback: bool = False

    def address(self, scheme: str = "http") -> str:
        """Where a browser finds the start page, without a slash at the end."""
        if self.public_url:
            return self.public_url.rstrip("/")
        everywhere = self.host in ("0.0.0.0", "::", "")
        host = "127.0.0.1" if everywhere else f"[{self.host}]" if ":" in self.host else self.host
        return f"{scheme}://{host}:{self.port}"

    @property
    def database(self) -> str:
        """SQLAlchemy address of the database, with the driver we ship for PostgreSQL."""
        if not self.database_url:
            return f"sqlite:///{self.data / 'underboard.sqlite3'}"
        return re.sub(r"\Apostgres(ql)?://", "postgresql+psycopg://", self.database_url)

    @property
    def sqlite_file(self) -> Path | None:
        """The database file, or None when the database isn't SQLite on disk."""
        prefix = "sqlite:///"
        return Path(self.database.removeprefix(prefix)) if self.database.startswith(prefix) else None

    @property
    def mail_secret(self) -> str:
        """The password for the mail server: from the environment, or else from the keys folder."""
        return self._secret("mail_password")

    @property
    def photo_keys(self) -> tuple[str, str]:
        """Access key and secret key for the photo store, each from the environment or else the keys folder."""
        return self._secret("photo_access_key"), self._secret("photo_secret_key")

    def _secret(self, name: str) -> str:
        given, file = str(getattr(self, name)), self.keys / name
        return file.read_text("utf-8").strip() if not given and file.is_file() else given

    @property
    def backups(self) -> Path | None:
        """Folder of the daily backups, or None."""
        return self.data / Path(self.backup_folder).expanduser() if self.backup_folder else None


def default_data_folder(environ: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """Per-user data folder by the custom of the platform (XDG base directories on Linux)."""
    env = os.environ if environ is None else environ
    home = Path(env.get("HOME") or env.get("USERPROFILE") or Path.home())
    if platform == "darwin":
        return home / "Library" / "Application Support" / "Underboard"
    if platform == "win32":
        return Path(env.get("LOCALAPPDATA") or home / "AppData" / "Local") / "Underboard"
    return Path(env.get("XDG_DATA_HOME") or home / ".local" / "share") / "underboard"


def load_settings(
    data: Path | None = None, environ: Mapping[str, str] | None = None, **command_line: Any
) -> Settings:
    """Read settings for one run.

    `command_line` holds values typed by the person; None means "not given".

    Raises
    ------
    SettingsError : unreadable file, unknown name or a value out of range.
    """
    env = os.environ if environ is None else environ
    folder = data or (Path(env[PREFIX + "DATA"]) if env.get(PREFIX + "DATA") else default_data_folder(env))
    folder = folder.expanduser().absolute()
    found: dict[str, Any] = {}
    for name, value in _read_file(folder / SETTINGS_FILE).items():
        if name in _SECRETS:
            raise SettingsError(
                f"Take {name} out of {folder / SETTINGS_FILE}: it belongs into {folder / 'keys' / name}."
            )
        found[name] = _checked(name, value, f"In {folder / SETTINGS_FILE}")
    for name in _NAMES:
        text = env.get(PREFIX + name.upper())
        if text:
            found[name] = _checked(name, text, f"{PREFIX}{name.upper()}")
    for name, value in command_line.items():
        if value is not None:
            found[name] = _checked(name, value, f"--{name.replace('_', '-')}")
    return replace(Settings(data=folder), **found)


def without_own_variables() -> dict[str, str]:
    """The environment for a server that must not be this one: all but our own variables."""
    return {name: value for name, value in os.environ.items() if not name.startswith(PREFIX)}


_NAMES: Final = tuple(field.name for field in fields(Settings) if field.name != "data")
_RANGES: Final[Mapping[str, tuple[int, int]]] = {
    "port": (1, 65535),
    "https_port": (1, 65535),
    "mail_port": (1, 65535),
    "trusted_proxies": (0, 8),
    "blob_quota_mb": (1, 10_000_000),
    "backup_daily": (0, 1000),
    "backup_weekly": (0, 1000),
    "backup_monthly": (0, 1000),
}
_CHOICES: Final[Mapping[str, tuple[str, ...]]] = {
    "log_level": ("debug", "info", "warning", "error"),
    "mail_security": ("starttls", "tls", "none"),
}
_TIME: Final = re.compile(r"(?:[01]\d|2[0-3]):[0-5]\d")
_SECRETS: Final = frozenset({"mail_password", "photo_access_key", "photo_secret_key"})
"""Never in the settings file, which people show to each other."""


def _read_file(file: Path) -> dict[str, Any]:
    if not file.is_file():
        return {}
    try:
        return tomllib.loads(file.read_text("utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise SettingsError(f"The settings file {file} can't be read: {fault}.") from fault


def _checked(name: str, value: Any, where: str) -> Any:
    if name not in _NAMES:
        raise SettingsError(f"{where}: there is no setting called {name!r}; known are {', '.join(_NAMES)}.")
    default = getattr(Settings(data=Path()), name)
    if isinstance(default, bool):
        return _switch(value, where, name)
    if isinstance(default, int):
        return _number(value, where, name)
    if not isinstance(value, str):
        raise SettingsError(f"{where}: {name} must be text, not {value!r}.")
    if name in _CHOICES and value not in _CHOICES[name]:
        raise SettingsError(f"{where}: {name} is one of {', '.join(_CHOICES[name])}, not {value!r}.")
    if name == "photo_store" and value:
        _check_bucket(value, where)
    if name == "backup_at" and not _TIME.fullmatch(value):
        raise SettingsError(f"{where}: {name} is a time such as 02:45, not {value!r}.")
    return value


def _check_bucket(value: str, where: str) -> None:
    said = urlsplit(value)
    # Never shown as it stands: somebody may have put a password into it.
    if said.scheme not in ("http", "https") or not said.hostname or not said.path.strip("/"):
        raise SettingsError(f"{where}: photo_store is an address such as https://s3.example/bucket.")
    if said.username or said.password or said.query or said.fragment:
        raise SettingsError(
            f"{where}: photo_store names host and bucket only; keys belong into the keys folder."
        )


def _switch(value: Any, where: str, name: str) -> bool:
    word = str(value).strip().lower()
    if word in ON_WORDS:
        return True
    if word in OFF_WORDS:
        return False
    raise SettingsError(f"{where}: {name} is on or off, not {value!r}.")


def _number(value: Any, where: str, name: str) -> int:
    low, high = _RANGES[name]
    try:
        number = int(value)
    except (TypeError, ValueError):
        number = low - 1
    if isinstance(value, bool) or not low <= number <= high:
        raise SettingsError(f"{where}: {name} is a whole number from {low} to {high}, not {value!r}.")
    return number
