"""The station on the cards of a job: across the sheet, read aloud, as lines in black and white; none where there is none."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.exports import reading, samples
from trainer.cli import papers
from trainer.exports import job
from trainer.exports.kinds import bench_card, job_card
from trainer.procedure import library

if TYPE_CHECKING:
    from types import ModuleType

STATION = library.load("station-run-service")
NOTE = "The station in service, before the first step. Not to scale."


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("card", [job_card, bench_card])
def test_the_station_stands_on_the_first_sheet_with_its_tags(card: ModuleType, paper: str) -> None:
    packet = samples.job(STATION, size="DN 100")
    pdf = card.write(packet, paper=paper)
    assert pdf == card.write(packet, paper=paper)
    first, *others = reading.pages(pdf)
    assert NOTE in first
    assert all("Not to scale" not in page for page in others)
    for tag in ("HV-101", "ST-102", "RV-003", "vented to air"):
        assert tag in first
    (told,) = [alt for kind, alt in reading.elements(pdf) if kind == "/Figure" and alt.startswith("Station")]
    # Run 1 leads: its inlet valve stands open before the first step.
    assert "HV-101" in told
    assert not reading.reader(pdf).pages[0].images


def test_it_is_black_and_white_and_every_pattern_is_another_one() -> None:
    drawn = job.seen(STATION, "DN 100")
    assert drawn is not None
    (rules,) = re.findall(r"<style>(.*?)</style>", drawn.svg)
    station = rules[rules.index(".casing") :]
    assert set(re.findall(r"#\w+", station)) == {"#000", "#fff"}
    patterns = re.findall(r"(?<=\})\.(?:outlet|shut-in|nitrogen|blowing) \.fill{([^}]*)}", station)
    assert len(patterns) == len(set(patterns)) == 4
    assert "var(" not in drawn.svg


def test_a_machine_keeps_its_section_and_its_size() -> None:
    valve = job.seen(library.load("piston-valve-overhaul"), "DN 80")
    assert valve is not None
    assert not valve.across
    assert valve.caption == "Section, DN\u00a080. Not to scale."
    (rules,) = re.findall(r"<style>(.*?)</style>", valve.svg)
    assert ".cast .face" in rules


def test_a_procedure_without_sizes_is_printed_by_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    text = "module: m\ntitle: A look\nsummary: Invented.\nsteps:\n  - {id: s, do: Look at the gauge}\n"
    module = library.read_module(text, "m.yaml")
    assert not module.sizes
    monkeypatch.setattr(papers, "sound_module", lambda _: module)
    packet = papers._packet("m", None, "Quillmarsh Gas Works (invented)")
    assert packet.size == ""
    assert "Look at the gauge" in reading.text(job_card.write(packet, paper="a4"))
