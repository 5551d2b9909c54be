"""Settings: every one is documented, read from file and environment, and refused when it is not one."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

import trainer
from trainer import settings
from trainer.settings import Settings, SettingsUnreadable

NOTE = Path(trainer.__file__).parent.parent / "instance" / "NOTE.md"


def test_every_setting_has_help_and_stands_in_the_note() -> None:
    note = NOTE.read_text(encoding="utf-8")
    for field in fields(Settings):
        assert field.metadata["help"]
        assert field.name == "instance" or f"| `{field.name}` |" in note


def _load(folder: Path, text: str = "", **environment: str) -> Settings:
    (folder / "settings.toml").write_text(text, encoding="utf-8")
    return settings.load({"TRAINER_INSTANCE": str(folder), **environment})


def test_the_file_is_read_and_the_environment_goes_before_it(tmp_path: Path) -> None:
    text = 'company = "Invented Gas"\ndatabase_url = "sqlite:///a.sqlite3"\n'
    assert _load(tmp_path, text).company == "Invented Gas"
    assert _load(tmp_path, text).url == "sqlite:///a.sqlite3"
    assert _load(tmp_path, text, TRAINER_DATABASE_URL="sqlite:///b.sqlite3").url == "sqlite:///b.sqlite3"
    assert _load(tmp_path).url == f"sqlite:///{tmp_path / 'trainer.sqlite3'}"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("company = ", "cannot be used"),
        ("colour = 'red'", "unknown setting 'colour'"),
        ("session_hours = 'long'", "'session_hours' must be of type int"),
        ("paper = 'a5'", "'paper' must be one of a4, us-letter"),
        ("torque_unit = 'stone'", "'torque_unit' must be one of N·m, lbf·ft"),
        ("home_page = 'records.example'", "'home_page' must begin with https://"),
        ("statements_to = 'http://records.example/'", "'statements_to' must begin with https://"),
        ("statements_to = 'https://[records'", "'statements_to' must begin with https://"),
        ("sign_in_issuer = 'http://plain.invalid'", "'sign_in_issuer' must begin with https://"),
        ("sign_in_issuer = 'https://issuer.invalid'", "'sign_in_issuer' needs 'sign_in_client_id' beside it"),
        ("sign_in_secret = 'here'", "unknown setting 'sign_in_secret'"),
        ("time_zone = 'Middle of nowhere'", "'time_zone' must be an IANA name such as Europe/Oslo"),
        ("time_zone = ''", "'time_zone' must be an IANA name"),
        ("time_zone = '../../etc/passwd'", "'time_zone' must be an IANA name"),
        ("time_zone = 'America'", "'time_zone' must be an IANA name"),
        ("session_hours = 0", "'session_hours' must be at least 1"),
    ],
)
def test_what_is_no_setting_is_refused_in_one_sentence(tmp_path: Path, text: str, sentence: str) -> None:
    with pytest.raises(SettingsUnreadable, match=r"settings\.toml") as told:
        _load(tmp_path, text)
    assert sentence in str(told.value)


def test_an_installed_copy_keeps_its_data_with_the_user(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(settings, "_CHECKOUT", tmp_path / "nowhere")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    assert settings.default_instance() == tmp_path / "regulator-trainer"
    assert settings.shipped("content").parts[-2:] == ("_shipped", "content")


def test_the_home_leads_nowhere_until_it_is_set(tmp_path: Path) -> None:
    # RFC 2606, 2: no name under .invalid will ever exist.
    assert _load(tmp_path, 'company = "Invented Gas (demo)"').home == "https://invented-gas-demo.invalid"
    assert _load(tmp_path, 'home_page = "https://gas.example/trainer/"').home == "https://gas.example/trainer"
    here = "http://127.0.0.1:8080/statements"
    assert _load(tmp_path, f'statements_to = "{here}"').statements_to == here
