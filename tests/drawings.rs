//! The pages: drawings in the PDF against their measures, the same bytes in any order, and what a bad template or a strange name does.

use crate::support::ink::{Ink, ink, streams};
use benchroll::course::allergen_words::WORDS;
use benchroll::reckon::drawings::{Braid, Drawing, TinShape, Washed};
use benchroll::typeset::views::drawing::{Units, drawing};
use benchroll::typeset::views::gallery::{gallery, samples};
use benchroll::typeset::{DocumentSpec, PageLook, Paper, Press, Trouble, Typeset};
use benchroll::units::{Centimetres, Grams, Minutes};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

fn press(own: &[(&str, &str)]) -> Press {
    Press::new(&own.iter().map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec())).collect())
}

fn document(template: &str, look: PageLook, data: Value) -> DocumentSpec {
    DocumentSpec {
        template: template.to_owned(),
        title: "Gallery".to_owned(),
        ident: format!("{template} {look:?}"),
        fold: 0,
        look,
        data,
        photographs: BTreeMap::new(),
    }
}

fn one(own: &[(&str, &str)], data: Value) -> Result<Typeset, Vec<Trouble>> {
    press(own).typeset(&document("own", PageLook::default(), data))
}

fn looks() -> Vec<PageLook> {
    let mut all = Vec::new();
    for paper in [Paper::A4, Paper::Letter] {
        for (large_print, black_and_white, language) in
            [(false, false, "en"), (true, false, "en"), (false, true, "de"), (true, true, "de")]
        {
            let language = language.to_owned();
            all.push(PageLook { paper, large_print, black_and_white, language });
        }
    }
    all
}

#[test]
fn the_gallery_prints_in_every_look_and_names_every_drawing() {
    let data = gallery(Units::Metric).unwrap();
    let docs: Vec<DocumentSpec> = looks().into_iter().map(|l| document("gallery", l, data.clone())).collect();
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("gallery");
    std::fs::create_dir_all(&folder).unwrap();
    for (doc, made) in docs.iter().zip(press(&[]).typeset_all(&docs)) {
        let made = made.unwrap_or_else(|t| panic!("{:?}: {}", doc.look, t[0]));
        assert_eq!(made.warnings, [], "{:?}", doc.look);
        let file = format!(
            "{:?}{}{}-{}.pdf",
            doc.look.paper,
            if doc.look.large_print { "-large" } else { "" },
            if doc.look.black_and_white { "-bw" } else { "" },
            doc.look.language
        );
        std::fs::write(folder.join(file), &made.pdf).unwrap();
        // An alternative text for each drawing stands in the structure tree, and so does the claim of the standard.
        let open: Vec<u8> = streams(&made.pdf).concat().into_iter().chain(made.pdf.iter().copied()).collect();
        let count = |what: &[u8]| open.windows(what.len()).filter(|w| *w == what).count();
        assert_eq!(count(b"/Alt"), 3 * samples().unwrap().len());
        assert!(count(b"pdfuaid:part") > 0);
    }
    let drawn: BTreeSet<&str> = samples().unwrap().iter().flatten().map(|d| d.name()).collect();
    assert_eq!(drawn, Drawing::NAMES.into_iter().collect());
}

#[test]
fn the_same_bytes_alone_and_among_others_in_any_order() {
    let data = gallery(Units::Us).unwrap();
    let mut docs: Vec<DocumentSpec> =
        looks().into_iter().map(|l| document("gallery", l, data.clone())).take(3).collect();
    let forwards = press(&[]).typeset_all(&docs);
    docs.reverse();
    let backwards = press(&[]).typeset_all(&docs);
    let alone = press(&[]).typeset(&docs[0]).unwrap();
    assert_eq!(alone.pdf, forwards[2].as_ref().unwrap().pdf);
    for (a, b) in forwards.iter().zip(backwards.iter().rev()) {
        assert_eq!(a.as_ref().unwrap().pdf, b.as_ref().unwrap().pdf);
    }
}

/// The ink of one drawing alone on a page.
fn drawn(d: &Drawing) -> Vec<Ink> {
    let template =
        "#import \"kit.typ\": *\n#import \"drawings/all.typ\": drawing\n#show: sheet\n#drawing(data)";
    let made = one(&[("templates/own.typ", template)], drawing(d, Units::Metric)).unwrap();
    streams(&made.pdf).iter().flat_map(|s| ink(s, 297.0)).collect()
}

fn cm(n: f64) -> Centimetres {
    Centimetres::from_f64(n)
}

#[test]
fn a_sheet_a_fifth_larger_is_drawn_a_fifth_larger() {
    let sheet = |w: f64, l: f64| drawn(&Drawing::RollOut { width: cm(w), length: cm(l) });
    // 26 x 31 cm at 1 : 10 is 26 x 31 mm of ink.
    let before = sheet(26.0, 31.0);
    assert!(before.iter().any(|i| i.filled && i.is(26.0, 31.0)));
    let wider = sheet(26.0 * 1.2, 31.0);
    assert!(wider.iter().any(|i| i.filled && i.is(31.2, 31.0)));
    assert!(!wider.iter().any(|i| i.is(26.0, 31.0)));
    let longer = sheet(26.0, 31.0 * 1.2);
    assert!(longer.iter().any(|i| i.filled && i.is(26.0, 37.2)));
    assert!(!longer.iter().any(|i| i.is(26.0, 31.0)));
    // The pin is 40 x 5 cm whatever the sheet.
    for page in [&before, &wider, &longer] {
        assert!(page.iter().any(|i| i.filled && i.is(40.0, 5.0)));
    }
}

#[test]
fn a_tin_and_its_fill_are_drawn_to_scale() {
    let tin = |length: f64, depth: f64, fill: f64| {
        let shape = TinShape::Loaf { length: cm(length), depth: cm(depth) };
        drawn(&Drawing::PlaceInTin { tin: shape, fill: cm(fill), pieces: 2 })
    };
    // How high the fill line stands above the floor of a tin of that size on paper.
    let fill_line = |page: &[Ink], width: f64, depth: f64| -> f64 {
        let walls = page.iter().find(|i| !i.filled && i.is(width, depth)).unwrap();
        let line = page.iter().find(|i| !i.filled && i.is(width + 4.0, 0.0)).unwrap();
        walls.top + walls.height - line.top
    };
    // At 1 : 8, a tin of 26 x 8 cm inside is 32.5 x 10 mm, and 4 cm of dough are 5 mm.
    let close = |a: f64, b: f64| assert!((a - b).abs() < 0.02, "{a} is not {b}");
    close(fill_line(&tin(26.0, 8.0, 4.0), 32.5, 10.0), 5.0);
    close(fill_line(&tin(26.0, 8.0, 4.0 * 1.2), 32.5, 10.0), 6.0);
    close(fill_line(&tin(26.0, 8.0 * 1.2, 4.0), 32.5, 12.0), 5.0);
    close(fill_line(&tin(22.0, 8.0, 4.0), 220.0 / 8.0, 80.0 / 8.0), 5.0);
    close(fill_line(&tin(22.0 * 1.2, 8.0, 4.0), 33.0, 10.0), 5.0);
}

/// The brush goes over what the lesson makes: a tin in its own measures, a bun, a braid, a loaf, each another drawing.
#[test]
fn what_is_washed_is_drawn_as_it_is() {
    let washed = |on: Washed| drawn(&Drawing::EggWash { coats: 1, wash: Grams::whole(8), on });
    let tin = |across: f64, deep: f64| {
        washed(Washed::InTin { tin: TinShape::Round { diameter: cm(across), depth: cm(deep) }, pieces: 4 })
    };
    // 20 cm across and 6 cm deep at 1 : 6 is 33.3 x 10 mm; the walls slope inwards, their top is as wide as the tin.
    let before = tin(20.0, 6.0);
    assert!(before.iter().any(|i| i.is(33.33, 10.0)), "{before:#?}");
    let deeper = tin(20.0, 7.2);
    assert!(deeper.iter().any(|i| i.is(33.33, 12.0)) && !deeper.iter().any(|i| i.is(33.33, 10.0)));
    let (loaf, bun) = (washed(Washed::Loaf), washed(Washed::Bun));
    let wide = |ink: &[Ink], mm: f64| ink.iter().any(|i| i.filled && (i.width - mm).abs() < 1.0);
    assert!(wide(&loaf, 36.0) && !wide(&bun, 36.0) && wide(&bun, 24.0) && !wide(&loaf, 24.0));
    // A bun with a filled middle is a bun that shows it.
    let filled = washed(Washed::FilledBun);
    let middle = |ink: &[Ink]| ink.iter().any(|i| i.filled && i.is(0.58 * 24.0, 0.3 * 14.0));
    assert!(wide(&filled, 24.0) && middle(&filled) && !middle(&bun));
    // A braid lies across: its strands go from side to side, within 38 x 15 mm, and its brush is the loaf's.
    let braid = |strands, sequence: &str| {
        let braid = Braid::read(strands, "", sequence).unwrap();
        drawing(
            &Drawing::EggWash { coats: 1, wash: Grams::whole(8), on: Washed::Braid { braid } },
            Units::Metric,
        )
    };
    let (three, four) = (braid(3, "1 over 2, 3 over 2"), braid(4, "4 over 2, 1 over 3, 2 over 3"));
    let ends = |d: &Value, key: &str, axis: usize| -> f64 {
        let bands = d["bands"].as_array().unwrap().iter().filter(|b| b[key] == true);
        let at = |b: &Value| match key {
            "begins" => b["start"][axis].as_f64().unwrap(),
            _ => b["curves"].as_array().unwrap().last().unwrap()[4 + axis].as_f64().unwrap(),
        };
        bands.map(at).fold(f64::NAN, f64::max)
    };
    for (d, strands) in [(&three, 3), (&four, 4)] {
        assert_eq!(d["n"]["strands"], strands);
        assert!(ends(d, "ends", 0) - ends(d, "begins", 0) > 20.0, "{d}");
        assert!(ends(d, "begins", 1) <= 28.0 && ends(d, "begins", 1) > 20.0, "{d}");
    }
    assert_ne!(three["bands"], four["bands"]);
}

/// What is piped into a bun's middle, and the bun round it, in their own measures: 1 : 4.
#[test]
fn a_bun_and_what_is_piped_into_it_are_drawn_to_scale() {
    let piped = |bun: f64, blob: f64| {
        drawn(&Drawing::Pipe { bead: cm(blob), length: cm(blob), beads: 1, onto: Some(cm(bun)) })
    };
    let round = |page: &[Ink], mm: f64| page.iter().any(|i| i.filled && i.is(mm, mm));
    let before = piped(7.0, 3.5);
    assert!(round(&before, 17.5) && round(&before, 8.75), "{before:#?}");
    let larger = piped(7.0 * 1.2, 3.5);
    assert!(round(&larger, 21.0) && round(&larger, 8.75) && !round(&larger, 17.5));
    let fuller = piped(7.0, 3.5 * 1.2);
    assert!(round(&fuller, 17.5) && round(&fuller, 10.5) && !round(&fuller, 8.75));
}

/// What is turned out at once has no clock beside it.
#[test]
fn no_clock_stands_beside_what_waits_for_none() {
    let turned = |wait: i64| {
        let tin = TinShape::Loaf { length: cm(24.0), depth: cm(8.0) };
        drawn(&Drawing::TurnOut { tin, wait: (Minutes(wait), None) })
    };
    // The face is a circle of 13.2 mm.
    let clock = |page: &[Ink]| page.iter().any(|i| i.filled && i.is(13.2, 13.2));
    assert!(clock(&turned(5)) && !clock(&turned(0)));
}

/// On the oven's sheet a tray of 60 x 40 cm that is 60 mm wide is 1 : 10, and so is what lies on it, before and after it has grown.
#[test]
fn what_lies_on_a_tray_is_drawn_to_its_scale() {
    let tray = |shaped: f64, baked: f64| {
        let piece = json!({ "x": 15.0, "y": 10.0, "width": shaped, "depth": shaped, "baked_width": baked, "baked_depth": baked });
        let place = json!({ "x": 0.0, "y": 0.0, "width": 60.0, "depth": 40.0, "round": false, "label": "1", "note": "", "pieces": [piece] });
        let rack = json!({ "name": "1", "width": 60.0, "depth": 40.0, "places": [place] });
        let template =
            "#import \"/templates/leaf.typ\": *\n#show: sheet\n#rack(data, width: 60mm, big: false)\n";
        let made = one(&[("templates/own.typ", template)], rack).unwrap();
        streams(&made.pdf).iter().flat_map(|s| ink(s, 297.0)).collect::<Vec<Ink>>()
    };
    let before = tray(8.0, 11.0);
    assert!(before.iter().any(|i| i.filled && i.is(8.0, 8.0)), "{before:?}");
    assert!(before.iter().any(|i| i.is(11.0, 11.0)), "{before:?}");
    let larger = tray(8.0 * 1.2, 11.0 * 1.2);
    assert!(larger.iter().any(|i| i.filled && i.is(9.6, 9.6)), "{larger:?}");
    assert!(larger.iter().any(|i| i.is(13.2, 13.2)), "{larger:?}");
    assert!(!larger.iter().any(|i| i.is(8.0, 8.0)), "{larger:?}");
    // Its middle is 15 cm from the left and 10 cm from the front of the tray.
    let middle = |page: &[Ink], size: f64| {
        let piece = page.iter().find(|i| i.filled && i.is(size, size)).unwrap();
        (piece.left + piece.width / 2.0, piece.top + piece.height / 2.0)
    };
    let (a, b) = (middle(&before, 8.0), middle(&larger, 9.6));
    assert!((a.0 - b.0).abs() < 0.05 && (a.1 - b.1).abs() < 0.05, "{a:?} {b:?}");
    let tray = before.iter().find(|i| i.filled && i.is(60.0, 40.0)).unwrap();
    assert!((a.0 - tray.left - 15.0).abs() < 0.05, "{a:?} {tray:?}");
    assert!((tray.top + tray.height - a.1 - 10.0).abs() < 0.05, "{a:?} {tray:?}");
}

const PLAIN: &str = "#import \"kit.typ\": *\n#show: sheet\n#name(data.who)\n";

#[test]
fn text_with_marks_stays_text() {
    let who = "A # B * C $x$ \\ <script> @me _you_ `raw` // not a comment";
    let made = one(&[("templates/own.typ", PLAIN)], json!({ "who": who })).unwrap();
    assert_eq!((made.pages, made.warnings.len()), (1, 0));
    let long = "Wolfeschlegelsteinhausenbergerdorff".repeat(9);
    assert!(one(&[("templates/own.typ", PLAIN)], json!({ "who": long })).is_ok());
    // Hebrew, Arabic, accents of many languages: all have glyphs.
    let names = "\u{5E0}\u{5D5}\u{5E2}\u{5D4} \u{644}\u{64A}\u{644}\u{649} \u{15E}\u{1EC5}\u{17D}\u{142}\u{F0} \u{41E}\u{43B}\u{44C}\u{433}\u{430} \u{3A7}\u{3BB}\u{3CC}\u{3B7}";
    assert_eq!(one(&[("templates/own.typ", PLAIN)], json!({ "who": names })).unwrap().warnings, []);
}

#[test]
fn a_character_without_a_glyph_is_boxed_and_named() {
    let made =
        one(&[("templates/own.typ", PLAIN)], json!({ "who": "Mei \u{6885} \u{1F9D1}\u{200D}\u{1F373}" }))
            .unwrap();
    let said: Vec<String> = made.warnings.iter().map(|t| t.message.clone()).collect();
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(said.iter().any(|m| m.contains("U+6885") && m.contains("/data/who")), "{said:?}");
}

#[test]
fn a_template_reads_nothing_from_outside() {
    for path in ["/etc/hostname", "../../Cargo.toml", "/data2.json", "@preview/any:1.0.0"] {
        let template = format!("#let stolen = read(\"{path}\")\n#stolen");
        let template = if path.starts_with('@') { format!("#import \"{path}\"") } else { template };
        let troubles = one(&[("templates/own.typ", &template)], json!({})).unwrap_err();
        assert_eq!(troubles[0].file.as_deref(), Some("templates/own.typ"), "{path}: {troubles:?}");
        assert_eq!(troubles[0].line, Some(1), "{path}: {troubles:?}");
    }
}

#[test]
fn a_broken_template_names_its_place_and_spares_the_others() {
    let broken = "#import \"kit.typ\": *\n#show: sheet\n\u{E4}\u{E4} #nonsense\n";
    let press = press(&[("templates/broken.typ", broken), ("templates/own.typ", PLAIN)]);
    let docs = [
        document("broken", PageLook::default(), json!({})),
        document("own", PageLook::default(), json!({ "who": "Ada" })),
    ];
    let made = press.typeset_all(&docs);
    let trouble = &made[0].as_ref().unwrap_err()[0];
    assert_eq!(
        (trouble.file.as_deref(), trouble.line, trouble.column),
        (Some("templates/broken.typ"), Some(3), Some(5))
    );
    assert!(trouble.message.contains("nonsense"));
    assert!(made[1].is_ok());
}

#[test]
fn a_course_lays_its_own_words_and_fonts_over_ours() {
    let own = press(&[("fonts/broken.otf", "no font")]);
    assert_eq!(own.troubles()[0].file.as_deref(), Some("fonts/broken.otf"));
    let look = PageLook { language: "xx".to_owned(), ..PageLook::default() };
    let template = "#import \"kit.typ\": *\n#show: sheet\n#assert.eq(word(\"mark.turn\"), data.turn)\n.";
    // No such language: English stands in, and it is said.
    let doc = document("own", look, json!({ "turn": "turn over" }));
    let made = press(&[("templates/own.typ", template)]).typeset(&doc).unwrap();
    assert!(made.warnings[0].message.contains("\"xx\""));
    // A language of the course's own, with one word only.
    let doc = DocumentSpec { data: json!({ "turn": "flip" }), ..doc };
    let words = "[mark]\nturn = \"flip\"\n";
    let made =
        press(&[("templates/own.typ", template), ("templates/words/xx.toml", words)]).typeset(&doc).unwrap();
    assert_eq!(made.warnings, []);
}

/// The pages are made of several files; whoever draws one of them anew leaves the others as they are.
#[test]
fn each_part_of_the_pages_can_be_replaced_alone() {
    let parts = [
        ("phrases", "span(1, 2)"),
        ("weigh-list", "weigh-list((:))"),
        ("rail", "two-rail(1, 2, (), ())"),
        ("steps", "step-rows(())"),
        ("on-pages", "on-pages(())"),
        ("racks", "oven-set((:))"),
    ];
    for (part, call) in parts {
        let path = format!("templates/leaf/{part}.typ");
        let name = call.split('(').next().unwrap();
        // What the other parts take from the phrases has to be there.
        let ours = press(&[]).file(&path).map(|f| String::from_utf8(f.to_vec()).unwrap()).unwrap();
        let ours = format!("{ours}\n#let {name}(..any) = \"drawn anew\"\n");
        let own = format!(
            "#import \"/templates/leaf.typ\": *\n#show: sheet\n#assert.eq({call}, \"drawn anew\")\n#day((weekday: 1, day: 2, month: 3))"
        );
        let press = press(&[(&path, &ours), ("templates/own.typ", &own)]);
        assert!(press.troubles().iter().all(|t| !t.message.contains(part)), "{part}");
        let made = press.typeset(&document("own", PageLook::default(), json!({})));
        made.unwrap_or_else(|t| panic!("{part}: {}", t[0]));
    }
}

fn keys(table: &toml::Table, above: &str) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for (key, value) in table {
        match value {
            toml::Value::Table(below) => all.extend(keys(below, &format!("{above}{key}."))),
            _ => {
                all.insert(format!("{above}{key}"));
            }
        }
    }
    all
}

#[test]
fn german_has_every_word_that_english_has() {
    let press = press(&[]);
    let words = |language: &str| {
        let bytes = press.file(&format!("templates/words/{language}.toml")).unwrap();
        keys(&std::str::from_utf8(bytes).unwrap().parse().unwrap(), "")
    };
    assert_eq!(words("en"), words("de"));
    // What a station keeps away is said by these words.
    for avoided in WORDS {
        let spoken = avoided.word.replace('-', " ");
        assert!(words("de").contains(&format!("list-word.{spoken}")), "{spoken}");
    }
    for name in Drawing::NAMES {
        assert!(
            words("en").contains(&format!("draw.{name}")) && words("en").contains(&format!("alt.{name}"))
        );
        assert!(press.file(&format!("templates/drawings/{name}.typ")).is_some(), "{name}");
    }
}
