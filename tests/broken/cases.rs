//! Broken TOML files: quantities, and what one file says that another does not bear out.

use super::Case;
use super::Change::{Add, Edit};

pub const QUANTITIES: &[Case] = &[
    (&["number-without-unit"], &[Edit("kitchen.toml", "\"4.8 l\"", "4.8")]),
    (&["number-without-unit"], &[Edit("formulas/bun.toml", "milk = \"60 %\"", "milk = \"60\"")]),
    (&["decimal-comma"], &[Edit("kitchen.toml", "\"4.8 l\"", "\"4,8 l\"")]),
    (&["negative-amount"], &[Edit("formulas/bun.toml", "\"60 g\"", "\"-60 g\"")]),
    (&["negative-amount"], &[Edit("kitchen.toml", "seats = 2", "seats = -2")]),
    (&["too-large"], &[Edit("kitchen.toml", "seats = 2", "seats = 4000000000")]),
    (&["too-large"], &[Edit("formulas/bun.toml", "\"60 g\"", "\"99999999999 g\"")]),
    (&["unknown-unit"], &[Edit("formulas/bun.toml", "\"60 g\"", "\"60 cups\"")]),
    (&["unreadable"], &[Edit("formulas/bun.toml", "\"60 g\"", "\"a handful\"")]),
    (&["seconds"], &[Edit("lessons/bun.toml", "\"45 to 70 min\"", "\"90 s\"")]),
    (&["usual-missing"], &[Edit("lessons/bun.toml", "\"6 to 11 min, usually 8\"", "\"6 to 11 min\"")]),
    (&["usual-outside"], &[Edit("lessons/bun.toml", "usually 8", "usually 12")]),
    (
        &["range-backwards"],
        &[Edit("lessons/bun.toml", "id = \"bake\"", "id = \"bake\"\ncarry = \"20 to 8 min\"")],
    ),
    (
        &["no-such-day"],
        &[
            Edit("course.toml", "2027-03-06", "\"2027-13-06\""),
            Edit("lessons/bun.toml", "id = \"mix\"", "id = \"mix\"\nsession = \"sat\""),
        ],
    ),
    (&["toml-slip"], &[Edit("course.toml", "\"One bun\"", "“One bun”")]),
    (&["absurd-temperature"], &[Edit("lessons/bun.toml", "\"170 C\"", "\"1700 C\"")]),
    (
        &["oven-below-core"],
        &[Edit("lessons/bun.toml", "heat = \"170 C\"", "heat = \"170 F\"\ncore = \"90 to 95 C\"")],
    ),
    (&["heat-without-oven"], &[Edit("lessons/bun.toml", "at = \"oven\"\n", "")]),
    (
        &["no-loads"],
        &[Edit(
            "lessons/bun.toml",
            "at = \"oven\"\nheat = \"170 C\"\nhands = \"nobody\"",
            "hands = \"staff\"",
        )],
    ),
    (&["nought-size"], &[Edit("kitchen.toml", "rack = \"60 x 40 cm\"", "rack = \"60 x 0 cm\"")]),
    (&["wrong-type"], &[Edit("kitchen.toml", "\"21 C\"", "true")]),
    (&["wrong-type"], &[Edit("kitchen.toml", "count = 4", "count = 4.5")]),
    (
        &["wrong-type"],
        &[Edit("lessons/bun.toml", "makes = { pieces = 4, for-each = \"student\" }", "makes = 4")],
    ),
];

pub const COURSE: &[Case] = &[
    (&["format-number"], &[Edit("course.toml", "format = 1\n", "")]),
    (&["format-number"], &[Edit("course.toml", "format = 1", "format = 2")]),
    (&["missing-key"], &[Edit("course.toml", "host = \"A kitchen\"\n", "")]),
    (&["missing-key"], &[Edit("course.toml", "host = \"A kitchen\"", "host = \"\"")]),
    (&["unknown-key"], &[Edit("course.toml", "host =", "contact = \"x\"\nhosst = \"y\"\nhost =")]),
    (&["unknown-word"], &[Edit("course.toml", "currency = \"EUR\"", "currency = \"Euro\"")]),
    (&["unknown-word"], &[Edit("course.toml", "currency = \"EUR\"", "currency = \"YEN\"")]),
    (&["unknown-word"], &[Edit("course.toml", "\"eu14\"", "\"eu15\"")]),
    (&["unknown-time-zone"], &[Edit("course.toml", "Europe/Dublin", "Europe/Dubin")]),
    (
        &["no-session"],
        &[Edit(
            "course.toml",
            "[[sessions]]\nid = \"sat\"\ndate = 2027-03-06\nfrom = \"13:00\"\nto = \"17:00\"\n",
            "",
        )],
    ),
    (&["no-such-day"], &[Edit("course.toml", "date = 2027-03-06", "date = \"2027-02-30\"")]),
    (&["session-backwards"], &[Edit("course.toml", "to = \"17:00\"", "to = \"00:30\"")]),
    // Past midnight is fine when the end has its date.
    (&[], &[Edit("course.toml", "to = \"17:00\"", "to = \"2027-03-07 00:30\"")]),
    (&["session-too-long"], &[Edit("course.toml", "to = \"17:00\"", "to = \"2027-03-08 17:00\"")]),
    (
        &["sessions-overlap"],
        &[Add(
            "course.toml",
            "[[sessions]]\nid = \"late\"\ndate = 2027-03-06\nfrom = \"16:30\"\nto = \"18:00\"\n",
        )],
    ),
    (
        &["duplicate-id"],
        &[Add(
            "course.toml",
            "[[sessions]]\nid = \"sat\"\ndate = 2027-03-07\nfrom = \"10:00\"\nto = \"12:00\"\n",
        )],
    ),
    // Dublin's clocks go forward over 2027-03-28 01:00 and back over 2027-10-31 01:00 (IANA time zone database).
    (
        &["time-skipped"],
        &[Edit("course.toml", "date = 2027-03-06\nfrom = \"13:00\"", "date = 2027-03-28\nfrom = \"01:30\"")],
    ),
    (
        &["time-twice"],
        &[Edit("course.toml", "date = 2027-03-06\nfrom = \"13:00\"", "date = 2027-10-31\nfrom = \"01:30\"")],
    ),
    (&["staff-not-there"], &[Add("course.toml", "staff = \"14:00 to 18:00\"\n")]),
    (
        &["staff-not-there"],
        &[Add(
            "course.toml",
            "[[presence]]\nwho = \"A teacher\"\ndate = 2027-03-06\nthere = \"13:00 to 16:00\"\n",
        )],
    ),
    (
        &["outside-staff-hours"],
        &[Add(
            "course.toml",
            "[[presence]]\nwho = \"A teacher\"\ndate = 2027-03-06\nthere = \"12:00 to 17:00\"\n",
        )],
    ),
    (
        &["outside-staff-hours"],
        &[Add(
            "course.toml",
            "[[presence]]\nwho = \"A teacher\"\ndate = 2027-03-06\nthere = \"13:00 to 17:00\"\nbreaks = \"12:00 to 12:10\"\n",
        )],
    ),
    (
        &["unknown-person"],
        &[Add(
            "course.toml",
            "[[presence]]\nwho = \"A techer\"\ndate = 2027-03-06\nbreaks = \"15:00 to 15:10\"\n",
        )],
    ),
    (&["missing-key"], &[Add("course.toml", "[[presence]]\nwho = \"A teacher\"\ndate = 2027-03-06\n")]),
    (
        &["no-hours-in-session"],
        &[
            Edit("course.toml", "teacher = \"A teacher\"", "teacher = \"A teacher\"\nhelpers = [\"Ada\"]"),
            Edit(
                "course.toml",
                "to = \"17:00\"\n",
                "to = \"17:00\"\nstaff = [\"2027-03-05 15:00 to 20:00\", \"13:00 to 17:00\"]\n\n[[presence]]\nwho = \"Ada\"\ndate = 2027-03-05\nthere = \"15:00 to 18:00\"\n",
            ),
        ],
    ),
    (&["unreadable"], &[Add("course.toml", "staff = \"10:00-18:00\"\n")]),
    (
        &["unknown-session"],
        &[Add(
            "course.toml",
            "[[steps]]\nid = \"tea\"\nsessions = [\"sun\"]\npause = true\ntakes = \"15 min\"\n",
        )],
    ),
    (
        &["unknown-lesson", "unknown-step"],
        &[Add(
            "course.toml",
            "[[steps]]\nid = \"tea\"\nafter = [\"bum.bake\", \"bun.brake\"]\npause = true\ntakes = \"15 min\"\n",
        )],
    ),
    // The session lasts 240 minutes.
    (
        &["outside-session"],
        &[Add(
            "course.toml",
            "[[steps]]\nid = \"tea\"\nwhen = \"between 400 and 420 min\"\npause = true\ntakes = \"15 min\"\n",
        )],
    ),
    (
        &[],
        &[Add(
            "course.toml",
            "[[steps]]\nid = \"tea\"\nwhen = \"between 225 and 420 min\"\npause = true\ntakes = \"15 min\"\n",
        )],
    ),
    (&["unreadable"], &[Edit("course.toml", "date = 2027-03-06", "date = \"06/03/2027\"")]),
    (&["toml-slip"], &[Edit("course.toml", "date = 2027-03-06", "date = 06-03-2027")]),
    (&["no-such-day"], &[Edit("course.toml", "date = 2027-03-06", "date = \"2027-13-06\"")]),
    (&["missing-key"], &[Edit("course.toml", "lessons = [\"bun\"]\n", "")]),
    (&["unknown-word"], &[Edit("course.toml", "lessons =", "plan = { grid = \"7 min\" }\nlessons =")]),
];

pub const KITCHEN_AND_PANTRY: &[Case] = &[
    // What cannot be read is told once, and not as nothing.
    (
        &["unknown-unit"],
        &[Edit("pantry.toml", "of = \"1 kg\", price = \"1.60\"", "of = \"1 big bag\", price = \"1.60\"")],
    ),
    (
        &["voltage-unknown"],
        &[
            Edit("kitchen.toml", "room =", "circuits = { wall = \"16 A\" }\nroom ="),
            Edit("kitchen.toml", "id = \"mixer\"", "id = \"mixer\"\ncircuit = \"wall\""),
        ],
    ),
    (
        &[],
        &[
            Edit("kitchen.toml", "room =", "volts = 230\ncircuits = { wall = \"16 A\" }\nroom ="),
            Edit("kitchen.toml", "id = \"mixer\"", "id = \"mixer\"\ncircuit = \"wall\""),
        ],
    ),
    // A circuit with no appliance.
    (
        &["circuit-without-appliance"],
        &[Edit("kitchen.toml", "room =", "volts = 230\ncircuits = { wall = \"16 A\" }\nroom =")],
    ),
    // A rack of no depth.
    (&["nought-size"], &[Edit("kitchen.toml", "shelf = \"55 x 45 cm\"", "shelf = \"55 x 0 cm\"")]),
    (&["unknown-equipment"], &[Edit("kitchen.toml", "id = \"mixer\"", "id = \"mixer\"\ncircuit = \"wall\"")]),
    (&["duplicate-id"], &[Edit("kitchen.toml", "id = \"fridge\"", "id = \"oven\"")]),
    (&["nought-size"], &[Edit("kitchen.toml", "count = 2, seats", "count = 0, seats")]),
    (&["nought-size"], &[Edit("pantry.toml", "of = \"1 kg\"", "of = \"0 kg\"")]),
    (&["other-currency"], &[Edit("pantry.toml", "\"1.60\"", "\"1.60 USD\"")]),
    (&["unknown-supplier"], &[Edit("pantry.toml", "supplier = \"shop\"", "supplier = \"shp\"")]),
    (
        &["allergens-not-read"],
        &[Edit("pantry.toml", "{ contains = [\"milk\"], checked = \"2027-02-20\" }", "\"none\"")],
    ),
    (&["loose-allergen"], &[Edit("pantry.toml", "[\"hazelnut\"]", "[\"nuts\"]")]),
    (
        &["more-than-all"],
        &[Edit("pantry.toml", "name = \"Milk\"", "name = \"Milk\"\ncomposition = { water = \"880 %\" }")],
    ),
    (
        &["composition-adds-up-wrong"],
        &[Edit(
            "pantry.toml",
            "name = \"Milk\"",
            "name = \"Milk\"\ncomposition = { water = \"80 %\", fat = \"30 %\" }",
        )],
    ),
    (
        &["composition-adds-up-wrong"],
        &[Edit(
            "pantry.toml",
            "name = \"Milk\"",
            "name = \"Milk\"\ncomposition = { sugars = \"7 %\", carbohydrate = \"4.8 %\" }",
        )],
    ),
    (
        &["unknown-ingredient"],
        &[Edit("pantry.toml", "name = \"Milk\"", "name = \"Milk\"\nstand-ins = { mlik = \"100 %\" }")],
    ),
    (&["unknown-word"], &[Edit("pantry.toml", "kind = \"flour\"", "kind = \"flower\"")]),
];

pub const FORMULA: &[Case] = &[
    (&["unknown-ingredient"], &[Edit("formulas/bun.toml", "{ flour =", "{ flower = \"1 %\", flour =")]),
    (&["no-flour"], &[Edit("formulas/bun.toml", "{ flour = \"100 %\", milk", "{ milk")]),
    (&["no-flour"], &[Edit("formulas/bun.toml", "flour = \"100 %\"", "flour = \"0 %\"")]),
    (&["share-basis"], &[Edit("formulas/bun.toml", "milk = \"60 %\"", "milk = \"60 g\"")]),
    (&["share-basis"], &[Edit("formulas/bun.toml", "milk = \"60 %\"", "milk = { flour = \"60 %\" }")]),
    (
        &["more-than-all"],
        &[Edit("formulas/bun.toml", "basis = \"flour\"", "basis = \"flour\"\nloses = \"100 %\"")],
    ),
    (
        &["circular-parts"],
        &[
            Edit("formulas/bun.toml", "milk = \"60 %\"", "filling = \"60 %\""),
            Edit("formulas/bun.toml", "hazelnuts = \"70 %\"", "dough = \"70 %\""),
        ],
    ),
    (&["no-holding-rule"], &[Edit("formulas/bun.toml", "keep = \"cold\"\n", "")]),
    (
        &["reserved-name"],
        &[Add("formulas/bun.toml", "[parts.sheet]\nbasis = \"whole\"\nof = { hazelnuts = \"100 %\" }\n")],
    ),
    (&["missing-key"], &[Edit("formulas/bun.toml", "dough = \"60 g\", filling = \"20 g\", ", "")]),
    (&["part-not-used"], &[Edit("formulas/bun.toml", "filling = \"20 g\", ", "")]),
    (
        &["part-not-used"],
        &[Add("formulas/bun.toml", "[parts.glaze]\nbasis = \"whole\"\nof = { hazelnuts = \"100 %\" }\n")],
    ),
    // Its lines say how much.
    (&[], &[Add("formulas/bun.toml", "[parts.top]\nbasis = \"piece\"\nof = { hazelnuts = \"3 g\" }\n")]),
    (&["negative-amount"], &[Edit("formulas/bun.toml", "dough = \"60 g\"", "dough = \"-60 g\"")]),
    (&["unknown-unit"], &[Edit("formulas/bun.toml", "dough = \"60 g\"", "dough = \"33 % of dough\"")]),
    (&["unknown-key"], &[Edit("formulas/bun.toml", "filling = \"20 g\"", "fililng = \"20 g\"")]),
    (&["unknown-equipment"], &[Edit("formulas/bun.toml", "tray = \"tray\"", "tray = \"tary\"")]),
    (
        &["braid-strands"],
        &[Edit("formulas/bun.toml", "tray = \"tray\"", "tray = \"tray\", braid = \"3 over 2, 1 over 2\"")],
    ),
    (
        &["braid-strands"],
        &[Edit("formulas/bun.toml", "tray = \"tray\"", "tray = \"tray\", strands = 3, braid = \"4 over 2\"")],
    ),
    (
        &["loose-allergen"],
        &[Add(
            "formulas/bun.toml",
            "[variants.free]\nfree-from = [\"nuts\"]\nfilling = { hazelnuts = \"0 %\" }\n",
        )],
    ),
    (
        &["unknown-key"],
        &[Add(
            "formulas/bun.toml",
            "[variants.free]\nfree-from = [\"hazelnut\"]\nfiling = { hazelnuts = \"0 %\" }\n",
        )],
    ),
];

pub const LESSON: &[Case] = &[
    (
        &["two-sorts-of-time"],
        &[Edit(
            "lessons/bun.toml",
            "stands = \"45 to 70 min\"",
            "stands = \"45 to 70 min\"\ntakes = \"5 min\"",
        )],
    ),
    (&["missing-key"], &[Edit("lessons/bun.toml", "stands = \"45 to 70 min\"\n", "")]),
    (&["missing-key"], &[Edit("lessons/bun.toml", "heat = \"170 C\"\n", "")]),
    (&["duplicate-id"], &[Edit("lessons/bun.toml", "id = \"rise\"", "id = \"mix\"")]),
    (&["unknown-step"], &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nafter = [\"raise\"]")]),
    (&["unknown-step"], &[Add("lessons/bun.toml", "[say]\nroll = \"Roll.\"\n")]),
    (
        &["said-twice"],
        &[Edit(
            "lessons/bun.toml",
            "[[steps]]\nid = \"fill\"",
            "[say]\nfill = \"Spread.\"\n[[steps]]\nid = \"fill\"\nsay = \"Spread.\"",
        )],
    ),
    (
        &["unknown-part"],
        &[Edit("lessons/bun.toml", "on = [\"dough\", \"filling\"]", "on = [\"dough\", \"fillling\"]")],
    ),
    (&["loop-of-steps"], &[Edit("lessons/bun.toml", "id = \"mix\"", "id = \"mix\"\nafter = [\"bake\"]")]),
    (&["loop-of-steps"], &[Edit("lessons/bun.toml", "id = \"mix\"", "id = \"mix\"\nafter = [\"mix\"]")]),
    (&["chain-joined"], &[Edit("lessons/bun.toml", "on = \"piece\"", "on = \"dough\"")]),
    (&["demo-on-chain"], &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\ndemo = true")]),
    (&["demo-on-chain"], &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nstages = [\"rise\"]")]),
    (
        &["until-before"],
        &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nuses = [\"pin until rise\"]")],
    ),
    (&["unknown-equipment"], &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nuses = [\"pni\"]")]),
    (
        &["kitchen-lacks"],
        &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nuses = [\"tin until bake\"]")],
    ),
    (&["kitchen-lacks"], &[Edit("lessons/bun.toml", "at = \"room\"", "at = \"warm\"")]),
    // A plural is the thing itself.
    (&[], &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nuses = [\"2 trays until bake\"]")]),
    (
        &["ahead-off-chain"],
        &[Edit(
            "lessons/bun.toml",
            "[[steps]]\nid = \"mix\"",
            "made-ahead = { dough = \"always, up to bake\" }\n[[steps]]\nid = \"mix\"",
        )],
    ),
    (&["unknown-session"], &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nsession = \"sun\"")]),
    (&["unknown-word"], &[Edit("lessons/bun.toml", "hands = \"nobody\"", "hands = \"noone\"")]),
    (
        &["unknown-word"],
        &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\ncaution = [\"hot-tins\"]")],
    ),
    (
        &["unknown-word"],
        &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\ndraw = [\"spread\", \"cut-slicez\"]")],
    ),
];
