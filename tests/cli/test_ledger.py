"""`trainer key`, `trainer ledger` and `trainer verify`: shapes, exit codes, sentences."""

from __future__ import annotations

import json
import sqlite3
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner, Result

from tests.exports import samples
from trainer.cli import command
from trainer.exports.kinds import qualification_record
from trainer.exports.record_files import code_of

if TYPE_CHECKING:
    from pathlib import Path


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(command, arguments)


@pytest.fixture
def instance(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An installation with one person in its register, which makes entries in its log."""
    folder = tmp_path / "instance"
    monkeypatch.setenv("TRAINER_INSTANCE", str(folder))
    assert "Made the key" in _run("upgrade").output
    for name in ("ama", "ben", "cleo"):
        added = _run(
            "people",
            "add",
            name,
            name.title(),
            "--role",
            "technician",
            "--password",
            f"{name} has no secrets",
        )
        assert added.exit_code == 0, added.output
    return folder


def test_the_key_is_for_its_owner_alone_and_shown_without_its_secret(instance: Path) -> None:
    file = instance / "keys" / "log-key.toml"
    assert file.stat().st_mode & 0o077 == 0
    secret = file.read_text(encoding="utf-8").split('secret = "')[1][:64]
    shown = _run("key", "show", "--format", "json")
    assert secret not in shown.output
    [key] = json.loads(shown.stdout)
    assert key["name"] == "demonstration-company/qualifications"
    assert key["did"].startswith("did:key:z6Mk")


@pytest.mark.usefixtures("instance")
def test_an_entry_is_proven_on_another_machine_with_the_line_of_the_key(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "entry.json"
    file.write_text(_run("ledger", "proof", "2").stdout, encoding="utf-8")
    line = _run("key", "show").stdout.strip()
    monkeypatch.setenv("TRAINER_INSTANCE", str(tmp_path / "another machine"))
    proven = _run("verify", str(file), "--key", line)
    assert proven.exit_code == 0
    assert proven.stdout.startswith("It holds: signed by a key that is trusted here")
    proof = json.loads(file.read_text(encoding="utf-8"))
    file.write_text(json.dumps({**proof, "entry": proof["entry"].replace("ben", "bea")}), encoding="utf-8")
    refused = _run("verify", str(file), "--key", line)
    assert refused.exit_code == 1
    assert refused.stdout == "This is not entry 2 of the log that the checkpoint signs.\n"
    told = _run("verify", str(file), "--key", line, "--format", "json")
    assert told.exit_code == 1
    assert json.loads(told.stdout) == {"holds": False, "faults": [refused.stdout.strip()]}
    unknown = _run("verify", str(file))
    assert unknown.exit_code == 2
    assert "no signing key" in unknown.stderr


@pytest.mark.usefixtures("instance")
@pytest.mark.parametrize("name", ["none.zip", "none.json"])
def test_a_file_that_is_not_there_is_told_in_a_sentence(tmp_path: Path, name: str) -> None:
    result = _run("verify", str(tmp_path / name))
    assert (result.exit_code, result.stderr.count("\n")) == (2, 1)
    assert name in result.stderr


@pytest.mark.usefixtures("instance")
def test_a_file_that_is_no_proof_is_told_in_a_sentence(tmp_path: Path) -> None:
    file = tmp_path / "other.json"
    file.write_text('{"a": 1, "a": 2}', encoding="utf-8")
    assert _run("verify", str(file)).exit_code == 2
    file.write_text("{}", encoding="utf-8")
    result = _run("verify", str(file))
    assert (result.exit_code, result.stderr.startswith("trainer: This is no proof of a log entry")) == (
        2,
        True,
    )


@pytest.mark.usefixtures("instance")
def test_the_whole_log_is_checked_and_a_checkpoint_printed() -> None:
    note = _run("ledger", "checkpoint")
    assert note.exit_code == 0
    log, size, root = note.stdout.splitlines()[:3]
    assert log == "demonstration-company/qualifications"
    found = json.loads(_run("ledger", "check", "--format", "json").stdout)
    assert found["entries"] == int(size)
    assert found["checkpoints"] == 1
    assert found["troubles"] == []
    assert len(root) == 44
    assert "fit together" in _run("ledger", "check").stdout


def test_a_changed_entry_is_named_and_the_exit_code_tells(instance: Path) -> None:
    with sqlite3.connect(instance / "trainer.sqlite3") as database:
        database.execute("DROP TRIGGER events_keep")
        database.execute("UPDATE events SET payload = replace(payload, 'ben', 'bea') WHERE number = 2")
    checked = _run("ledger", "check")
    assert checked.exit_code == 1
    assert checked.stdout == "Entry 2 is not what it was when it was written.\n"


@pytest.mark.usefixtures("instance")
def test_a_second_key_is_made_only_on_purpose() -> None:
    assert _run("key", "make").exit_code == 2
    made = _run("key", "make", "--replace", "--name", "other.example/log")
    assert made.exit_code == 0
    assert len(_run("key", "show").stdout.splitlines()) == 2
    assert _run("key", "make", "--replace", "--name", "not a name").exit_code == 2


def test_a_backup_is_taken_and_brought_back_by_the_command(
    instance: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "taken"
    taken = _run("backup", str(file))
    assert taken.exit_code == 0, taken.output
    assert f"Wrote {file}: 3 log entries under a signed checkpoint." in taken.stdout
    again = _run("backup", str(file))
    assert (again.exit_code, again.stdout) == (2, "")
    assert "there is a file already" in again.stderr
    refused = _run("restore", str(file))
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "There is a database here with 3 log entries. Nothing was changed" in refused.stderr
    assert _run("restore", str(file), "--replace").exit_code == 0
    assert len(list(instance.glob("trainer-replaced-*.sqlite3"))) == 1
    monkeypatch.setenv("TRAINER_INSTANCE", str(tmp_path / "another machine"))
    assert _run("restore", str(file)).exit_code == 0
    assert "4 entries and 1 checkpoints fit together." in _run("ledger", "check").stdout
    assert _run("people", "list").stdout.count("P-000") == 3


def test_a_row_that_does_not_follow_from_the_log_is_named_and_put_right(instance: Path) -> None:
    same = _run("ledger", "rebuild")
    assert (same.exit_code, "people: equal, 3 rows" in same.stdout) == (0, True)
    with sqlite3.connect(instance / "trainer.sqlite3") as database:
        database.execute("UPDATE people SET grade = 'IV' WHERE sign_in_name = 'ben'")
        database.execute("DELETE FROM person_roles WHERE person_id = 'P-0003'")
    told = _run("ledger", "rebuild")
    assert told.exit_code == 1
    assert "people: 1 row differs\n  P-0002: differs in grade\n" in told.stdout
    assert "person_roles: 1 row differs\n  P-0003 technician: is not there\n" in told.stdout
    data = json.loads(_run("ledger", "rebuild", "--format", "json").stdout)
    of_people = next(one for one in data["tables"] if one["table"] == "people")
    assert of_people["differences"] == [{"key": ["P-0002"], "how": "changed", "columns": ["grade"]}]
    mended = _run("ledger", "rebuild", "--replace")
    assert mended.exit_code == 0, mended.output
    assert mended.stdout.endswith("What differed is now as the log says.\n")
    assert _run("ledger", "rebuild").exit_code == 0
    assert _run("ledger", "check").exit_code == 0


@pytest.mark.usefixtures("instance")
def test_printed_records_are_checked_and_the_altered_one_is_named(tmp_path: Path) -> None:
    key = str(samples.key().verifier)
    pdf = qualification_record.write(samples.record_packets(3), paper="a4")
    file = tmp_path / "crew.pdf"
    file.write_bytes(pdf)
    code = code_of(samples.record_packet())
    assert code is not None
    held = _run("verify", str(file), "--key", key, "--code", code.text)
    assert held.exit_code == 0, held.output
    assert "The file has what the paper names." in held.stdout
    file.write_bytes(pdf.replace(b"QR-000002.record.json", b"QR-000009.record.json"))
    altered = _run("verify", str(file), "--key", key)
    assert altered.exit_code == 1
    assert "QR-000002: Its data are missing." in altered.stdout
    assert "QR-000001" not in altered.stdout


@pytest.mark.usefixtures("instance")
def test_a_code_alone_asks_the_register() -> None:
    code = code_of(samples.record_packet())
    assert code is not None
    asked = _run("verify", "--code", code.text, "--format", "json")
    assert asked.exit_code == 1
    told = json.loads(asked.stdout)
    assert told["faults"] == [f"The register has no record {code.number}."]
    assert code.number in told["names"][0]
    assert _run("verify").exit_code == 2
    assert _run("verify", "--code", "nothing").exit_code == 2
