//! The why of every finding.

/// Identifier, drawing, words.
pub(super) const WORDS: &[(&str, &str, &str)] = &[
    (
        "hold.over",
        "ball.section.axis",
        "The solver loads the true solid as this step does, and finds where the wood is stressed most. Here the load taken is more than the wood's mean strength: most pieces would break. It compares designs and steps, and is no licence to push harder where it is quiet.",
    ),
    (
        "hold.near",
        "ball.section.axis",
        "Wood differs from tree to tree by a fifth and more. The load taken is within what the mean stands, and above what the weakest tree in twenty does.",
    ),
    (
        "hold.split",
        "ball.section.axis",
        "At a feather edge or beside a hole the fibres part before anything else gives. More than half of what weak wood stands is used there; a light cut and a sharp tool keep it whole.",
    ),
    (
        "hold.fall",
        "ball.section.axis",
        "The finished piece is taken to fall and land on its worst place. What it stands then says how it will live on a shelf or a tree, not how it is turned.",
    ),
    (
        "pith.left",
        "ball.section.equator",
        "The pith is weak, and the wood round it shrinks most: star checks run out from it as it dries. The bore takes out a pith that lies within its radius, less 2 mm of wood that checks along with it. One that lies farther out ends on the ball's surface and in its coves.",
    ),
    (
        "blank.across",
        "ball.rounding",
        "The blank is roughed to a cylinder 2 mm over the ball and trued again in the chuck, because no chuck takes it up exactly where the centres held it. A blank that is only as thick as the ball comes out with flats.",
    ),
    (
        "blank.length",
        "ball.rounding",
        "Along the axis stand, from the headstock: the spigot in the jaws, a collar whose square shoulder bears on the jaws, a neck of two parting cuts to saw through, the ball as long as it is thick, and waste for the tail centre's mark. If one is missing the work cannot be held or cannot be sawn off clean.",
    ),
    (
        "lathe.swing",
        "",
        "The corners of a square blank sweep a circle 1.41 times its side. It must pass over the bed, and over the tool rest's banjo, with room to spare; turn it by hand first.",
    ),
    (
        "lathe.length",
        "",
        "Between the two centres must fit the blank and the length of both centres. What does not fit cannot be started, whatever its diameter.",
    ),
    (
        "jaws.large",
        "ball.rounding",
        "Jaws close on a spigot only down to their smallest grip. A spigot must stay inside the roughed cylinder with a shoulder of 2 mm all round, or nothing bears on the jaws and the work rocks.",
    ),
    (
        "spigot.grip",
        "ball.rounding",
        "Jaws hold best where they close to a full circle, 2 to 6 mm open (trade facts 3.1, 3.2). Far from it they touch with eight corners, bruise the wood and let go.",
    ),
    (
        "spigot.depth",
        "ball.rounding",
        "The square shoulder must bear on the jaws' tops. A spigot that reaches the bottom first leaves a gap there, and the work wobbles on its end.",
    ),
    (
        "holding.overhang",
        "ball.rounding",
        "The tool pushes at the far end and the spigot holds at the near one, so the pull on the jaws grows with the length. One chuck manual ends its table at 150 mm on a 45 mm spigot, 3.3 times; beyond it the tail centre must stay up.",
    ),
    (
        "neck.shows",
        "ball.rounding",
        "Neck and tail stub hold the ball and are then in the way. Thinner than the bore, the bit takes them out whole and no trace stays; thicker, a ring of them is left on the pole to be turned away by hand.",
    ),
    (
        "index.marks",
        "ball.section.equator",
        "An index head has rings of holes. A count of marks that divides a ring is exact; one that does not is off by up to half a hole. On the ball that is the pin's half step times its radius; a millimetre or more is seen, because the last land comes out narrower than the others.",
    ),
    (
        "seat.air",
        "mounting.section",
        "A centre needs wood on its axis. Here an earlier cut has taken it, so there is nothing to drive.",
    ),
    (
        "seat.ridge",
        "ball.section.equator",
        "Coves lie a quarter turn from the marks they are held at. With marks divisible by four a later centre comes to the bottom of an earlier cove, a good seat; with two over, it comes to the crest between two coves, where a centre slips off and splits it.",
    ),
    (
        "centre.wide",
        "mounting.section",
        "A ring or spur drive must bear all round. Wider than the seat, it stands on two edges only and walks.",
    ),
    (
        "marker.shallow",
        "mounting.section",
        "The marker hole keeps a mark through the cut. If it ends just below the cove's bottom, a cut a little too deep takes it, and the mark for a later mounting is gone.",
    ),
    (
        "marker.shows",
        "ball.section.equator",
        "Marker holes are meant to vanish inside the pierced holes or the bore. One that is wider than what takes it, or where nothing is pierced, stays to be seen.",
    ),
    (
        "marker.bore",
        "ball.section.equator",
        "A marker hole that breaks into the bore has no bottom, so a centre's point finds nothing to stand in, and the bit tears the bore's wall as it breaks through.",
    ),
    (
        "cove.bore",
        "ball.section.equator",
        "The cove's bottom circle must stay outside the bore. Where it does not, the ball is cut through at its middle while it still has to be held.",
    ),
    (
        "cove.gouge",
        "gauge.cove",
        "A gouge cuts a hollow no tighter than its own nose, bevel rubbing. In a tighter one its wings catch, and the cove comes out flat-bottomed or torn.",
    ),
    (
        "rim.gap",
        "ball.section.equator",
        "Between neighbouring holes, on the circle of the coves' bottoms, stands 2 ρ sin(δ/2) less one hole's diameter, ρ the bottom's radius and δ the angle from mark to mark. It is what the eye sees as the rib, and it breaks out when the bit comes through.",
    ),
    (
        "holes.meet",
        "ball.section.equator",
        "Parallel holes towards one centre run together inside the radius h / sin(δ/2), h the hole's radius. That hollows the ball: what holds its halves together are ribs from that radius to the surface. Nothing is wrong with it, but handle it by its poles.",
    ),
    (
        "web.thin",
        "ball.section.equator",
        "The thinnest wood between two cuts that do not meet, measured on the true solid as the sum of the distances to both. 2 to 3 mm or one and a half walls is what turners ask for (trade facts 7.5); less breaks when the bit comes through or when it is handled.",
    ),
    (
        "neck.thin",
        "ball.section.equator",
        "The largest ball that can roll through the wood from one bulk to the other. It tells how the piece hangs together better than any wall: it is where it snaps when it falls.",
    ),
    (
        "pieces.fall",
        "ball.section.equator",
        "Counted on the true solid: the cuts together separate the wood. It falls apart under the tool.",
    ),
    (
        "edge.feather",
        "ball.section.equator",
        "The angle of wood at the sharpest edge. Below about 30° the fibres at the edge have nothing behind them: the tool pulls them out and a hand dents them.",
    ),
    (
        "bit.missing",
        "card.depths",
        "A hole is as wide as a bit that the shop has. A number that no bit cuts is no number to work by, so the nearest the rack has are offered, each tried on the solid.",
    ),
    (
        "bit.reach",
        "card.depths",
        "A bit drills as deep as its flutes or its shank allow. Deeper, the chuck meets the wood or the chips have no way out and burn.",
    ),
    (
        "drill.fouls",
        "ball.section.equator",
        "A drill chuck is wider than its bit. Where the bit must go to the bottom of a cove, the ridges beside it stand higher, and a short bit brings the chuck down on them before the hole is deep enough. The bit's free length is held against the highest wood within the chuck's radius, on the true solid.",
    ),
    (
        "speed.rule",
        "",
        "Revolutions a minute times diameter in inches is 6000 to 9000 for sound, round work: a rim of 8 to 12 metres a second. Above it a piece that lets go flies harder than a face shield is made for. Schools differ by a factor of two; slower is never wrong.",
    ),
    (
        "speed.lathe",
        "",
        "The lathe's own steps decide what can be set. Where the wanted speed lies outside them the nearest slower one is told.",
    ),
    (
        "finial.blank",
        "finial.END.section",
        "The blank must hold the widest shape and a millimetre to turn it round.",
    ),
    (
        "finial.jaws",
        "",
        "A finial is turned with one end gripped and the other free at last. Jaws that do not close on its blank leave only the two centres, and the tip could not be finished.",
    ),
    (
        "finial.neck",
        "finial.END.section",
        "Thinnest necks met are 2 to 3 mm in dense wood and 1.5 mm in an expert's hands (trade facts 5.4). Stiffness goes with the fourth power of the thickness: half as thick gives way sixteen times as far.",
    ),
    (
        "finial.whip",
        "finial.END.section",
        "The finished finial is a rod held at the jaws. Its bend under a push of 1 N at the tip is summed over its true outline, with the wood's stiffness along the grain. Cut tip first, each shape is finished while all behind it is thick; it is the sanding at the end that meets the whole whip.",
    ),
    (
        "finial.rings",
        "finial.END.section",
        "Every rod swings by itself at a pitch of its own; for a straight round one 0.14 d/L² √(E/ρ) times a second. When the lathe's turns come near, small pushes add up and the tip begins to circle. Three times clear is asked for.",
    ),
    (
        "finial.tip",
        "finial.END.section",
        "A tip under 1 mm of radius pricks and breaks. Where children reach it local rules on points and small parts hold, and they are stricter than this.",
    ),
    (
        "finial.shoulder",
        "finial.END.section",
        "The shoulder must cover the bore with a millimetre to spare all round, or the finial drops in or a crack of dark shows.",
    ),
    (
        "finial.rim",
        "ball.section.axis",
        "Coves cross the poles, so the bore's rim is not flat: it is high on the ridges and low on the middles of the coves. A flat shoulder touches the high places only. Facing the rim, or hollowing the shoulder, hides it.",
    ),
    (
        "finial.tenon",
        "ball.section.axis",
        "Below the pierced holes' upper edge the bore has windows. A tenon that reaches there is seen through them, and has less wood to hold it.",
    ),
    (
        "hanger.wall",
        "finial.END.section",
        "A brass shank wedges the wood apart as it goes in. Thin tops split (trade facts 5.9): drill the pilot, wax the shank, turn it in by hand.",
    ),
    (
        "fit.tight",
        "ball.section.axis",
        "Wood shrinks about twice as much along its growth rings as across them. Where tenon and bore lie crossed, the bore's narrow way closes on the tenon's wide way. Both are worked out from the wood's published shrinkage between the moisture when turned and the one where it will live; below nought the tenon becomes a wedge.",
    ),
    (
        "fit.loose",
        "ball.section.axis",
        "White glue wants a line of a tenth of a millimetre and loses strength as it thickens (trade facts 5.6); epoxy fills about half a millimetre. Beyond that the finial stands crooked and comes loose.",
    ),
    (
        "ball.oval",
        "ball.section.equator",
        "A ball turned wet shrinks twice as much one way as the other and becomes an egg, and its round holes with it. By how much is its diameter times the difference of the two shrinkages.",
    ),
    (
        "wood.unsettled",
        "",
        "Wood follows the air, about one point of moisture for five of humidity, in weeks for thin pieces and months for thick. Until it has settled, what was turned round today is oval tomorrow and marks do not meet.",
    ),
    (
        "wood.caution",
        "",
        "Reported reactions to a wood's dust, from published lists. They differ from person to person and grow with each exposure; that none is reported is no proof of safety.",
    ),
];
