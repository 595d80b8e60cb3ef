//! How findings look to people.

use benchroll::cli::{Stream, Terminal};
use benchroll::finding::{Finding, Place, SourceId, Sources};
use benchroll::output::text::{Charset, Screen};

const FILE: &str = "name = \"Crème crown\"\n[parts.dough.of]\nstrong-flour = \"100 %\"\nsugr = \"14 %\"\n";

fn sources() -> Sources {
    let mut sources = Sources::default();
    sources.add("formulas/crown.toml", FILE);
    sources
}

fn place(text: &str) -> Place {
    let start = FILE.find(text).unwrap();
    Place { source: SourceId(0), start, end: start + text.len() }
}

fn shown(findings: &[Finding], screen: Screen) -> String {
    let mut text = Vec::new();
    Terminal::plain(&mut text, std::io::sink(), screen).findings(Stream::Answer, findings, &sources());
    String::from_utf8(text).unwrap()
}

fn some() -> Vec<Finding> {
    vec![
        Finding::note("no-source", None, "nobody wrote where this comes from").in_file("formulas/crown.toml"),
        Finding::error("unknown-item", place("sugr"), "`sugr` is no ingredient of the pantry")
            .also(place("\"14 %\""), "of this, 14 % is asked for")
            .also(place("strong-flour"), "this one is known")
            .way_out("did you mean `sugar`?"),
        Finding::warning("long-name", place("Crème"), "a name with an accent"),
    ]
}

#[test]
fn a_finding_shows_its_line_its_place_and_the_way_out() {
    insta::assert_snapshot!(shown(&some(), Screen::default()), @r#"
    error[unknown-item]: `sugr` is no ingredient of the pantry
      ╭▸ formulas/crown.toml:4:1
      │
    4 │ sugr = "14 %"
      │ ━━━━   ────── of this, 14 % is asked for
      │
      ⸬  formulas/crown.toml:3:1
      │
    3 │ strong-flour = "100 %"
      │ ──────────── this one is known
      │
      ╰ way out: did you mean `sugar`?

    warning[long-name]: a name with an accent
      ╭▸ formulas/crown.toml:1:9
      │
    1 │ name = "Crème crown"
      ╰╴        ━━━━━

    note[no-source]: nobody wrote where this comes from
     ─▸ formulas/crown.toml

    1 error, 1 warning and 1 note
    "#);
}

#[test]
fn a_finding_in_plain_characters() {
    let screen = Screen { width: 80, charset: Charset::Ascii };
    insta::assert_snapshot!(shown(&some()[1..2], screen), @r#"
    error[unknown-item]: `sugr` is no ingredient of the pantry
     --> formulas/crown.toml:4:1
      |
    4 | sugr = "14 %"
      | ^^^^   ------ of this, 14 % is asked for
      |
     ::: formulas/crown.toml:3:1
      |
    3 | strong-flour = "100 %"
      | ------------ this one is known
      |
      = way out: did you mean `sugar`?

    1 error
    "#);
}

/// Places that no file has, texts that would move the cursor: shown, never a panic.
#[test]
fn nothing_in_a_finding_breaks_the_screen() {
    for (start, end) in [(0, 0), (9, 10), (9, 9999), (9999, 9999), (FILE.len(), FILE.len()), (30, 2)] {
        let finding = Finding::error("x", Place { source: SourceId(0), start, end }, "a\u{1b}[2Jb")
            .way_out("c\u{202e}d\ne");
        let text = shown(&[finding], Screen { width: 20, charset: Charset::Unicode });
        assert!(!text.contains(['\u{1b}', '\u{202e}']), "{text}");
        assert!(text.contains("error[x]") && text.ends_with("1 error\n"), "{text}");
    }
    let elsewhere = Finding::error("x", Place { source: SourceId(7), start: 0, end: 1 }, "no such file");
    assert!(shown(&[elsewhere], Screen::default()).contains("no such file"));
}

#[test]
fn a_source_cannot_move_the_cursor() {
    let mut sources = Sources::default();
    sources.add("roll.csv", "name\r\n\u{1b}[31mAnn\tB\r\n");
    let mut text = Vec::new();
    let finding = Finding::error("x", Place { source: SourceId(0), start: 6, end: 14 }, "odd");
    Terminal::plain(&mut text, std::io::sink(), Screen::default()).findings(
        Stream::Answer,
        &[finding],
        &sources,
    );
    let text = String::from_utf8(text).unwrap();
    assert!(!text.contains('\u{1b}'), "{text}");
    assert!(text.contains("roll.csv:2:1"), "{text}");
}
