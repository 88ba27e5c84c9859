"""What a reader has to know of geometry to rebuild a case from its tables: frame, pieces, motions, distances.

Part of the reading guide; see reading_guide.py. It is all that whoever rebuilds a lay in the tests knows.
"""

from routeviz.archive.plain_text import fixed, items, paragraph
from routeviz.geometry.fitting import SHARE
from routeviz.tubes.windows import TIE_MM

CENTRELINE = """
angle   = 180 x s / (pi x R)                 (in degrees)
forward = R x sin(angle)
aside   = R x (1 - cos(angle))
point   = start + forward x tangent + aside x normal
way     = cos(angle) x tangent + sin(angle) x normal
"""
STRAIGHT = "point = start + s x tangent"
PIECE = "point = origin + u x first + v x second + w x third"
TURN = """
d = point - axis point
turned = cos(a) x d + sin(a) x (way cross d)
         + (1 - cos(a)) x (way . d) x way
point then = axis point + turned
"""
CROSS = """
way . d     = way_x d_x + way_y d_y + way_z d_z
way cross d = (way_y d_z - way_z d_y,
               way_z d_x - way_x d_z,
               way_x d_y - way_y d_x)
"""
SLIDE = "point then = point + share x full_mm x way"
SLEEVE = """
diameter = sqrt(outside^2 - bore^2 + n^2)
n        = outside diameter of the nipple, or the bore if that is more
"""
CUT = "cut_mm = centreline_mm + over_from_mm + over_to_mm + spare_mm + step_mm"


def about_the_frame() -> list[str]:
    """Return how points, directions and units are written."""
    return [
        *paragraph(
            "All tables use one frame. x counts to the player's right, y away from the player, z upwards, "
            "in millimetres (mm) from the zero named case. The player sits before the keys. Lengths are "
            "rounded to 0.0001 mm, unit vectors to nine decimals, angles to 0.0000001 degree: far finer "
            "than any tape, so that sums made from them agree with the tables to a thousandth of a "
            "millimetre. How far off the measures themselves may be is another matter; see "
            "tables/dimensions.csv and the limit survey."
        ),
        "",
        *paragraph(
            "A point is three columns ending in x_mm, y_mm and z_mm. A direction is three columns ending "
            "in _x, _y and _z without a unit: a vector of length one. An empty cell means: nobody knows, "
            "or there is none. true and false are yes and no. A name in one table is the same name in all."
        ),
    ]


def about_centrelines() -> list[str]:
    """Return how a point of a centreline is found."""
    return [
        *paragraph(
            "A tube's centreline is straight pieces and arcs of circles (tables/centreline-pieces.csv), "
            "each from where the one before it ends, without a kink. A point s mm into a straight piece:"
        ),
        *fixed(STRAIGHT),
        *paragraph("A point s mm along an arc of radius R, and the way in which the tube runs there:"),
        *fixed(CENTRELINE),
        *paragraph(
            "So start, tangent and normal are three numbers each, and every line is three sums, for x, y "
            "and z. Along, in all tables, is counted on the centreline from the tube's start; the start of "
            "a piece is at its along_mm. The same centreline follows from tables/corners.csv: straight "
            "lines from corner to corner, each inner corner rounded by the arc of its radius that touches "
            "both lines."
        ),
        "",
        *paragraph("The length to cut of a tube:"),
        *fixed(CUT),
        *paragraph(
            "over_from_mm and over_to_mm are what goes over the nipples at both ends (on_nipple_mm in "
            "tables/nipples.csv); spare_mm and step_mm are for ends that wait loose. Nothing is added for "
            "trim; cut_up_mm is the next whole millimetre. Nobody can tell how far off it is: the tape may "
            "be off at every point. So cut in place all the same; the length is there to notice a tube that "
            "went another way. Nothing is to be cut where these cells are empty."
        ),
    ]


def about_taped() -> list[str]:
    """Return how the centreline of a tube that was taped was inferred from its points."""
    return paragraph(
        "A tube whose basis is taped was found at the points in tables/measured-points.csv, each as far off "
        "as the tape may be (the limit survey). These points are what was found; the line is inferred. Of "
        "straight pieces and arcs the program sought the gentlest line with few corners that leaves each "
        f"nipple straight and passes every point by no more than {SHARE:g} of that doubt. It was allowed to "
        "leave each point by so much, and mostly does: off_mm tells by how much. Where line and points "
        "differ, the points count."
    )


def about_solids() -> list[str]:
    """Return how a solid is rebuilt, and how it moves."""
    return [
        *paragraph(
            "A part is one or more pieces (tables/solids.csv), each convex: a flat outline with a "
            "thickness. The part is everything that is in any of its pieces. A point of a piece:"
        ),
        *fixed(PIECE),
        *paragraph(
            "where w goes from -half_mm to half_mm, and (u, v) lies in the outline: the polygon of its "
            "corners in tables/solid-corners.csv, or, for a disc, the circle of radius_mm about (0, 0). A "
            "piece with half_mm 0 is a triangle of a mesh: a part made of these is a surface. Boards with "
            "openings are cut into pieces round the openings. Passages (tables/passages.csv) are written "
            "in the same way: origin, first, second, through, and corners in u and v."
        ),
        "",
        *paragraph(
            "What moves stands in tables/solids.csv at rest. At a share of its travel, from 0 at rest to 1 "
            "at full travel, a hinge has turned by a = share x full_deg about the line through the axis "
            "point along way, right-handed: with the right thumb along way, the fingers point as it turns. "
            "Where a point of it is then (Rodrigues' formula):"
        ),
        *fixed(TURN),
        *paragraph("with"),
        *fixed(CROSS),
        *paragraph("A slide:"),
        *fixed(SLIDE),
    ]


def about_clearance() -> list[str]:
    """Return what a clearance is measured between, and what is left out."""
    return [
        *paragraph(
            "A clearance is the least distance between a tube's wall and another thing. A tube is all "
            "discs of half its outside diameter square to its centreline, so its ends are flat. Each end "
            "over a nipple is a sleeve besides: a straight round bar with flat ends, from the nipple's tip "
            "back by on_nipple_mm against the nipple's way, stretched to"
        ),
        *fixed(SLEEVE),
        "",
        *items(
            (
                "Against other tubes: the distance of the two centrelines less both half outside diameters "
                "(here ends count as round); and each sleeve against the other tube and its sleeves.",
                "Against what stands still and what moves (fixed: parts with moves false and kind not "
                "keep_clear; moving: moves true): the tube and its sleeves against every piece. What moves "
                "is followed through its whole travel, not only at rest and at the end; the least counts, "
                "and travel_share says where.",
                "Against spaces to be kept clear (kind keep_clear): the tube and its sleeves, through the "
                "whole travel of a space that moves; nothing is excused.",
                "Excused from the part that carries its nipple (carrier in tables/nipples.csv): the sleeve "
                "on that nipple, and the tube from its tip on, as far as its outside diameter, or asks_mm "
                "of that part and half the outside diameter, whichever is more. The tube may not enter it "
                "there either.",
                "Excused from what a tie holds it to (tables/ties.csv), if that stands still: "
                f"{TIE_MM / 2:g} mm and one outside diameter to each side of the tie. A tie to a part "
                "excuses from all its solids.",
                "What is left of a tube between excused lengths ends flat, as if cut there.",
                "Where they overlap the figure is negative: half the outside diameter of the thickest tube "
                "on the same centreline that would not overlap, less that of the tube. It goes no lower "
                "than minus half the outside diameter: then the centreline itself is inside.",
                "low_mm and high_mm: the true least distance is proved to lie between them. Only what is "
                "nearer than the limit named looked to was measured; where near is false, everything of "
                "that sort is farther than low_mm from the tube's wall, and by how much more was not "
                "looked at.",
                "Tubes are taken as drawn, not as they hang; what hangs is estimated by itself in hanging.",
            )
        ),
    ]
