"""A question that was answered, in lines to read: what was asked, offered and answered, and what the mark said."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping


def in_words(question: Mapping[str, Any], answer: Any, mark: Mapping[str, Any]) -> list[str]:
    """Return question, answer and mark in lines; of a question that is empty, the answer and its mark."""
    lines = [str(question.get("ask", "")), str(question.get("given", ""))]
    lines += _form(question, answer)
    lines += [f"Marked: {mark.get('headline', '')}"]
    lines += [str(remark.get("text", "")) for remark in mark.get("remarks", ())]
    return [line for line in lines if line.strip()]


def _form(question: Mapping[str, Any], answer: Any) -> list[str]:
    """Return what was offered and what was answered, by the form of the question."""
    form = question.get("form")
    if form == "arrange":
        texts = {line["id"]: line["text"] for line in question["lines"]}
        offered = "; ".join(texts.values())
        return [f"Offered: {offered}.", *(f"{n}. {texts[name]}" for n, name in enumerate(answer, start=1))]
    if "rows" in question:
        return [_chosen(row, answer) for row in question["rows"]]
    if "fields" in question:
        return [f"{asked['text']} {_given(answer.get(asked['id']))}" for asked in question["fields"]]
    if form == "next-step":
        offered = "; ".join(option["text"] for option in question["options"])
        return [f"Offered first: {offered}."]
    return [f"Answered: {answer}"]


def _chosen(row: Mapping[str, Any], answer: Any) -> str:
    texts = {option["id"]: option["text"] for option in row["options"]}
    offered = " / ".join(texts.values())
    return f"{row['text']} Offered: {offered}. Answered: {texts.get(answer.get(row['id']), 'nothing')}."


def _given(value: Any) -> str:
    if isinstance(value, dict):
        return f"Answered: {value.get('value', '')} {value.get('unit', '')}.".replace(" .", ".")
    return f"Answered: {value}."
