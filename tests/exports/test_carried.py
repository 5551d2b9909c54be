"""The checker inside a packet runs alone: an isolated Python that sees nothing of ours but what the packet carries."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from tests.records.test_packet import KEY, WHOLE, _files
from trainer.exports import carried
from trainer.records import packet, packet_file
from trainer.records.packet import PacketUnreadable
from trainer.records.verify_packet import KEYS, main

if TYPE_CHECKING:
    from pathlib import Path

LINE = str(KEY.verifier)
FILES = packet.bound(
    {**_files(), **carried.checker(), KEYS: LINE.encode()}, "Invented evidence, an invented crew", KEY
)


def _unpacked(folder: Path) -> Path:
    for path, data in FILES.items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    return folder


def _run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    # -E and the other folder keep our own checkout out of sight; `cryptography` comes from the environment.
    here = folder.parent
    command = [sys.executable, "-E", "-P", str(folder / carried.LAUNCHER), *arguments]
    return subprocess.run(command, cwd=here, capture_output=True, text=True, check=False, timeout=60)  # noqa: S603


def test_an_unpacked_packet_checks_itself(tmp_path: Path) -> None:
    folder = _unpacked(tmp_path / "packet")
    alone = _run(folder, "--key", LINE)
    assert (alone.returncode, alone.stdout) == (
        0,
        f"{len(FILES)} files hold: nothing was changed, added or taken out.\n",
    )
    assert "The key came with the packet" in _run(folder).stdout


def test_the_checker_that_runs_is_the_one_that_the_packet_carries(tmp_path: Path) -> None:
    folder = _unpacked(tmp_path / "packet")
    (folder / "check" / "trainer" / "records" / "verify_packet.py").write_text("def main(_): return 7\n")
    assert _run(folder).returncode == 7


def test_a_changed_file_is_named_and_the_exit_code_tells(tmp_path: Path) -> None:
    folder = _unpacked(tmp_path / "packet")
    (folder / "index.html").write_text("<!doctype html><title>Other</title>")
    result = _run(folder, "--key", LINE)
    assert (result.returncode, result.stdout) == (
        1,
        "index.html: The file was changed after the packet was made.\n",
    )


def test_the_zip_itself_can_be_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "packet.zip"
    file.write_bytes(packet_file.written(FILES))
    assert main([str(file), "--key", LINE]) == 0
    assert f"{len(FILES)} files hold" in capsys.readouterr().out
    assert main([str(tmp_path / "none.zip")]) == 2


def test_the_same_files_give_the_same_zip_and_come_back() -> None:
    assert packet_file.written(FILES) == packet_file.written(dict(reversed(FILES.items())))
    assert packet_file.read(packet_file.written(WHOLE)) == WHOLE


@pytest.mark.parametrize("path", ["../out", "/out", "a/../../out"])
def test_a_path_that_leads_out_of_the_packet_is_refused(path: str) -> None:
    with pytest.raises(PacketUnreadable, match="leads out"):
        packet_file.read(packet_file.written({path: b""}))


def test_what_is_no_zip_is_refused() -> None:
    whole = packet_file.written(WHOLE)
    for broken in (b"", b"PK", whole[:-40], whole[:200] + b"\0" * 40 + whole[240:]):
        with pytest.raises(PacketUnreadable):
            packet_file.read(broken)
