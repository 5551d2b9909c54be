"""Publishing a revision of a module, and reading what is published."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.actions import journal, revise
from trainer.actions.actor import SYSTEM
from trainer.actions.permissions import Permission
from trainer.actions.published import prepared, prepared_from
from trainer.actions.views import Published, PublishedModule
from trainer.errors import TrainerError
from trainer.procedure import library
from trainer.procedure.findings import Signal
from trainer.store import modules, tasks

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.revise import Publication
    from trainer.procedure.findings import Finding
    from trainer.procedure.model import Module
    from trainer.store.session import Database


class NotFitToPublish(TrainerError):
    """The checker finds errors in the module; `findings` holds all it has to say, advice too."""

    def __init__(self, file: str, findings: Sequence[Finding]) -> None:
        self.findings = tuple(findings)
        errors = sum(finding.signal is Signal.ERROR for finding in findings)
        count = "one error" if errors == 1 else f"{errors} errors"
        super().__init__(f"{file} cannot be published: the checker finds {count}.")


def look(db: Database, actor: Actor, text: str, *, file: str, now: datetime) -> Publication:
    """Return what publishing a module would do: what is different, which classes it touches, and whom.

    Raises:
        NotFitToPublish: the checker finds errors; a covered task that the register does not have is one.
    """
    module = _sound(db, actor, text, file)
    with db.reading() as unit:
        return revise.look(unit, module, modules.current(unit, module.id), now.date())


def publish(
    db: Database,
    actor: Actor,
    text: str,
    *,
    file: str,
    now: datetime,
    must_show: bool | None = None,
    because: str = "",
) -> Published:
    """Put a revision in force; the revision already in force changes nothing.

    Args:
        db: the database.
        actor: who publishes.
        text: content of the module file.
        file: what findings call it.
        now: the time.
        must_show: whether people qualified under an earlier revision have to show the change; None for what follows
            from the classes that it touches.
        because: why; needed where the keeper decides about anybody.

    Raises:
        NotFitToPublish: the checker finds errors; a covered task that the register does not have is one.
        ChangeUndecided: the reason is missing, or nothing is touched that could be shown.
    """
    module = _sound(db, actor, text, file)
    with db.reading() as unit:
        # Making the drills of both revisions takes a while; nobody waits for it in the transaction below.
        revise.decided(
            revise.look(unit, module, modules.current(unit, module.id), now.date()), must_show, because
        )
    with db.writing() as unit:
        before = modules.current(unit, module.id)
        if before is not None and before.revision == module.revision:
            return Published(module.id, module.revision, module.title, new=False)
        found = revise.look(unit, module, before, now.date())
        shows, reason = revise.decided(found, must_show, because)
        modules.add(
            unit,
            revision=module.revision,
            module_id=module.id,
            title=module.title,
            document=module.document,
            task_id=module.covered_task,
            file=file,
            source=text,
            canonical=module.canonical.decode(),
            at=now,
            by=actor.person_id,
        )
        modules.put_in_force(unit, module.id, module.revision, now)
        told = revise.ask(unit, actor, found, must_show=shows, because=reason, now=now)
        journal.note(
            unit,
            actor,
            "module:publish",
            at=now,
            module=module.id,
            revision=module.revision,
            replaces=before.revision if before else "",
            title=module.title,
            document=module.document,
            task=module.covered_task,
            file=file,
            source=text,
            canonical=module.canonical.decode(),
            **told,
        )
    return Published(module.id, module.revision, module.title, new=True, asked=len(told["asked"]))


def _sound(db: Database, actor: Actor, text: str, file: str) -> Module:
    # Some ninety rules, which only a publication asks for.
    from trainer.checker.check import check_text, is_sound

    actor.must(Permission.MODULE_PUBLISH)
    with db.reading() as unit:
        shared = replace(library.tables(), tasks=tasks.every(unit))
    module, findings = check_text(text, file, shared)
    if not is_sound(findings):
        raise NotFitToPublish(file, findings)
    return module


def current_modules(db: Database, actor: Actor) -> tuple[PublishedModule, ...]:
    """Return the modules in force, by title."""
    actor.must(Permission.MODULE_READ)
    with db.reading() as unit:
        known = tasks.every(unit)
        return tuple(
            PublishedModule(
                module_id=revision.module_id,
                title=revision.title,
                document=revision.document,
                revision=revision.revision,
                task_id=revision.task_id,
                task_title=known[revision.task_id].title,
                sizes=(module := prepared(unit, revision.revision).module).sizes,
                steps=len(module.steps),
                published_at=revision.published_at,
                published_by=revision.publisher or SYSTEM.display_name,
            )
            for revision in modules.in_force(unit)
        )


def module_at(db: Database, revision: str) -> Module:
    """Return the module of a published revision, in force or not.

    Raises:
        NotFound: no such revision was published.
        RevisionDamaged: its text was changed in the database.
    """
    return prepared_from(db, revision).module
