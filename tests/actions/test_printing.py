from __future__ import annotations

from datetime import timedelta
from io import BytesIO
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from tests.actions import bench
from tests.actions.bench import MODULE, NOW
from tests.people import AMA, BEN, CREW, KIT, MIRA, SOL
from trainer.actions import printing
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.exports import EXPORTS
from trainer.exports.packets import SizeNotInModule
from trainer.exports.table_file import BOM

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database
    from trainer.actions.views import PrintedFile


def _print(db: Database, actor: Actor, kind: str, subject: str) -> PrintedFile:
    return printing.print_sheet(db, actor, kind, subject, paper="a4", now=NOW)


def _text(printed: PrintedFile) -> str:
    pages = PdfReader(BytesIO(printed.data)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def test_every_registered_export_can_be_printed() -> None:
    assert set(printing._PACKETS) == set(EXPORTS)


def test_a_record_is_printed_for_its_owner(db: Database) -> None:
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    printed = _print(db, bench.enter(db, AMA), "qualification_record", number)
    assert (printed.name, printed.media_type) == (
        "qualification-record-qr-2027-0001.pdf",
        "application/pdf",
    )
    assert number in _text(printed)
    assert AMA.display_name in _text(printed)
    assert printed == _print(db, bench.enter(db, SOL), "qualification_record", number)
    with pytest.raises(NotFound):
        _print(db, bench.enter(db, BEN), "qualification_record", number)


def _numbers(printed: PrintedFile) -> list[str]:
    names = PdfReader(BytesIO(printed.data)).attachments
    return sorted(name.removesuffix(".record.json") for name in names if name.endswith(".record.json"))


def test_records_of_a_person_and_of_a_crew_are_printed_in_one_file(db: Database) -> None:
    sol = bench.enter(db, SOL)
    bench.make_ready(db, AMA)
    bench.make_ready(db, BEN)
    of_ama = bench.sign_by(db, sol, AMA).number
    of_ben = bench.sign_by(db, sol, BEN).number
    assert _numbers(_print(db, sol, "qualification_record", AMA.id)) == [of_ama]
    whole = _print(db, sol, "qualification_record", CREW)
    assert whole.name == "qualification-record-sedge-lane.pdf"
    assert _numbers(whole) == sorted([of_ama, of_ben])
    assert _numbers(_print(db, bench.enter(db, AMA), "qualification_record", AMA.id)) == [of_ama]
    # Of a crew everybody sees what they may read: their own.
    assert _numbers(_print(db, bench.enter(db, AMA), "qualification_record", CREW)) == [of_ama]
    for subject in (BEN.id, "No such crew", "", f"{CREW} / all of it"):
        with pytest.raises(NotFound):
            _print(db, bench.enter(db, AMA), "qualification_record", subject)


def test_only_what_holds_is_printed_where_that_is_asked(db: Database) -> None:
    sol = bench.enter(db, SOL)
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, sol, AMA).number
    subject = f"{CREW} / in force"
    assert _numbers(_print(db, sol, "qualification_record", subject)) == [number]
    late = NOW + timedelta(days=5 * 366)
    with pytest.raises(NotFound):
        printing.print_sheet(db, sol, "qualification_record", subject, paper="a4", now=late)
    later = printing.print_sheet(db, sol, "qualification_record", CREW, paper="a4", now=late)
    assert _numbers(later) == [number]


def test_pocket_cards_of_a_crew_are_printed_on_one_sheet(db: Database) -> None:
    printed = _print(db, bench.enter(db, SOL), "pocket_card", CREW)
    assert printed.name == "pocket-card-sedge-lane.pdf"
    said = _text(printed)
    assert AMA.display_name in said
    assert BEN.display_name in said
    for subject in ("No such crew", ""):
        with pytest.raises(NotFound):
            _print(db, bench.enter(db, SOL), "pocket_card", subject)


def test_forecast_and_cover_are_printed_for_who_may_see_the_crew(db: Database) -> None:
    sol = bench.enter(db, SOL)
    bench.make_ready(db, BEN)
    bench.sign_by(db, sol, BEN)
    forecast = _print(db, sol, "forecast_sheet", CREW)
    assert "13 weeks" in _text(forecast)
    assert "52 weeks" in _text(_print(db, sol, "forecast_sheet", f"{CREW} / 52"))
    cover = _text(_print(db, sol, "cover_sheet", CREW))
    assert BEN.display_name in cover
    for kind in ("forecast_sheet", "cover_sheet"):
        with pytest.raises((NotAllowed, NotFound)):
            _print(db, bench.enter(db, AMA), kind, CREW)
        with pytest.raises(NotFound):
            _print(db, sol, kind, "No such crew")
    with pytest.raises(NotFound):
        _print(db, sol, "forecast_sheet", f"{CREW} / 7")


def test_a_plan_that_is_not_there_is_not_found(db: Database) -> None:
    for subject in ("1", "x", "", "1 / x", "1 / 2"):
        with pytest.raises(NotFound):
            _print(db, bench.enter(db, SOL), "plan_sheet", subject)


def test_a_crew_sheet_is_printed_for_who_may_see_the_crew(db: Database) -> None:
    printed = _print(db, bench.enter(db, SOL), "crew_sheet", CREW)
    assert printed.name == "crew-sheet-sedge-lane.pdf"
    assert BEN.display_name in _text(printed)
    with pytest.raises(NotAllowed):
        _print(db, bench.enter(db, AMA), "crew_sheet", CREW)


@pytest.mark.parametrize("kind", ["job_card", "parts_kit"])
def test_sheets_of_a_job_are_printed_at_a_size(db: Database, kind: str) -> None:
    named = _print(db, bench.enter(db, KIT), kind, f"{MODULE} DN 100")
    assert "DN 100" in _text(named).replace("\xa0", " ")
    first = _print(db, SYSTEM, kind, MODULE)
    assert "DN 50" in _text(first).replace("\xa0", " ")
    with pytest.raises(SizeNotInModule):
        _print(db, SYSTEM, kind, f"{MODULE} DN 900")
    with pytest.raises(NotFound):
        _print(db, SYSTEM, kind, "no-such-module")


def test_what_is_no_sheet_is_not_found(db: Database) -> None:
    with pytest.raises(NotFound):
        _print(db, SYSTEM, "wall_calendar", CREW)


def test_a_lapse_list_is_printed_for_who_may_see_the_crew(db: Database) -> None:
    sol = bench.enter(db, SOL)
    bench.make_ready(db, BEN)
    number = bench.sign_by(db, sol, BEN).number
    assert "Nothing is over" in _text(_print(db, sol, "lapse_list", CREW))
    late = NOW + timedelta(days=5 * 366)
    printed = printing.print_sheet(db, sol, "lapse_list", CREW, paper="a4", now=late)
    assert printed.name == "lapse-list-sedge-lane.pdf"
    assert number in _text(printed)
    assert "1 of 1 are over" in _text(printed)
    with pytest.raises((NotAllowed, NotFound)):
        _print(db, bench.enter(db, AMA), "lapse_list", CREW)
    with pytest.raises(NotFound):
        _print(db, bench.enter(db, SOL), "lapse_list", "No such crew")


def test_a_sign_in_sheet_names_the_crew_and_what_is_gone_through(db: Database) -> None:
    printed = _print(db, bench.enter(db, MIRA), "sign_in_sheet", f"{CREW} / {MODULE}")
    text = _text(printed)
    assert AMA.display_name in text
    assert "T-31" in text
    for subject in (CREW, f"No such crew / {MODULE}", f"{CREW} / no-such-module"):
        with pytest.raises(NotFound):
            _print(db, bench.enter(db, MIRA), "sign_in_sheet", subject)


def test_a_sign_in_sheet_is_for_the_day_that_is_asked_for(db: Database) -> None:
    asked = f"{CREW} / {MODULE} / 2027-04-09 / Una Gatewood / for the north"
    printed = _print(db, bench.enter(db, MIRA), "sign_in_sheet", asked)
    text = _text(printed)
    assert "2027-04-09" in text
    assert "SI-SL-20270409" in text
    assert "Una Gatewood / for the north" in text
    assert MIRA.display_name in text
    assert "Una Gatewood" not in _text(_print(db, bench.enter(db, MIRA), "sign_in_sheet", f"{CREW}/{MODULE}"))
    with pytest.raises(NotFound, match="There is no day 'Friday'"):
        _print(db, bench.enter(db, MIRA), "sign_in_sheet", f"{CREW} / {MODULE} / Friday")


def test_a_pocket_card_names_what_holds_today(db: Database) -> None:
    assert "No qualification holds" in _text(_print(db, bench.enter(db, AMA), "pocket_card", AMA.id))
    bench.qualify_supervisor(db)
    held = _text(_print(db, bench.enter(db, SOL), "pocket_card", SOL.id))
    assert "T-31" in held
    with pytest.raises(NotFound):
        _print(db, bench.enter(db, BEN), "pocket_card", AMA.id)


@pytest.mark.parametrize("kind", ["crew_csv", "crew_xlsx", "lapse_csv", "lapse_xlsx"])
def test_tables_are_for_who_may_see_the_crew(db: Database, kind: str) -> None:
    printed = _print(db, bench.enter(db, SOL), kind, CREW)
    assert printed.name == f"{kind.replace('_', '-')}-sedge-lane.{kind.split('_')[1]}"
    with pytest.raises(NotAllowed):
        _print(db, bench.enter(db, AMA), kind, CREW)


def test_the_mark_in_front_of_a_csv_can_be_left_out(db: Database) -> None:
    sol = bench.enter(db, SOL)
    marked = _print(db, sol, "crew_csv", CREW).data
    plain = printing.print_sheet(db, sol, "crew_csv", CREW, paper="a4", now=NOW, bom=False).data
    assert marked == BOM + plain
    assert BEN.display_name in plain.decode()


def test_what_lapses_is_printed_for_all_crews_that_somebody_sees(db: Database) -> None:
    bench.make_ready(db, BEN)
    number = bench.sign_by(db, bench.enter(db, SOL), BEN).number
    late = NOW + timedelta(days=5 * 366)
    for actor, named in (
        (SYSTEM, "All crews"),
        (bench.enter(db, SOL), "All crews"),
        (bench.enter(db, MIRA), CREW),
    ):
        printed = printing.print_sheet(db, actor, "lapse_list", "*", paper="a4", now=late)
        assert printed.name == "lapse-list.pdf"
        assert number in _text(printed)
        assert f"{named}: over" in _text(printed)
    table = printing.print_sheet(db, SYSTEM, "lapse_csv", "*", paper="a4", now=late, bom=False).data.decode()
    assert f",{BEN.display_name},{CREW}," in table
    with pytest.raises(NotAllowed):
        _print(db, bench.enter(db, AMA), "lapse_csv", "*")
    with pytest.raises(NotFound):
        _print(db, SYSTEM, "crew_csv", "*")
