"""A mentor assigns; a supervisor signs and downloads the record."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pypdf
import pytest

from tests.people import AMA, BEN, MIRA, SOL
from tests.web import scene

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.browser.conftest import Window

pytestmark = pytest.mark.browser


def test_a_mentor_assigns_and_it_stands_on_the_sheet(open_window: Callable[..., Window]) -> None:
    window = open_window(820)
    page = window.page
    window.sign_in(MIRA)
    page.get_by_role("link", name=BEN.display_name).click()
    page.get_by_label("Module").select_option(scene.PILOT)
    page.get_by_label("Due date").fill("2027-05-03")
    page.get_by_role("button", name="Assign this module").click()
    page.get_by_text("Assigned.").wait_for()
    window.must_be_quiet()
    own = open_window()
    own.sign_in(BEN)
    assert "2027-05-03" in own.page.inner_text("main")
    own.must_be_quiet()


def test_a_supervisor_signs_and_downloads_the_record(open_window: Callable[..., Window]) -> None:
    window = open_window(1280)
    page = window.page
    window.sign_in(SOL)
    page.get_by_role("link", name="Sign-off").first.click()
    page.get_by_role("link", name="Read and sign").click()
    page.locator("main").get_by_text("I have read the evidence").first.wait_for()
    page.get_by_label("Your password, as signature").fill(SOL.password)
    page.get_by_role("button", name="Sign for this work").click()
    page.get_by_text("Signed. The record can be printed.").wait_for()
    with page.expect_download() as coming:
        page.get_by_role("link", name="Print this record, A4").click()
    pdf = pypdf.PdfReader(coming.value.path())
    text = " ".join(page.extract_text() for page in pdf.pages)
    assert AMA.display_name in text
    assert SOL.display_name in text
    assert any(name.endswith(".json") for name in pdf.attachments)
    window.must_be_quiet()


def test_the_title_block_opens_on_a_tap_and_leads_on(open_window: Callable[..., Window]) -> None:
    window = open_window()
    page = window.page
    window.sign_in(BEN)
    assert page.get_by_role("link", name="My record").count() == 0
    page.get_by_label("Title block and other sheets").tap()
    page.get_by_role("link", name="My record").click()
    page.wait_for_url("**/record")
    window.must_be_quiet()
