"""The checker inside a packet runs alone: an isolated Python that sees nothing of ours but what the packet carries."""

from __future__ import annotations

import importlib.util
import io
import random
import re
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import pytest

from tests.records.test_packet import KEY, WHOLE, _files
from trainer.exports import carried
from trainer.records import packet, packet_file
from trainer.records.packet import PacketUnreadable
from trainer.records.verify_packet import KEYS, main

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


# `cryptography` and what it is built on; nothing else that is installed here is to be had.
ALONE = ("cryptography", "cffi", "_cffi_backend", "pycparser")
RUN = """
import runpy, sys
sys.path.append(sys.argv.pop(1))
sys.argv = sys.argv[1:]
runpy.run_path(sys.argv[0], run_name="__main__")
"""


def _bare(folder: Path) -> Path:
    """Return a folder of packages that holds `cryptography` alone."""
    packages = folder / "packages"
    packages.mkdir(exist_ok=True)
    for name in ALONE:
        found = importlib.util.find_spec(name)
        if found is None or found.origin is None:
            continue
        origin = Path(found.origin)
        there = origin.parent if origin.name == "__init__.py" else origin
        if not (packages / there.name).exists():
            (packages / there.name).symlink_to(there)
    return packages


def _run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    # -I and -S: no environment, no packages of ours, no folder that it was started in.
    here = folder.parent
    launcher = str(folder / carried.LAUNCHER)
    command = [sys.executable, "-I", "-S", "-c", RUN, str(_bare(here)), launcher, *arguments]
    return subprocess.run(command, cwd=here, capture_output=True, text=True, check=False, timeout=60)  # noqa: S603


def test_where_it_runs_there_is_nothing_of_ours(tmp_path: Path) -> None:
    for name, found in (("trainer", False), ("rfc8785", False), ("flask", False), ("cryptography", True)):
        code = f"import sys; sys.path.append({str(_bare(tmp_path))!r}); import {name}"
        command = [sys.executable, "-I", "-S", "-c", code]
        result = subprocess.run(command, cwd=tmp_path, capture_output=True, check=False, timeout=60)  # noqa: S603
        assert (result.returncode == 0) is found, name


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


def _flipped(data: bytes, bit: int) -> bytes:
    flipped = bytearray(data)
    flipped[bit // 8] ^= 1 << bit % 8
    return bytes(flipped)


def test_whichever_bit_of_the_zip_is_flipped_is_told_with_its_place() -> None:
    """Bytes of files, moments, attributes, sizes, names, the directory: there is nothing in it that is not held."""
    whole, draw = packet_file.written(WHOLE), random.Random(5)  # noqa: S311  # which bits are tried
    with zipfile.ZipFile(io.BytesIO(whole)) as file:
        starts = {entry.header_offset: entry.filename for entry in file.infolist()}
        directory = file.start_dir
    headers = {8 * (start + byte) + bit for start in starts for byte in range(30) for bit in range(8)}
    for bit in sorted({*headers, *draw.sample(range(directory * 8), 4000)}):
        name = starts[max(start for start in starts if start <= bit // 8)]
        with pytest.raises(PacketUnreadable, match=re.escape(name)):
            packet_file.read(_flipped(whole, bit))
    # What the directory says of a file is told at that file, or as the directory's.
    places = "|".join(map(re.escape, (packet_file.DIRECTORY, *WHOLE)))
    for bit in draw.sample(range(directory * 8, len(whole) * 8), 4000):
        with pytest.raises(PacketUnreadable, match=places):
            packet_file.read(_flipped(whole, bit))


def test_what_stands_beside_the_files_in_the_zip_is_told() -> None:
    whole = packet_file.written(WHOLE)
    middle = whole.index(b"PK\x03\x04", 10)
    for changed, place in (
        (whole + b"\0", packet_file.DIRECTORY),
        (whole[:-2] + b"\1\0!", packet_file.DIRECTORY),
        (b"#!/bin/sh\n" + whole, min(WHOLE)),
        (whole[:middle] + b"hidden" + whole[middle:], packet_file.DIRECTORY),
    ):
        with pytest.raises(PacketUnreadable, match=re.escape(place)):
            packet_file.read(changed)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"date_time": (2027, 3, 18, 9, 0, 0)}, "a.txt was changed"),
        ({"extra": b"\x99\x99\x00\x00"}, "a.txt"),
        ({"comment": b"said beside"}, "directory of the ZIP was changed"),
        ({"external_attr": 0o755 << 16}, "directory of the ZIP was changed"),
        ({"create_system": 0}, "directory of the ZIP was changed"),
        ({"compress_type": zipfile.ZIP_DEFLATED}, "'a.txt' in it is compressed"),
    ],
)
def test_what_another_program_packed_is_told(change: dict[str, Any], text: str) -> None:
    entry = zipfile.ZipInfo("a.txt", (1980, 1, 1, 0, 0, 0))
    entry.external_attr, entry.create_system = 0o644 << 16, 3
    for name, value in change.items():
        setattr(entry, name, value)
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as file:
        file.writestr(entry, b"invented")
    with pytest.raises(PacketUnreadable, match=text):
        packet_file.read(buffer.getvalue())


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
