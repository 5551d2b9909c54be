"""Drawings on the sheets: where a procedure gives its parts shapes, and nowhere else."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from tests.modules import SMALL_VALVE
from trainer.procedure import library
from trainer.web.modules.pictures import section_of


def test_a_procedure_with_shapes_shows_its_section_for_phone_and_desk() -> None:
    section = section_of(library.load("piston-valve-overhaul"))
    assert section is not None
    phone, desk = (ET.fromstring(str(picture)) for picture in (section.phone, section.desk))  # noqa: S314  # our own
    assert float(phone.get("width", "0")) < 340 < float(desk.get("width", "0"))
    ids = [element.get("id") for picture in (phone, desk) for element in picture.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert not any(element.get("style") for picture in (phone, desk) for element in picture.iter())


def test_a_procedure_without_shapes_shows_none() -> None:
    assert section_of(library.read_module(SMALL_VALVE, "small.yaml")) is None


def test_a_procedure_without_shapes_shows_its_station() -> None:
    section = section_of(library.load("station-run-service"))
    assert section is not None
    assert section.caption == "The station in service, before the first step. Not to scale."
    for svg, width in ((section.phone, 336), (section.desk, 900)):
        assert f'width="{width}"' in svg
        assert "HV-106" in svg
        assert "Outlet pressure: loading line of AR-105, pipe from AR-105 to HV-106" in svg
