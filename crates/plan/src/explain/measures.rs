//! The why of every measure.

/// Identifier with `*` for one part, drawing, words.
pub(super) const WORDS: &[(&str, &str, &str)] = &[
    (
        "ball.cylinder.overhang",
        "ball.rounding",
        "The farther the tool works from the jaws, the harder it pulls at the spigot: one chuck manual ends at 3.3 spigot diameters (trade facts 3.2). Up to there the tail centre may be drawn away, as boring needs.",
    ),
    (
        "rough.centres.length",
        "",
        "The least blank, or the plan's where that is longer; the step says what each part of it is for.",
    ),
    (
        "rough.centres.blanks",
        "",
        "The branch's length less its checked ends, over blank and saw cut. The chuck's waste is in the blank's own length.",
    ),
    (
        "rough.centres.left",
        "",
        "What is left of the branch behind the last saw cut; often a finial's blank.",
    ),
    (
        "mounting.*.mount.unbalance",
        "",
        "Mass times the distance of its centre from the mounting's axis, from the true solid as it comes to this mounting. By its form a coved ball is balanced on each.",
    ),
    (
        "assembly.hang.weight",
        "",
        "Ball and finials together, from the true volumes and the wood's density; it differs by a tenth from tree to tree. Wire, thread and eye must carry it many times over.",
    ),
    (
        "rough.cylinder.calliper",
        "ball.rounding",
        "The ball and 2 mm for truing. No chuck takes work up exactly where the centres had it.",
    ),
    (
        "rough.spigot.calliper",
        "ball.rounding",
        "Where the jaws close to a full circle they hold all round; the rack says where that is for each.",
    ),
    (
        "rough.spigot.length",
        "ball.rounding",
        "Long enough to hold, short of the jaws' depth, so that the shoulder bears and not the end.",
    ),
    (
        "ball.cylinder.calliper",
        "ball.rounding",
        "The first ladder step is a cylinder exactly as thick as the ball; all later marks are measured from it.",
    ),
    (
        "ball.length.tail",
        "ball.rounding",
        "Where the ball ends at the tail: the waste beyond it carries the tail centre's mark.",
    ),
    (
        "ball.length.middle",
        "ball.rounding",
        "Half the ball. The marks stand on this line and every mounting is aligned to it, so it is kept until the coves take it.",
    ),
    (
        "ball.length.head",
        "ball.rounding",
        "The ball is as long as it is thick. A length that is off makes it pointed or flat, and no test ring mends that.",
    ),
    (
        "ball.length.stub",
        "ball.rounding",
        "Thinner than the bore, so that the bit takes it out, and thick enough for the tail centre.",
    ),
    (
        "ball.length.neck",
        "ball.rounding",
        "Thinner than the bore, so that the bit takes it out, and thick enough to hold the ball while it is rounded.",
    ),
    (
        "ball.facets.*.mark",
        "ball.rounding",
        "A corner cut off evenly leaves sides of equal length: 0.2929 of the diameter in from each corner for 8 sides, then 0.1077, then 0.0502, measured along the sides.",
    ),
    (
        "ball.facets.*.corner.*.station",
        "stick.facets",
        "Where the polygon's corner stands, from the nearer end of the ball. The corners are what a calliper can feel; the middles of the sides touch the finished ball.",
    ),
    (
        "ball.facets.*.corner.*.calliper",
        "ball.rounding",
        "The polygon's diameter at that corner. It is larger than the ball by what is still to come off there.",
    ),
    (
        "ball.round.calliper",
        "ball.rounding",
        "Taken in several directions: a ball is one only if it is the same every way.",
    ),
    (
        "ball.round.ring",
        "gauge.ball",
        "A flat-ended ring or tube touches a true ball all round wherever it is laid; about half the diameter shows errors best.",
    ),
    (
        "ball.marks.index",
        "ball.strip.equator",
        "Holes of the ring from mark to mark. Count spaces, not holes, and tick each mark off; one wrong hole spoils all that follow.",
    ),
    (
        "ball.marks.error",
        "ball.strip.equator",
        "No ring divides evenly, so each mark takes the nearest hole. This is the largest miss, along the ball's surface; spacing by strip and dividers is then truer.",
    ),
    (
        "ball.marks.chord",
        "ball.strip.equator",
        "D sin(180°/n): the straight distance a pair of dividers spans from mark to mark. Step it round once: it must close.",
    ),
    (
        "ball.marks.strip",
        "ball.strip.equator",
        "π D: a strip of paper of this length goes round the middle line once. Paper stretches; check that its ends meet.",
    ),
    (
        "ball.bore.bit",
        "ball.section.axis",
        "The bore takes out neck and stub, carries the ball on its pin, and holds the finials' tenons.",
    ),
    (
        "ball.bore.stop",
        "ball.section.axis",
        "Past the middle, so that the second bore meets the first with no skin between, measured from the face the stop will touch.",
    ),
    (
        "second-end.pin.calliper",
        "ball.section.axis",
        "The pin centres the ball by its bore. A rattle here is a bore that meets itself with a step.",
    ),
    (
        "second-end.pin.length",
        "ball.section.axis",
        "Long enough to hold the ball straight, short enough that the bit never reaches it.",
    ),
    (
        "second-end.bore.bit",
        "ball.section.axis",
        "The same bit, from the other end: the two halves meet in the middle, where no one sees.",
    ),
    (
        "second-end.bore.stop",
        "ball.section.axis",
        "From the sawn face to the middle. Feed gently at the end: the bit grabs as it breaks through.",
    ),
    (
        "mounting.*.mount.drive",
        "mounting.section",
        "The widest ring that bears all round on the wood as it is at this mounting, found on the true solid; the centre named is the largest of the rack that fits.",
    ),
    (
        "mounting.*.mount.tail",
        "mounting.section",
        "As for the drive: a ring or cup centre wanders and splits less than a point.",
    ),
    (
        "mounting.*.mount.span",
        "mounting.section",
        "The distance between the two seats. It tells where to lock the tailstock, and later that nothing has sunk in.",
    ),
    (
        "mounting.*.mount.balance",
        "",
        "The sideways pull at the highest speed told here if the centres miss the ball's middle by 1 mm, or 1/32 in where the plan shows inches: m e ω². Balanced by its form, the ball pulls only by what its centres miss.",
    ),
    (
        "mounting.*.markers.bit",
        "mounting.section",
        "Small enough to vanish in what takes it, wide enough for a centre's point.",
    ),
    (
        "mounting.*.markers.depth",
        "mounting.section",
        "Deeper than the cove by the margin of the plan, so that its mark is there when the cove is cut.",
    ),
    (
        "mounting.*.markers.stop",
        "mounting.section",
        "The full-width depth and the length of the drill's point, 0.3 of its diameter at 118°: that is where the collar sits.",
    ),
    (
        "mounting.*.edges.width",
        "mounting.section",
        "2 R sin β: the two edge lines are parallel circles and run straight round; they do not come together at the poles.",
    ),
    (
        "mounting.*.edges.half",
        "mounting.section",
        "Set off both ways from the middle line of the cove, which runs through both poles.",
    ),
    (
        "mounting.*.edges.ring",
        "gauge.ring.edge",
        "2 R cos β: a ring of this bore sits on the ball exactly along an edge line, on whatever ridges are left of the ball. It is the only gauge for the last coves.",
    ),
    (
        "mounting.*.edges.ridge.*",
        "mounting.section",
        "On a finished ridge no ball is left to mark on. From the bore's rim, which can still be felt, the edge line crosses the ridge at this straight distance.",
    ),
    (
        "mounting.*.flat.calliper",
        "mounting.section",
        "Between the edge lines a plain cylinder is easy to measure; it proves the lines before the hollow is begun.",
    ),
    (
        "mounting.*.flat.turn",
        "mounting.section",
        "Earlier coves leave gaps: the tool is in wood only this share of a turn, and enters it so many times. The more entries, the lighter the cut and the steadier the hand must be.",
    ),
    (
        "mounting.*.cove.calliper",
        "mounting.section",
        "The cove's depth cannot be measured from its edges, which are sharp; over the bottom it can.",
    ),
    (
        "mounting.*.cove.gauge",
        "gauge.cove",
        "r = (w² + s²) / 2s from half the width and the depth. A card of this radius shows where wood still stands.",
    ),
    (
        "mounting.*.cove.turn",
        "mounting.section",
        "The share of a turn in wood at the cove's bottom; the sound is even when it is whole.",
    ),
    (
        "pierce.*.bit",
        "ball.section.equator",
        "The hole follows its marker hole and takes it out, so no trace of the marking stays.",
    ),
    (
        "pierce.*.stop",
        "ball.section.equator",
        "From the cove's bottom, where the bit starts, into the bore and a millimetre more; measured there because nothing else is within reach.",
    ),
    (
        "pierce.*.free",
        "ball.section.equator",
        "How far the bit must stand out of the drill chuck, so that the chuck clears the ridges beside the hole when it is deep enough.",
    ),
    (
        "pierce.*.between.*",
        "ball.section.equator",
        "Parallel holes come nearer to one another towards the middle: 2 ρ sin(δ/2) less a diameter at the radius ρ. Where it is nought they run together.",
    ),
    (
        "finial.*.rough.calliper",
        "finial.END.section",
        "A millimetre over the widest shape: enough to true it in the jaws, and no more to turn away.",
    ),
    (
        "finial.*.rough.guide.ratio",
        "finial.END.profile",
        "Guidance, no rule: largest to smallest about three to one looks right to many turners. Thin parts look thinner on the lathe than off.",
    ),
    (
        "finial.*.rough.guide.golden",
        "finial.END.profile",
        "Guidance, no rule: parts divided as 1 to 1.618 please many eyes. Some end a part here, with the weight in the first third.",
    ),
    (
        "finial.*.hanger.bit",
        "finial.END.section",
        "A pilot for the hanger's shank, drilled while the wood round it is thick.",
    ),
    (
        "finial.*.hanger.stop",
        "finial.END.section",
        "The hole's depth and the waste at the tip, from the end that the stop will touch.",
    ),
    (
        "finial.*.hanger.wall",
        "finial.END.section",
        "What is left round the pilot where the shape is thinnest. A shank wedges it apart.",
    ),
    (
        "finial.*.shape.*.from",
        "finial.END.stick",
        "From the shoulder, the one place that stays until the last cut; all stations are measured from it.",
    ),
    (
        "finial.*.shape.*.to",
        "finial.END.stick",
        "Where the shape ends, from the shoulder, on the tip side, which is cut first.",
    ),
    (
        "finial.*.shape.*.root",
        "finial.END.section",
        "The diameter at the shape's shoulder side. Part down to it before the shape is cut.",
    ),
    (
        "finial.*.shape.*.widest",
        "finial.END.section",
        "The top of the bead or ball; leave the pencil line on it until the last cut.",
    ),
    (
        "finial.*.shape.*.tip",
        "finial.END.section",
        "The diameter at the shape's tip side. It is cut first, while the root is still thick.",
    ),
    (
        "finial.*.tenon.calliper",
        "finial.END.section",
        "The bore less the room for glue, rounded down so that it enters.",
    ),
    (
        "finial.*.tenon.length",
        "finial.END.section",
        "Long enough to hold, short enough not to show in the pierced holes.",
    ),
    (
        "finial.*.tenon.undercut",
        "ball.section.axis",
        "The bore's rim stands higher on the ridges than where the shoulder's edge will lie. Hollowed by this, the shoulder bears with its edge and hides the rim.",
    ),
    (
        "finial.*.part.bend",
        "finial.END.section",
        "A rod held at the jaws, with this outline and the wood's stiffness along the grain. It is what the sanding hand meets; support it with the fingers' backs, or sand with less.",
    ),
    (
        "finial.*.part.swing",
        "finial.END.section",
        "Its own pitch. While it is several times the lathe's turns the tip stays where it is.",
    ),
    (
        "finial.*.part.slender",
        "finial.END.section",
        "Length over thinnest neck. Spindles between centres begin to bow beyond 11 (trade facts 5.7); held at one end, with the tip cut first, more is possible.",
    ),
    (
        "assembly.dry.rim",
        "ball.section.axis",
        "High on the ridges, low on the coves: what a flat shoulder leaves open.",
    ),
    (
        "assembly.dry.gap.*",
        "ball.section.axis",
        "The gap under a flat shoulder at the bore's rim, from a ridge to the middle of the cove beside it; it repeats at every mark.",
    ),
    (
        "assembly.glue.gap",
        "finial.END.section",
        "The room that the bore leaves the tenon now. A thin line is the strongest.",
    ),
    (
        "assembly.hang.centre",
        "ball.section.axis",
        "The whole piece's centre of mass below the eye. Hung from one point it comes to rest under it.",
    ),
    (
        "assembly.hang.tilt",
        "ball.section.axis",
        "How far the axis leans when it hangs: the centre of mass beside the axis over its depth below the eye. By its form the piece hangs straight; a millimetre of crooked finial leans it by what is told here.",
    ),
    (
        "assembly.home.bore.across",
        "ball.section.axis",
        "Wood handbook shrinkage across the rings, from the moisture when turned to the one at home.",
    ),
    (
        "assembly.home.bore.along",
        "ball.section.axis",
        "Wood handbook shrinkage along the rings, about twice that across them: a round bore becomes oval.",
    ),
    (
        "assembly.home.tenon.across",
        "finial.END.section",
        "The tenon moves like the bore if it is the same wood at the same moisture, and if its rings lie the same way.",
    ),
    (
        "assembly.home.tenon.along",
        "finial.END.section",
        "The tenon's other way, along its growth rings; it shrinks the more of the two.",
    ),
    (
        "assembly.home.slack.least",
        "ball.section.axis",
        "The bore's narrow way less the tenon's wide way: rings crossed, the worst that can happen. Below nought it wedges.",
    ),
    (
        "assembly.home.slack.most",
        "ball.section.axis",
        "The bore's wide way less the tenon's narrow way: what the glue has to bridge there.",
    ),
    (
        "assembly.home.tenon.then",
        "finial.END.section",
        "A tenon turned today at this diameter just enters there without force, rings crossed. Leave the room for glue as well.",
    ),
    (
        "assembly.home.ball.across",
        "ball.section.equator",
        "The ball's diameter there, across the growth rings, by the published shrinkage of its wood.",
    ),
    (
        "assembly.home.ball.along",
        "ball.section.equator",
        "The ball's diameter there, along the growth rings; the difference is how oval it goes.",
    ),
];
