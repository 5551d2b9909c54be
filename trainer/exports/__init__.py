"""What can be handed out, on paper or as data: one file a kind in `kinds/`, one line each below.

`EXPORTS` is all that web and command line need to know: a name, who may have it, what it is about, and how to
write it. The packet that `write` takes is named in the kind's own file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

from trainer.exports.kinds import (
    activity_statements,
    bench_card,
    cover_sheet,
    crew_csv,
    crew_sheet,
    crew_xlsx,
    earlier_record,
    forecast_sheet,
    inspector_packet,
    job_card,
    lapse_csv,
    lapse_list,
    lapse_xlsx,
    parts_kit,
    person_data,
    plan_sheet,
    pocket_card,
    qualification_record,
    question_bank,
    sign_in_sheet,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["EXPORTS", "Export"]


class Export(Protocol):
    """One kind of export: what each file in `kinds/` offers.

    `PERMISSION` is the `resource:action` that whoever asks must have; `SUBJECT` says in words what is asked for.
    """

    NAME: str
    TITLE: str
    MEDIA_TYPE: str
    ENDING: str
    PERMISSION: str
    SUBJECT: str

    def write(self, packet: Any, *, paper: str) -> bytes:
        """Return the file: the same packet and paper, the same bytes. What is no sheet has no paper and passes it over."""
        ...


EXPORTS: Mapping[str, Export] = {
    activity_statements.NAME: activity_statements,
    bench_card.NAME: bench_card,
    cover_sheet.NAME: cover_sheet,
    crew_csv.NAME: crew_csv,
    crew_sheet.NAME: crew_sheet,
    crew_xlsx.NAME: crew_xlsx,
    earlier_record.NAME: earlier_record,
    inspector_packet.NAME: inspector_packet,
    forecast_sheet.NAME: forecast_sheet,
    job_card.NAME: job_card,
    lapse_csv.NAME: lapse_csv,
    lapse_list.NAME: lapse_list,
    lapse_xlsx.NAME: lapse_xlsx,
    parts_kit.NAME: parts_kit,
    person_data.NAME: person_data,
    plan_sheet.NAME: plan_sheet,
    pocket_card.NAME: pocket_card,
    qualification_record.NAME: qualification_record,
    question_bank.NAME: question_bank,
    sign_in_sheet.NAME: sign_in_sheet,
}
