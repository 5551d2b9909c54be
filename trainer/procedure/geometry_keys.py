"""The keys that say what things look like; they belong to the one table of keys in `keys.py`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.procedure.blocks import Block, BySizeOf, Key, ListOf, TableOf
from trainer.procedure.measures import Degrees, Factor, Length, NamedValues, Row, Rows, Several
from trainer.procedure.model import Reference
from trainer.procedure.shapes import Look, Side, Toward
from trainer.procedure.values import Count, Flag, Name, OneOf, Text

if TYPE_CHECKING:
    from trainer.procedure.source import Node
    from trainer.procedure.values import Path, Reading

_THINGS = ("parts", "fasteners", "lines")
_MM = Length()
_SPAN = Row("from", "to")
_POINT = Row("x", "z")
_OUTLINE = Rows(Row("r", "z", more="corner radius"), 3)
_FACES = Rows(Row("x", "z", more="corner radius"), 3)


class TableOfThings(TableOf):
    """A block whose keys are parts, fasteners or lines of the file."""

    def read(self, node: Node, path: Path, reading: Reading) -> dict[str, dict[str, Any]]:
        """Return name → block and remember to look the names up."""
        table = super().read(node, path, reading)
        for name in table:
            place = reading.places[(*path, name)]
            reading.references.append(Reference(_THINGS, name, (*path, name), place))
        return table


CUT = Block(
    "an opening in a cut face",
    (
        Key("z", _SPAN, "Its heights; those of the outline.", "[155, 168]", required=True),
        Key("r", _SPAN, "Distances from the axis, in a turned part.", "[52, 66]"),
        Key("x", _SPAN, "Positions across, in a body that is not turned.", "[71, 89]"),
        Key("side", OneOf(Side), "On which side of the axis; both unless said.", "left"),
        Key("thread", Flag(), "It has a thread.", "true"),
        Key("hole", Flag(), "It is a blind hole: its mouth is not drawn as an edge.", "true"),
    ),
)
WINDOWS = Block(
    "windows",
    (
        Key("n", Count(), "How many stand round it.", "8", required=True),
        Key("z", _SPAN, "Their heights.", "[8, 42]", required=True),
        Key("width", _MM, "Width of one.", "24", required=True),
        Key("phase", Degrees(), "Where the first one stands; 0 is in the cutting plane.", "22.5"),
    ),
)
THREAD = Block(
    "an outside thread",
    (
        Key("r", _MM, "Radius of the crest.", "8", required=True),
        Key("root", _MM, "Radius of the root.", "6.8", required=True),
        Key("z", _SPAN, "Heights between which it runs.", "[-41, -22]", required=True),
    ),
)
HEX = Block(
    "a hexagon",
    (
        Key("af", _MM, "Across flats.", "30", required=True),
        Key("z", _SPAN, "Its heights.", "[0, 9]", required=True),
    ),
)
ORING = Block(
    "an O-ring",
    (
        Key("r", _MM, "Radius to the middle of the cord.", "52", required=True),
        Key("d", _MM, "Thickness of the cord.", "5", required=True),
        Key("groove", _SPAN, "It is squeezed between these radii.", "[50, 54]"),
    ),
)
SPRING = Block(
    "a helical spring",
    (
        Key("r", _MM, "Radius to the middle of the wire.", "26", required=True),
        Key("wire", _MM, "Thickness of the wire.", "6", required=True),
        Key("length", _MM, "Length as it is fitted.", "134", required=True),
        Key("coils", Count(), "Number of coils.", "7", required=True),
        Key("top", _MM, "Radius at its upper end, when it is a cone.", "9"),
    ),
)
_CIRCLE = Key("r", _MM, "Radius of the circle that a set stands on; one on the axis unless said.", "84")
_AXIS_D = Key("d", _MM, "Thread, outside.", "16", required=True)
_AF = Key("af", _MM, "Across flats.", "24", required=True)
_H = Key("h", _MM, "Height.", "13", required=True)
_DIR = Key("dir", OneOf(Toward), "Where its top points; `up` unless said.", "down")
STUD = Block(
    "studs",
    (
        _CIRCLE,
        _AXIS_D,
        Key("length", _MM, "Length.", "62.5", required=True),
        Key("engaged", _MM, "How deep it is screwed in.", "22"),
    ),
)
NUT = Block("a nut", (_CIRCLE, _AXIS_D, _AF, _H, _DIR))
BOLT = Block(
    "bolts",
    (
        _CIRCLE,
        _AXIS_D,
        _AF,
        Key("h", _MM, "Height of the head.", "10", required=True),
        Key("length", _MM, "Length under the head.", "40", required=True),
        _DIR,
    ),
)
CASTLE_NUT = Block(
    "a castle nut",
    (
        _AXIS_D,
        _AF,
        _H,
        Key("slot", Row("width", "height"), "A slot.", "[4.5, 6]", required=True),
        Key("slots", Count(), "How many slots.", "6", required=True),
        _DIR,
    ),
)
PIN = Block(
    "a split pin across the axis",
    (
        Key("d", _MM, "Thickness.", "4", required=True),
        Key("length", _MM, "Length from eye to legs.", "29", required=True),
    ),
)
PLUG = Block(
    "a screw from the side",
    (
        Key("seat", _MM, "Distance of its seat from the axis.", "54", required=True),
        Key("d", _MM, "Thread, outside.", "12", required=True),
        Key("length", _MM, "Length from the seat inwards.", "11", required=True),
        Key("head", _MM, "Height of the head.", "8", required=True),
        Key("af", _MM, "Across flats.", "17", required=True),
        Key("bore", _MM, "A bore through it; solid unless said.", "6"),
        Key("side", OneOf(Side), "On which side; right unless said.", "left"),
        Key(
            "others",
            Several(Row("height", "seat")),
            "The others of a set: height, and distance of the seat from the axis, negative on the left.",
            "[[17.5, -40]]",
        ),
        Key("azimuth", Degrees(), "Where it stands as seen from outside; 90 is towards the eye.", "35"),
    ),
)
TUBE = Block(
    "a tube",
    (
        Key(
            "path",
            Rows(Row("x", "z", more="bend radius"), 2),
            "Its middle line.",
            "[[0, 0], [9, 0]]",
            required=True,
        ),
        Key("d", _MM, "Outside.", "10", required=True),
        Key("bore", _MM, "Bore.", "6"),
    ),
)
HOLES = Block(
    "holes on a circle",
    (
        Key("r", _MM, "Radius of the circle.", "84", required=True),
        Key("d", _MM, "The hole.", "18", required=True),
        Key("n", BySizeOf(Count()), "How many.", "{DN 80: 8, DN 100: 12}", required=True),
        Key("face", _MM, "The face in which they open.", "145.5", required=True),
        Key("phase", Degrees(), "Where the first one stands.", "22.5"),
    ),
)
STUB = Block(
    "a side connection",
    (
        Key("z", _MM, "Height of its axis.", "46", required=True),
        Key(
            "profile",
            _OUTLINE,
            "Half-profile about its own axis: radius, then distance from the main axis.",
            "[[40, 70], [54, 70], [54, 155]]",
            required=True,
        ),
        Key("azimuth", Degrees(), "Where it points; 0 right, 90 towards the eye, 180 left.", "180"),
        Key("holes", Several(HOLES), "Its flange holes.", "[{r: 80, d: 18, n: 8, face: 153}]"),
    ),
)
OUTSIDE = Block(
    "the outside",
    (
        Key(
            "profiles",
            Several(_OUTLINE),
            "Half-profiles to be seen instead of the own one.",
            "[[[0, 0], [9, 0], [9, 9]]]",
        ),
        Key("holes", Several(HOLES), "Holes in its faces.", "[{r: 84, d: 18, n: 8, face: 124}]"),
        Key("stubs", Several(STUB), "Side connections.", "[{z: 1, profile: [[1, 1], [2, 1], [2, 2]]}]"),
    ),
)
BODY = Block(
    "a body that is not turned",
    (
        Key(
            "loops",
            Several(_FACES),
            "Its cut faces, each a closed outline.",
            "[[[0, 0], [9, 0], [9, 9]]]",
            required=True,
        ),
        Key(
            "edges",
            Several(Row("x", "z", "x", "z")),
            "Edges seen behind the cutting plane.",
            "[[-60, 124, 60, 124]]",
        ),
        Key(
            "curves",
            Several(Rows(_POINT, 2)),
            "Curves seen behind it, such as where two bores meet.",
            "[[[0, 0], [1, 2]]]",
        ),
    ),
)
TURN = Block(
    "the wrong way round",
    (
        Key("about", _MM, "Height, of its own, about which it is turned; half way unless said.", "5"),
        Key(
            "moves",
            ListOf(Name(*_THINGS)),
            "What then slides along the axis until it touches.",
            "[disc_retainer]",
        ),
        Key(
            "close_up",
            Row("x", "z", "reach"),
            "The spot that tells the two ways apart, and how far round it is seen.",
            "[0, 232, 30]",
        ),
        Key("without", ListOf(Name(*_THINGS)), "What cannot be fitted then.", "[cotter_pin]"),
    ),
)

SHAPE = Block(
    "a shape",
    (
        Key("at", _MM, "Height of its own height 0 when all is together.", "11.5"),
        Key(
            "profile",
            _OUTLINE,
            "Half-profile of a turned part; a third number rounds the corner.",
            "[[36, 0, 1], [57, 0], [57, 10]]",
        ),
        Key("left", _OUTLINE, "Half-profile on the left where it differs.", "[[36, 0], [60, 0], [60, 10]]"),
        Key("mirror_of", Name("shapes"), "It has the outline of this one, upside down.", "backup_lower"),
        Key("body", BODY, "It is not turned.", "{loops: [[[0, 0], [9, 0], [9, 9]]]}"),
        Key("oring", ORING, "It is an O-ring.", "{r: 52, d: 5}"),
        Key("spring", SPRING, "It is a helical spring.", "{r: 26, wire: 6, length: 134, coils: 7}"),
        Key("stud", STUD, "It is a stud, or a set of them.", "{r: 84, d: 16, length: 62.5, engaged: 22}"),
        Key("nut", NUT, "It is a nut, or a set of them.", "{r: 84, d: 16, af: 24, h: 13}"),
        Key("bolt", BOLT, "It is a bolt, or a set of them.", "{r: 84, d: 16, af: 24, h: 10, length: 40}"),
        Key(
            "castle_nut",
            CASTLE_NUT,
            "It is a castle nut.",
            "{d: 16, af: 24, h: 16, slot: [4.5, 6], slots: 6}",
        ),
        Key("pin", PIN, "It is a split pin.", "{d: 4, length: 29}"),
        Key("plug", PLUG, "It is a screw from the side.", "{seat: 54, d: 12, length: 11, head: 8, af: 17}"),
        Key("tube", TUBE, "It is a tube.", "{path: [[0, 0], [9, 0]], d: 10}"),
        Key(
            "lies",
            OneOf(Side),
            "It lies on its side: its own axis is level and points to this side, and its heights count from the main axis.",
            "right",
        ),
        Key("level", _MM, "Height of its level axis, when it lies.", "-12"),
        Key("flipped", Flag(), "Its outline stands on its head, mirrored about its own height 0.", "true"),
        Key(
            "whole",
            Flag(),
            "Drawn whole, not cut: shafts; screws, nuts and pins are so unless said.",
            "true",
        ),
        Key("split", Flag(), "It is cut through at one place.", "true"),
        Key("look", OneOf(Look), "Its hatch and tone; after `material` unless said.", "gasket"),
        Key("cuts", ListOf(CUT), "Openings in the cut faces.", "[{r: [75, 93], z: [125.5, 145.5]}]"),
        Key("windows", WINDOWS, "Windows round a sleeve.", "{n: 8, z: [8, 42], width: 24}"),
        Key("threads", ListOf(THREAD), "Outside threads.", "[{r: 8, root: 6.8, z: [-41, -22]}]"),
        Key("marks", ListOf(_MM), "Lines scribed round it, by height.", "[186, 190]"),
        Key("hex", HEX, "A hexagon on a turned part.", "{af: 30, z: [0, 9]}"),
        Key(
            "outside",
            OUTSIDE,
            "How it looks from outside, where the half-profile does not tell.",
            "{holes: [{r: 84, d: 18, n: 8, face: 145.5}]}",
        ),
        Key("label_at", _POINT, "Where its balloon points, if not to the middle of its face.", "[-68, -14]"),
        Key("leaves", OneOf(Toward), "Which way it comes off; `up` unless said.", "down"),
        Key("turn", TURN, "What happens in the picture when it lies the wrong way round.", "{about: 5}"),
    ),
)

SPACE = Block(
    "a space that can hold gas",
    (
        Key("name", Text(), "What it is called.", "Loading chamber"),
        Key(
            "profile",
            _OUTLINE,
            "Its half-profile when all is together.",
            "[[14, 42], [34, 42], [34, 93]]",
        ),
        Key(
            "loops", Several(_FACES), "Closed outlines where it is not turned.", "[[[0, 0], [9, 0], [9, 9]]]"
        ),
        Key("holds", ListOf(Name("energies")), "The energies that stand in it.", "loading_gas"),
    ),
)
FEATURE = Block(
    "a named spot",
    (
        Key("name", Text(), "What it is called.", "loading connection", required=True),
        Key("at", _POINT, "Where it is.", "[-59, 162]", required=True),
    ),
)
FLOW = Block(
    "a flow arrow",
    (
        Key("name", Text(), "What flows.", "inlet", required=True),
        Key("at", _POINT, "Where the arrow stands.", "[0, -80]", required=True),
        Key("toward", OneOf(Toward), "Which way it points.", "up", required=True),
    ),
)
COLUMN = Block(
    "a sub-assembly drawn apart",
    (
        Key("name", Text(), "Its heading.", "Cover", required=True),
        Key("parts", ListOf(Name(*_THINGS)), "Its things from top to bottom.", "[sight_cap]", required=True),
    ),
)
DRAWING = Block(
    "the drawing",
    (
        Key(
            "dimensions",
            NamedValues(BySizeOf(_MM), "a block that names each, with a length; or one for each size"),
            "Lengths with a name, to be used wherever a length is wanted.",
            "{stud: {DN 50: 12, DN 80: 16}}",
        ),
        Key(
            "scale",
            BySizeOf(Factor()),
            "What all figures in mm are multiplied by, for each size; dimensions given by size stay as they are.",
            "{DN 50: 0.75, DN 80: 1}",
        ),
        Key(
            "explode", Several(COLUMN), "Sub-assemblies, as they are drawn apart.", "[{name: A, parts: [x]}]"
        ),
        Key(
            "spaces", TableOf(SPACE), "Spaces that can hold gas.", "{c: {profile: [[1, 1], [2, 1], [2, 2]]}}"
        ),
        Key("features", Several(FEATURE), "Spots with a name but no item number.", "[{name: A, at: [1, 2]}]"),
        Key("flows", Several(FLOW), "Arrows for the way of the gas.", "[{name: in, at: [0, 0], toward: up}]"),
    ),
)
BLOCKS: tuple[tuple[str, Block], ...] = (
    ("shapes", SHAPE),
    ("shapes: body", BODY),
    ("shapes: oring", ORING),
    ("shapes: spring", SPRING),
    ("shapes: stud", STUD),
    ("shapes: nut", NUT),
    ("shapes: bolt", BOLT),
    ("shapes: castle_nut", CASTLE_NUT),
    ("shapes: pin", PIN),
    ("shapes: plug", PLUG),
    ("shapes: tube", TUBE),
    ("shapes: cuts", CUT),
    ("shapes: windows", WINDOWS),
    ("shapes: threads", THREAD),
    ("shapes: hex", HEX),
    ("shapes: turn", TURN),
    ("shapes: outside", OUTSIDE),
    ("shapes: outside: holes", HOLES),
    ("shapes: outside: stubs", STUB),
    ("drawing", DRAWING),
    ("drawing: spaces", SPACE),
    ("drawing: features", FEATURE),
    ("drawing: flows", FLOW),
    ("drawing: explode", COLUMN),
)

__all__ = ["BLOCKS", "DRAWING", "SHAPE", "TableOfThings"]
