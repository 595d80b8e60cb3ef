//! Broken files and broken rolls.

use super::Case;
use super::Change::{Add, Edit, Gone, Refused, Whole};

pub const FILES: &[Case] = &[
    (&["not-a-course"], &[Gone("course.toml")]),
    (&["missing-file"], &[Gone("kitchen.toml")]),
    (&["missing-file"], &[Gone("pantry.toml")]),
    (&["missing-file"], &[Gone("roll.csv")]),
    (&["missing-file"], &[Edit("course.toml", "lessons = [\"bun\"]", "lessons = [\"bnu\"]")]),
    (&["missing-file"], &[Edit("lessons/bun.toml", "formula = \"bun\"", "formula = \"croissant\"")]),
    (
        &["missing-file"],
        &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nphoto = \"photos/fill.jpg\"")],
    ),
    (
        &["path-leaves-folder"],
        &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nphoto = \"../fill.jpg\"")],
    ),
    (
        &["path-leaves-folder"],
        &[Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nphoto = \"C:\\\\fill.jpg\"")],
    ),
    (
        &["file-refused"],
        &[
            Edit("lessons/bun.toml", "id = \"fill\"", "id = \"fill\"\nphoto = \"photos/fill.jpg\""),
            Refused("photos/fill.jpg", "is a link, and links are not followed"),
        ],
    ),
    (&["file-refused"], &[Refused("pantry.toml", "is larger than 4 MiB")]),
    (
        &["file-refused"],
        &[Refused("pantry.toml", "cannot be read: you have no permission to read it")],
    ),
    (&["not-text"], &[Whole("kitchen.toml", b"\x00\x01\x02")]),
    (&["not-utf-8"], &[Whole("roll.csv", b"name,status\nZo\xEB,coming\n")]),
    (&["not-utf-8"], &[Whole("roll.csv", b"\xFF\xFEn\0a\0m\0e\0\n\0B\0o\0\n\0")]),
    // A byte-order mark and Windows line ends are no mistake.
    (&[], &[Whole("roll.csv", b"\xEF\xBB\xBFname;status\r\nBo;coming\r\n")]),
    (&["toml-slip"], &[Edit("kitchen.toml", "room = \"21 C\"", "room = \"21 C")]),
    // A slip in one file does not keep the others from being read.
    (
        &["number-without-unit", "toml-slip"],
        &[Edit("pantry.toml", "name = \"Milk\"", "name = Milk"), Edit("kitchen.toml", "\"14 cm\"", "\"14\"")],
    ),
    (&["toml-slip"], &[Add("pantry.toml", "[ingredients.milk]\n")]),
    // What was ordered and is gone from the pantry is not counted.
    (
        &["ordered-and-unknown", "ordered-and-unknown"],
        &[Whole(
            "orders/2027-03-01.toml",
            b"placed = 2027-03-01\nlines = [{ item = \"saffron\", supplier = \"mill\", of = \"1 g\", price = \"9\" }]\n",
        )],
    ),
];

pub const ROLL: &[Case] = &[
    (&["missing-key"], &[Whole("roll.csv", b"")]),
    (&["missing-key"], &[Whole("roll.csv", b"status\ncoming\n")]),
    (&["unknown-key"], &[Edit("roll.csv", "avoids", "avoid")]),
    (&["duplicate-id"], &[Edit("roll.csv", "needs", "status")]),
    (&["broken-row"], &[Add("roll.csv", "Cy,coming\n")]),
    (&["broken-row"], &[Add("roll.csv", "Cy,coming,,,,,tree-nuts\n")]),
    (&["broken-row"], &[Add("roll.csv", ",coming,,,,\n")]),
    // A quote that is never closed swallows the rest: the row is short, and it is said.
    (&["broken-row"], &[Add("roll.csv", "\"Cy,coming,,,,\nDi,coming,,,,\n")]),
    (&["unknown-word"], &[Add("roll.csv", "Cy,comming,,,,\n")]),
    (&["said-elsewhere"], &[Add("roll.csv", "Cy,coming,,,,allergic to sesame\n")]),
    (&["unknown-person"], &[Add("roll.csv", "Cy,coming,Adda,,,\n")]),
    (&["unknown-person"], &[Add("roll.csv", "Cy,coming,Cy,,,\n")]),
    (&["duplicate-person"], &[Add("roll.csv", "ada,coming,,,,\n")]),
    (&["unreadable"], &[Add("roll.csv", "Cy,coming,,two,,\n")]),
    (&["no-such-station"], &[Add("roll.csv", "Cy,coming,,3,,\n")]),
    (&["loose-allergen"], &[Add("roll.csv", "Cy,coming,,,nuts (allergy),\n")]),
    (&["unknown-allergen"], &[Add("roll.csv", "Cy,coming,,,hazlenut (allergy),\n")]),
    (&["severity-without-allergen"], &[Add("roll.csv", "Cy,coming,,,(severe),\n")]),
    (&["severity-without-allergen"], &[Add("roll.csv", "Cy,coming,,,severe,\n")]),
    (&["unknown-word"], &[Add("roll.csv", "Cy,coming,,,egg (alergy),\n")]),
    (&["unreadable"], &[Add("roll.csv", "Cy,coming,,,egg (allergy,\n")]),
    // Quoted line breaks, blank rows, several things avoided, an ingredient that is on no list.
    (&[], &[Add("roll.csv", "\"Cy\nof the mill\",coming,,,\"eggs (choice); milk\",\n,,,,,\n")]),
];

/// Languages and a course's own words. What they say counts the words of the pages, which grow: no snapshot holds it.
pub const WORDS: &[Case] = &[
    (
        &["unknown-language"],
        &[Edit("course.toml", "name = \"One bun\"", "name = \"One bun\"\nlanguage = \"English\"")],
    ),
    (
        &["words-missing"],
        &[Edit("course.toml", "name = \"One bun\"", "name = \"One bun\"\nlanguage = \"fr\"")],
    ),
    (&[], &[Edit("course.toml", "name = \"One bun\"", "name = \"One bun\"\nlanguage = \"de-AT\"")]),
    (&[], &[Whole("templates/words/en.toml", b"[step]\nuntil = \"not after\"\n")]),
    (&["unknown-key"], &[Whole("templates/words/en.toml", b"[step]\nuntill = \"not after\"\n")]),
    (&["words-marks"], &[Whole("templates/words/en.toml", b"[home]\nmakes = \"Gives {number}\"\n")]),
    (&["wrong-type"], &[Whole("templates/words/en.toml", b"[step]\nuntil = 3\n")]),
    (&["toml-slip"], &[Whole("templates/words/en.toml", b"[step]\nuntil = not after\n")]),
    (&["not-text"], &[Whole("templates/words/en.toml", b"\0\xFF\xFE\0\0")]),
];
