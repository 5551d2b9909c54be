"""Where the program keeps its data and which database it uses: one frozen object, read once."""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote, urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Mapping

_PACKAGE = Path(__file__).resolve().parent
_CHECKOUT = _PACKAGE.parent


class SettingsUnreadable(TrainerError):
    """The settings file is not readable, or names a setting that does not exist."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(f"The settings file {path} cannot be used: {why}.")


def _in_checkout() -> bool:
    return (_CHECKOUT / "pyproject.toml").is_file() and (_CHECKOUT / "content").is_dir()


def shipped(folder: str) -> Path:
    """Return the folder of shipped data, `content` or `shared`: beside the code, or inside an installed copy."""
    return _CHECKOUT / folder if _in_checkout() else _PACKAGE / "_shipped" / folder


def default_instance() -> Path:
    """Return the instance folder: in the checkout, or the user's data folder for an installed copy."""
    if _in_checkout():
        return _CHECKOUT / "instance"
    base = os.environ.get("LOCALAPPDATA") or os.environ.get("XDG_DATA_HOME")
    return (Path(base) if base else Path.home() / ".local" / "share") / "regulator-trainer"


@dataclass(frozen=True)
class Settings:
    """Everything that differs from one installation to the next; each field carries its help text."""

    instance: Path = field(
        default_factory=default_instance,
        metadata={"help": "Folder for the database, keys and settings.toml; TRAINER_INSTANCE overrides it."},
    )
    database_url: str = field(
        default="",
        metadata={
            "help": "SQLAlchemy URL of the database; empty means SQLite in the instance folder. "
            "TRAINER_DATABASE_URL overrides it."
        },
    )
    company: str = field(
        default="Demonstration company", metadata={"help": "Legal owner printed in every title block."}
    )
    secure_cookie: bool = field(
        default=False, metadata={"help": "Send the session cookie over HTTPS only; switch on behind TLS."}
    )
    session_hours: int = field(default=12, metadata={"help": "Hours after which a person signs in again."})
    paper: str = field(default="a4", metadata={"help": "Paper of printed sheets: a4 or us-letter."})
    torque_unit: str = field(default="N·m", metadata={"help": "Torque unit that leads: N·m or lbf·ft."})
    time_zone: str = field(
        default="UTC",
        metadata={
            "help": "Time zone in which pages tell moments, by its IANA name such as Europe/Oslo; records, papers and the log "
            "keep UTC."
        },
    )
    home_page: str = field(
        default="",
        metadata={
            "help": "Address of this installation, under which other systems know its people and its log; "
            "empty means one that leads nowhere, made of the company's name."
        },
    )
    statements_to: str = field(
        default="",
        metadata={
            "help": "Address that activity statements are sent to by `trainer outbox send`; empty means nowhere. "
            "TRAINER_STATEMENTS_KEY holds what is sent as Authorization."
        },
    )

    mail_server: str = field(
        default="",
        metadata={"help": "Mail server that reminders are sent through; empty means none are sent."},
    )
    mail_port: int = field(default=587, metadata={"help": "Port of the mail server."})
    mail_security: str = field(
        default="starttls",
        metadata={"help": "How the connection to the mail server is kept private: starttls, tls or none."},
    )
    mail_user: str = field(
        default="",
        metadata={
            "help": "Name to sign in with at the mail server; empty means without. TRAINER_MAIL_PASSWORD holds the "
            "password."
        },
    )
    mail_sender: str = field(default="", metadata={"help": "E-mail address that reminders come from."})
    sign_in_issuer: str = field(
        default="",
        metadata={
            "help": "Issuer of the OpenID Connect provider at which people may sign in beside their passwords; empty means "
            "none. It needs `sign_in_client_id` and `home_page`; TRAINER_SIGN_IN_SECRET holds the secret."
        },
    )
    sign_in_client_id: str = field(
        default="", metadata={"help": "Name of this installation at the sign-in provider."}
    )

    @property
    def url(self) -> str:
        """The database URL in force."""
        return self.database_url or f"sqlite:///{self.instance / 'trainer.sqlite3'}"

    @property
    def zone(self) -> ZoneInfo:
        """The time zone in which pages tell moments."""
        return ZoneInfo(self.time_zone)

    @property
    def keys(self) -> Path:
        """The folder of the keys that sign."""
        return self.instance / "keys"

    @property
    def log_name(self) -> str:
        """The name under which the log signs unless another is chosen: that of the company, in small letters."""
        return f"{self._short_name}/qualifications"

    @property
    def home(self) -> str:
        """The address of this installation, without a slash at its end (RFC 2606: `.invalid` leads nowhere)."""
        return self.home_page.rstrip("/") or f"https://{quote(self._short_name, safe='')}.invalid"

    @property
    def _short_name(self) -> str:
        letters = "".join(c if c.isalnum() else " " for c in self.company.casefold())
        return "-".join(letters.split()) or "company"


_CHOICES = {
    "paper": ("a4", "us-letter"),
    "torque_unit": ("N·m", "lbf·ft"),
    "mail_security": ("starttls", "tls", "none"),
}


# Keys and answers of people never travel in the clear, except to a program on the same machine.
_ADDRESSES = ("home_page", "statements_to", "sign_in_issuer")
SAME_MACHINE = ("127.0.0.1", "::1", "localhost")


def _is_zone(name: str) -> bool:
    """Return whether the table of time zones has a name; a name may also be refused as a path."""
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def is_safe_address(text: str) -> bool:
    """Return whether an address is one of HTTPS, or leads to a program on the same machine."""
    try:
        parts = urlsplit(text)
        host = parts.hostname
    except ValueError:
        return False
    safe = parts.scheme == "https" or (parts.scheme == "http" and host in SAME_MACHINE)
    return bool(host) and safe and not any(letter.isspace() for letter in text)


def load(environment: Mapping[str, str] | None = None) -> Settings:
    """Read settings.toml of the instance folder, then the environment.

    Args:
        environment: the process environment unless given.

    Raises:
        SettingsUnreadable: the file is not TOML, or names an unknown setting.
    """
    env = os.environ if environment is None else environment
    instance = Path(env["TRAINER_INSTANCE"]) if env.get("TRAINER_INSTANCE") else default_instance()
    values: dict[str, object] = {}
    path = instance / "settings.toml"
    if path.is_file():
        try:
            values = tomllib.loads(path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as problem:
            raise SettingsUnreadable(path, str(problem).rstrip(".")) from problem
    known = {f.name: f.type for f in fields(Settings) if f.name != "instance"}
    for name, value in values.items():
        if name not in known:
            raise SettingsUnreadable(path, f"it names an unknown setting '{name}'")
        if type(value).__name__ != known[name]:
            raise SettingsUnreadable(path, f"'{name}' must be of type {known[name]}")
        why_not = _why_not(name, str(value))
        if why_not:
            raise SettingsUnreadable(path, f"'{name}' must {why_not}")
    for name in ("sign_in_client_id", "home_page"):
        if values.get("sign_in_issuer") and not values.get(name):
            raise SettingsUnreadable(path, f"'sign_in_issuer' needs '{name}' beside it")
    if env.get("TRAINER_DATABASE_URL"):
        values["database_url"] = env["TRAINER_DATABASE_URL"]
    return Settings(instance=instance, **values)  # type: ignore[arg-type]  # checked just above


def _why_not(name: str, value: str) -> str:
    """Return what a setting of the right type has to be and is not, or ""."""
    if name in _CHOICES and value not in _CHOICES[name]:
        return f"be one of {', '.join(_CHOICES[name])}"
    if name in _ADDRESSES and value and not is_safe_address(value):
        return "begin with https://"
    if name == "time_zone" and not _is_zone(value):
        return f"be an IANA name such as Europe/Oslo, not '{value}'"
    if name == "session_hours" and int(value) < 1:
        return "be at least 1"
    return ""


def mail_password(environment: Mapping[str, str] | None = None) -> str:
    """Return the password of the mail server; it stands in no file.

    Args:
        environment: the process environment unless given.
    """
    env = os.environ if environment is None else environment
    return env.get("TRAINER_MAIL_PASSWORD", "")


def statements_key(environment: Mapping[str, str] | None = None) -> str:
    """Return what is sent as Authorization with activity statements; it stands in no file.

    Args:
        environment: the process environment unless given.
    """
    env = os.environ if environment is None else environment
    return env.get("TRAINER_STATEMENTS_KEY", "").strip()


def sign_in_secret(environment: Mapping[str, str] | None = None) -> str:
    """Return our secret at the sign-in provider; it stands in no file.

    Args:
        environment: the process environment unless given.
    """
    env = os.environ if environment is None else environment
    return env.get("TRAINER_SIGN_IN_SECRET", "").strip()
