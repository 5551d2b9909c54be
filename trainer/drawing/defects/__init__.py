"""Parts as the eye finds them on the bench, sound or damaged: a file for each form of part.

A part is painted as a relief in grey, light is height, and lit by filters; what lies on it (dust, stains) is painted
over the lit relief. Every mark is drawn from the seed. 200 units are the radius of the part.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.defects import diaphragm, gasket, oring, seat_ring, soft_disc, thread
from trainer.procedure.damage import SeenAs

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from trainer.drawing.defects.relief import Relief

# Each paints a part as it was found, and says where there is most to see.
FORMS: Mapping[SeenAs, Callable[[Relief], None]] = {
    SeenAs.O_RING: oring.paint,
    SeenAs.DIAPHRAGM: diaphragm.paint,
    SeenAs.SOFT_DISC: soft_disc.paint,
    SeenAs.SEAT_RING: seat_ring.paint,
    SeenAs.GASKET: gasket.paint,
    SeenAs.THREAD: thread.paint,
}
