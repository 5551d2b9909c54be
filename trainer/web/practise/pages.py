"""The pages of a drill: the question, and the answer as it was marked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from trainer.drills.answer_forms import Arrange, Choose, NextStep, Point
from trainer.web.filters import capital
from trainer.web.linework import curves
from trainer.web.moments import told
from trainer.web.pages import Page, TitleBlock
from trainer.web.practise.answering import WORDS, Filled
from trainer.web.sketches import drawn_for, sketches

if TYPE_CHECKING:
    from collections.abc import Mapping

    from markupsafe import Markup

    from trainer.actions.views import AttemptView
    from trainer.drills.mark import Mark, Remark
    from trainer.drills.question import Question
    from trainer.procedure.model import Module
    from trainer.web.practise.in_turn import InTurn
    from trainer.web.sketches import Drawn


@dataclass(frozen=True)
class TurnsShown:
    """The short sheet that a drill belongs to: titles of its skills in turn, the place in it, and what follows."""

    titles: tuple[str, ...]
    at: int
    following: InTurn | None


@dataclass(frozen=True)
class QuestionPage(Page):
    """A drill as it is put to a person; `pictures` are those of `web.sketches`, by their place.

    `pictures_at` is where the thumbnails of its lines are fetched from, "" when it has none.
    `taps`: the lines can be put in order by tapping the picture.
    """

    TEMPLATE: ClassVar[str] = "practise/question.html"
    question: Question
    form_name: str
    script: str
    button: str
    filled: Filled
    address: str
    keep_as: str
    says: str
    pictures: Mapping[str, Drawn]
    pictures_at: str
    taps: bool
    turns: TurnsShown | None


@dataclass(frozen=True)
class MarkedRow:
    """One row or figure of a marked answer: what was asked, what was answered, what there is to say.

    `picture` is that of the option chosen.
    """

    asked: str
    answered: str
    right: bool
    marked: bool
    remarks: tuple[str, ...]
    picture: Drawn | None = None


@dataclass(frozen=True)
class MarkedPage(Page):
    """A marked answer. `signal` is the signal word of what would have happened, "" when nobody is hurt.

    `picture` shows that moment, where the procedure gives its parts shapes; `shown` is what else there is to see, with
    its words. `pictures_at` is where the thumbnails of the lines `with_picture` are fetched from, "" when it has none.
    """

    TEMPLATE: ClassVar[str] = "practise/marked.html"
    mark: Mark
    form_name: str
    cells: tuple[tuple[str, str, str], ...]
    signal: str
    happens: str
    picture: Markup
    shown: tuple[tuple[str, Drawn], ...]
    others: tuple[Remark, ...]
    rows: tuple[MarkedRow, ...]
    pictures_at: str
    with_picture: frozenset[str]
    curves: tuple[tuple[str, str], ...]
    heads: tuple[str, ...]
    whose: str
    whose_order: str
    own: bool
    counts: bool
    person_name: str
    again: str
    again_words: str
    back: str
    back_words: str
    kept_as: str
    turns: TurnsShown | None


# Nothing is marked before the end of an assessment.
_HANDED_IN = "Hand in this answer"


def question_page(
    question: Question,
    module: Module,
    block: TitleBlock,
    filled: Filled,
    *,
    address: str,
    keep_as: str,
    pictures_at: str = "",
    unaided: bool = False,
    says: str = "",
    turns: TurnsShown | None = None,
) -> QuestionPage:
    """Return the page of a question with what is filled in so far.

    Args:
        question: what is asked.
        module: what it is asked about; the pictures are drawn from it.
        block: the title block.
        filled: what stands in the fields.
        address: where the answer is sent.
        keep_as: the name under which a device keeps the answer.
        pictures_at: where the thumbnails of lines are fetched from.
        unaided: without what helps, such as those thumbnails, as an assessment wants it.
        says: why an answer was refused.
        turns: the short sheet that it belongs to.
    """
    words = WORDS[question.form.NAME]
    return QuestionPage(
        block=block,
        question=question,
        form_name=question.form.NAME,
        script=words.script,
        button=_HANDED_IN if unaided and words.button else words.button,
        filled=filled,
        address=address,
        keep_as=keep_as,
        says=says,
        pictures=sketches(question, module),
        pictures_at=pictures_at if _with_thumbnail(question) and not unaided else "",
        taps=_taps(question),
        turns=turns,
    )


def _with_thumbnail(question: Question) -> frozenset[str]:
    """Return the lines to be put in order that have a picture."""
    form = question.form
    lines = form.lines if isinstance(form, Arrange) else ()
    return frozenset(line.id for line in lines if line.picture is not None)


def _taps(question: Question) -> bool:
    """Tell whether what a question's picture shows can be tapped: its controls go by the ids of the lines."""
    picture = question.picture
    return (
        isinstance(question.form, Arrange) and picture is not None and bool(picture.keywords.get("controls"))
    )


def marked_page(
    view: AttemptView,
    module: Module,
    block: TitleBlock,
    picture: Markup,
    shown: tuple[tuple[str, Drawn], ...],
    *,
    own: bool,
    again: str,
    back: str,
    back_words: str = "",
    kept_as: str,
    pictures_at: str,
    turns: TurnsShown | None = None,
) -> MarkedPage:
    """Return the page of a marked answer; its pictures are drawn from the module that was asked about.

    The thumbnails of its lines are fetched from `pictures_at` after the page.
    With `back_words` it leads back there and nowhere else: an assessed question is not asked again.
    """
    mark, words = view.mark, WORDS[view.question.form.NAME]
    worst, others = _worst(mark)
    pictured = _with_thumbnail(view.question)
    return MarkedPage(
        block=block,
        mark=mark,
        form_name=view.question.form.NAME,
        cells=_cells(view),
        signal=worst[0],
        happens=worst[1],
        picture=picture,
        shown=shown,
        others=others if isinstance(view.question.form, Arrange) else tuple(r for r in others if not r.about),
        rows=_with_pictures(view, module, _rows(view, said=worst[1])),
        pictures_at=pictures_at if pictured and mark.lines else "",
        with_picture=pictured,
        curves=curves(mark.lines),
        heads=_heads(mark),
        whose="" if own else f"{view.person_name}, {view.skill_title}",
        whose_order=words.yours if own else f"The answer of {view.person_name}",
        own=own,
        counts=view.counts,
        person_name=view.person_name,
        again=again,
        again_words=_onward_words(turns) or words.again,
        back=back,
        back_words=back_words,
        kept_as=kept_as,
        turns=turns,
    )


def _onward_words(turns: TurnsShown | None) -> str:
    if turns is None:
        return ""
    if turns.following is None:
        return "All done: another sheet"
    return f"Drill {turns.at + 1} of {len(turns.titles)}: {turns.titles[turns.at]}"


def _worst(mark: Mark) -> tuple[tuple[str, str], tuple[Remark, ...]]:
    """What would have happened with its signal word, and the remarks that are left to be read beside it."""
    left = tuple(remark for remark in mark.remarks if not remark.right)
    if mark.incident is not None:
        told = mark.incident.text
        return (str(mark.incident.signal), told), tuple(r for r in left if r.text != told)
    hurting = sorted(
        (r for r in left if r.signal is not None), key=lambda r: r.signal.rank if r.signal else 9
    )
    if hurting:
        worst = hurting[0]
        return (str(worst.signal), worst.text), tuple(r for r in left if r is not worst)
    return ("", ""), left


def _cells(view: AttemptView) -> tuple[tuple[str, str, str], ...]:
    mark = view.mark
    when = ("Marked", "", told(view.at))
    if mark.moves is not None:
        stay = sum(not line.moved and line.position == line.place for line in mark.lines)
        return (
            when,
            ("In their place", str(stay), f" of {len(mark.lines)} lines"),
            ("Moves to put it right", str(mark.moves), ""),
        )
    form = view.question.form
    if isinstance(form, Arrange):
        # Of many right orders none is the nearest: what counts is how far the one given is right.
        through = round(mark.credit * len(form.lines))
        return when, ("In order from the first on", str(through), f" of {len(form.lines)}")
    rows = _rows(view)
    marked = [row for row in rows if row.marked]
    return when, ("Right", str(sum(row.right for row in marked)), f" of {len(marked)}")


def _heads(mark: Mark) -> tuple[str, ...]:
    """For each place from the first on, the kind of line that ends there."""
    kinds = {
        line.place: "moved" if line.moved else ("stays" if line.position == line.place else "room")
        for line in mark.lines
    }
    return tuple(kinds[place] for place in sorted(kinds))


def _rows(view: AttemptView, said: str = "") -> tuple[MarkedRow, ...]:
    """The rows of the answer; what is said above already is not said again beside its row."""
    form, answer = view.question.form, view.answer
    if isinstance(form, NextStep):
        picks = enumerate(view.mark.picked, start=1)
        return tuple(_row(view.mark, str(n), f"Pick {n}", text, said) for n, text in picks)
    if isinstance(form, Arrange) or not isinstance(answer, dict):
        return ()
    if isinstance(form, Choose):
        options = {
            (row.id, option.id): f"number {option.id}" if isinstance(form, Point) else option.text
            for row in form.rows
            for option in row.options
        }
        asked = [
            (row.id, row.text, capital(options.get((row.id, str(answer.get(row.id))), "–")))
            for row in form.rows
        ]
    else:
        asked = [(field.id, field.text, _figure(answer.get(field.id))) for field in form.fields]
    return tuple(_row(view.mark, about, text, answered, said) for about, text, answered in asked)


def _with_pictures(view: AttemptView, module: Module, rows: tuple[MarkedRow, ...]) -> tuple[MarkedRow, ...]:
    """The rows, each with the picture of the option that was chosen, or else its own."""
    form, answer = view.question.form, view.answer
    if not isinstance(form, Choose) or not isinstance(answer, dict):
        return rows
    shown = []
    for number, (asked, row) in enumerate(zip(form.rows, rows, strict=True)):
        seen = next((o.picture for o in asked.options if o.id == answer.get(asked.id)), None)
        wanted, kind = (seen, "answer") if seen else (asked.picture, "row")
        drawn = drawn_for(wanted, module, view.question.size, kind, f"a{number}") if wanted else None
        shown.append(replace(row, picture=drawn))
    return tuple(shown)


def _figure(given: object) -> str:
    if isinstance(given, dict):
        return f"{given.get('value', '')} {given.get('unit', '')}".strip()
    return str(given or "–")


def _row(mark: Mark, about: str, asked: str, answered: str, said: str) -> MarkedRow:
    remarks = [remark for remark in mark.remarks if remark.about == about]
    right = all(remark.right for remark in remarks)
    marked = all(remark.marked for remark in remarks)
    return MarkedRow(asked, answered, right, marked, tuple(r.text for r in remarks if r.text != said))
