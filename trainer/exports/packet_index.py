"""The page of a packet that a person reads first: every record, what stands behind it, and where the log holds it."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from trainer.exports import index_page, packet_bench, packet_question
from trainer.exports.words import day, moment, short_revision
from trainer.records.qualification import DUTY_OF_CARE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from trainer.exports.evidence import Behind, InspectorPacket, RevisionShown, Told
    from trainer.exports.packets import RecordPacket

_HEADS = ("Record", "Person", "Task", "Held", "Evaluated by", "Signed by", "Entry")
_HAPPENED = {
    "qualification:suspend": "Suspended",
    "qualification:lift": "Suspension lifted",
    "qualification:withdraw": "Withdrawn",
    "qualification:stop": "The task is done no more",
    "qualification:change_shown": "A change shown, and confirmed",
    "qualification:change_not_shown": "A change found not shown",
    "qualification:sign": "Followed by another record",
    "sitting:release": "Released",
    "sitting:begin": "Begun",
    "sitting:time_up": "Ended by its time",
    "sitting:break_off": "Broken off",
    "earlier:transcribe": "Transcribed",
    "earlier:check": "Held against the paper, which says the same",
    "earlier:withdraw": "Withdrawn",
    "module:publish": "A revision came into force",
    "notice:read": "What the revision changes was read",
    "policy:keep": "First used",
    "policy:set": "Put in force",
}


def page(
    packet: InspectorPacket, drawings: Mapping[str, Iterable[str]], pictures: Mapping[int, Mapping[str, str]]
) -> bytes:
    """Return the index as HTML that needs nothing but the files beside it.

    Args:
        packet: what the packet holds.
        drawings: paths of the drawings by revision.
        pictures: paths of the pictures of each answered question, by its entry, then by place.
    """
    return index_page.written(f"Evidence: {packet.about}", _body(packet, drawings, pictures))


def _body(
    packet: InspectorPacket, drawings: Mapping[str, Iterable[str]], pictures: Mapping[int, Mapping[str, str]]
) -> Iterator[str]:
    yield f"<h1>Evidence: {escape(packet.about)}</h1>"
    yield (
        f"<p>{escape(packet.company)}. Qualifications that held between {day(packet.first)} and {day(packet.last)}. Put "
        f"together on {day(packet.made_on)} by {escape(packet.issued_by)}.</p>"
    )
    yield (
        "<p>Check it without trusting whoever gave it to you: <code>python verify.py --key LINE</code>, with the line of "
        "the key that you got from its owner by another way. It needs Python 3.11 and the package "
        "<code>cryptography</code>, no network.</p>"
    )
    yield f"<p>{escape(DUTY_OF_CARE)}</p>"
    yield "<h2>Qualification records</h2>"
    yield _records(packet.records, packet.behind)
    yield from (f"<p>{escape(sentence)}</p>" for sentence in packet.gone)
    if packet.others:
        yield "<h3>Records of those who evaluated</h3>"
        yield _records(packet.others, {})
    yield from _papers(packet)
    for proven in packet.records:
        yield from _behind(packet, proven, pictures)
    yield from _numbers(packet)
    yield "<h2>Procedures as they were published</h2>"
    for shown in packet.revisions:
        yield from _revision(shown, drawings.get(shown.revision, ()))
    yield "<h2>The log</h2>"
    yield (
        f"<p>{len(packet.entries)} entries, each with the proof that it stands under the newest checkpoint; "
        f"{len(packet.growth)} proofs that the log under an earlier checkpoint is its beginning.</p>"
    )


def _records(records: Iterable[RecordPacket], behind: Mapping[str, Behind]) -> str:
    rows = "".join(_row(proven, behind) for proven in records)
    if not rows:
        return "<p>None held in that time.</p>"
    heading = "".join(f"<th>{head}</th>" for head in _HEADS)
    return f'<div class="wide"><table><tr>{heading}</tr>{rows}</table></div>'


def _row(proven: RecordPacket, behind: Mapping[str, Behind]) -> str:
    record = proven.record
    number = escape(record.number)
    links = f'<a href="records/{number}.pdf">{number}</a> (<a href="records/{number}.json">data</a>'
    links += f', <a href="credentials/{number}.json">credential</a>)' if proven.credential else ")"
    links += f'<br><a href="#{number}">what stands behind it</a>' if record.number in behind else ""
    entry = f'<a href="log/{proven.entry}.json">{proven.entry}</a>' if proven.entry else "none"
    cells = (
        links,
        f"{escape(record.person)} ({escape(record.person_id)})",
        f"{escape(record.task)} {escape(record.task_title)}",
        f"{day(record.valid_from)} to {day(record.valid_until)}",
        escape(record.evaluator.name),
        escape(record.supervisor.name),
        entry,
    )
    written = [f'<td data-label="{head}">{cell}</td>' for head, cell in zip(_HEADS, cells, strict=True)]
    return f"<tr>{''.join(written)}</tr>"


def _behind(
    packet: InspectorPacket, proven: RecordPacket, pictures: Mapping[int, Mapping[str, str]]
) -> Iterator[str]:
    record, behind = proven.record, packet.behind[proven.record.number]
    number = escape(record.number)
    yield f'<h2 id="{number}">What stands behind {number}</h2>'
    yield f"<p>{escape(record.person)}, {escape(record.task)} {escape(record.task_title)}.</p>"
    yield from (f"<p>{escape(text)}</p>" for text in (record.statement, record.result) if text)
    yield _classes(proven, {shown.sha256 for shown in packet.policies})
    if behind.evaluation is not None:
        yield from packet_bench.evaluation(behind.evaluation)
    yield from packet_bench.rights(behind.rights)
    for shown in behind.observations:
        paths = {sha256: f"photographs/{sha256}.jpg" for sha256 in shown.photographs}
        yield from packet_bench.observation(shown, paths)
    yield "<h3>Questions of sittings, as they were asked and answered</h3>"
    if not behind.answers:
        yield "<p>No question of a sitting is on record for it.</p>"
    for sitting in dict.fromkeys(one.sitting for one in behind.answers):
        yield f"<h4>Sitting {sitting}</h4>"
        yield _told(told for told in behind.sittings if told.payload["sitting"] == sitting)
        for one in behind.answers:
            if one.sitting == sitting:
                yield packet_question.shown(one, pictures.get(one.entry, {}))
    yield "<h3>What came after the signature</h3>"
    yield _told((*behind.life, *behind.notices)) or "<p>Nothing.</p>"


def _papers(packet: InspectorPacket) -> Iterator[str]:
    if packet.papers:
        yield "<h3>Transcribed from earlier papers: the paper itself is the proof</h3>"
    for shown in packet.papers:
        record = shown.record
        yield (
            f'<p><a href="earlier/{escape(record.number)}.json">{escape(record.number)}</a>: {escape(record.person)} '
            f"({escape(record.person_id)}), {escape(record.task)} {escape(record.task_title)}, {day(record.valid_from)} to "
            f"{day(record.valid_until)}. Paper: {escape(record.paper)}, issued by {escape(record.issued_by)}.</p>"
        )
        yield _told(shown.told)


def _classes(proven: RecordPacket, policies: set[str]) -> str:
    if not proven.record.classes:
        return ""
    rows = []
    for one in proven.record.classes:
        link = (
            f' <a href="policies/{escape(one.policy)}.json">the numbers</a>' if one.policy in policies else ""
        )
        rows.append(
            f"<li>{escape(one.title)}: {escape(one.sentence)} Risk of passing somebody who fails {escape(one.poor)} of the "
            f"time: at most {escape(one.of_risk)}.{link}</li>"
        )
    return f"<h4>What the sittings came to</h4><ul>{''.join(rows)}</ul>"


def _told(entries: Iterable[Told]) -> str:
    """Return what happened, one line an entry, with the way to the log."""
    lines = "".join(
        f"<li>{moment(told.at)}: {_HAPPENED.get(told.action, told.action)}{_by(told)}. {escape(_said(told.payload))} "
        f'<a href="log/{told.number}.json">entry {told.number}</a></li>'
        for told in sorted(entries, key=lambda told: told.number)
    )
    return f"<ul>{lines}</ul>" if lines else ""


def _by(told: Told) -> str:
    return f" by {escape(told.by)}" if told.by else ""


def _said(payload: Mapping[str, Any]) -> str:
    """Return what an entry says of itself in words: its cause, day, reason, and which record or revision it is about."""
    followed = payload.get("record", {}).get("number", "")
    revision = short_revision(payload["revision"]) if payload.get("revision") else ""
    named = [str(payload.get(name, "")) for name in ("cause", "on", "reason", "because")]
    return "; ".join(text.replace("_", " ") for text in (*named, followed, revision) if text)


def _numbers(packet: InspectorPacket) -> Iterator[str]:
    if packet.policies:
        yield "<h2>Numbers of the programme that decided</h2>"
    for shown in packet.policies:
        name = escape(shown.sha256)
        yield f'<p><a href="policies/{name}.json">{short_revision(shown.sha256)}</a></p>{_told(shown.set_by)}'


def _revision(shown: RevisionShown, drawings: Iterable[str]) -> Iterator[str]:
    module = shown.module
    name = f"{module.title}, {module.document or module.id}"
    yield f"<h3>{escape(name)}, revision {short_revision(shown.revision)}</h3>"
    place = f"revisions/{shown.revision}"
    yield f'<p class="links"><a href="{place}.yaml">text</a> <a href="{place}.json">canonical form</a></p>'
    yield _told([shown.published] if shown.published else [])
    steps = "".join(f"<li>{escape(step.do)}</li>" for step in module.steps.values())
    yield f"<details><summary>The {len(module.steps)} steps</summary><ol>{steps}</ol></details>"
    for path in drawings:
        yield f'<p><img src="{escape(path)}" alt="{escape(module.title)}, labelled drawing" loading="lazy"></p>'
