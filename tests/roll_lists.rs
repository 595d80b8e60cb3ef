//! The roll as people export it: lists in any dress, what people say of allergies in them, and who comes with whom.

use crate::support::Sealed;
use rust_xlsxwriter::{Format, Formula, Workbook};

/// What `roll --from` makes of a file: what it said, and the new roll.
fn brought_in(name: &str, bytes: impl AsRef<[u8]>, more: &[&str]) -> (String, String) {
    let sealed = Sealed::small()
        .file(
            "course/roll.csv",
            "name,status,with,station,avoids,needs\nAda Byron,coming,,1,egg (allergy),\n",
        )
        .file(name, bytes);
    let said = sealed.run(&[&["roll", "course", "--from", name], more].concat());
    let new = sealed.files("course").into_iter().find(|f| f.starts_with("roll.new"));
    assert_eq!(sealed.read("course/roll.csv").lines().count(), 2, "the roll itself is never touched");
    (said.to_string(), new.map(|f| sealed.read(&format!("course/{f}"))).unwrap_or_default())
}

const HEAD: &str = "name,status,with,station,avoids,needs\nAda Byron,coming,,1,egg (allergy),\n";

#[test]
fn a_list_in_any_dress_gives_the_same_roll() {
    let wanted = format!("{HEAD}Zoë Müller,coming,,,walnuts; egg,\n\"Bo \"\"Bobby\"\" Lind\",waiting,,,,\n");
    let text = "Full name;Status;Any allergies?;Phone\r\n  Zoë   Müller ;Paid;\"walnuts,\r\negg\";0123\r\n\"Bo \"\"Bobby\"\" Lind\";Waiting list;none;0124\r\n";
    let latin: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    let utf16 = |mark: [u8; 2], unit: fn(u16) -> [u8; 2]| -> Vec<u8> {
        mark.into_iter().chain(text.encode_utf16().flat_map(unit)).collect()
    };
    let dresses: [(&str, Vec<u8>); 6] = [
        ("plain", text.as_bytes().to_vec()),
        ("mark", format!("\u{feff}{text}").into_bytes()),
        ("said sign", format!("sep=;\r\n{text}").into_bytes()),
        ("Latin-1", latin),
        ("UTF-16, little end first", utf16([0xFF, 0xFE], u16::to_le_bytes)),
        ("UTF-16, big end first", utf16([0xFE, 0xFF], u16::to_be_bytes)),
    ];
    for (dress, bytes) in dresses {
        let (said, roll) = brought_in("list.csv", bytes, &[]);
        assert_eq!(roll, wanted, "{dress}\n{said}");
        assert!(said.contains("Left out, as a roll does not need it: Phone."), "{said}");
    }
    let commas = text.replace(';', ",").replace("\"walnuts,\r\negg\"", "walnuts; egg");
    assert_eq!(brought_in("list.csv", commas, &[]).1, wanted);
}

#[test]
fn couples_twins_and_formulas_in_a_list() {
    let text = "Name,Allergies,Booking\n\
                Cy & Dee Holm,nuts,7\n\
                Eve Lark,,8\n\
                Finn Moor,N/A,8\n\
                ada byron,sesame,9\n\
                Eve  LARK,milk,8\n\
                =1+1,,10\n\
                ,egg,11\n";
    let (said, roll) = brought_in("list.csv", text, &[]);
    let wanted = "name,status,with,station,avoids,needs\n\
                  Ada Byron,coming,,1,egg (allergy); sesame,\n\
                  Cy Holm,coming,Dee Holm,,nuts,\n\
                  Dee Holm,coming,Cy Holm,,nuts,\n\
                  Eve Lark,coming,Finn Moor,,milk,\n\
                  Finn Moor,coming,Eve Lark,,,\n";
    assert_eq!(roll, wanted, "{said}");
    for code in ["duplicate-row", "formula-in-cell", "row-without-name"] {
        assert!(said.contains(code), "{code}\n{said}");
    }
}

#[test]
fn nothing_that_people_say_of_allergies_is_lost() {
    let text = "Name,Any allergies?\nGil Reed,\"no nuts, lactose\"\nIda Voss,Gluten free!\nJo Park,vegan\nKim Orr,No allergies\n";
    let (said, roll) = brought_in("list.csv", text, &[]);
    let wanted = format!(
        "{HEAD}Gil Reed,coming,,,nuts; lactose,\nIda Voss,coming,,,gluten,\nJo Park,coming,,,vegan,\nKim Orr,coming,,,,\n"
    );
    assert_eq!(roll, wanted, "{said}");
    for words in ["loose-allergen", "read-as-avoided", "\"nuts\"", "\"vegan\""] {
        assert!(said.contains(words), "{words}\n{said}");
    }
    // What was kept in its words stops the class until somebody has asked.
    let sealed = Sealed::small().file("course/roll.csv", roll);
    let checked = sealed.run(&["check", "course"]);
    assert_eq!(checked.exit, Some(1));
    for words in ["loose-allergen", "\"nuts\"", "\"vegan\""] {
        assert!(checked.stdout.contains(words), "{words}\n{checked}");
    }
}

/// A teacher who copies what the way out says into the roll keeps every allergen that the form named.
#[test]
fn a_way_out_holds_every_allergen_that_was_named() {
    let text = "name,avoids\nGil Reed,no dairy or eggs please\nIda Voss,celery + mustard\nJo Park,nuts & sesame allergy\nKim Orr,milk (allergy) + egg (mild)\nLou Ash,\"milk (severe, and lupin)\"\n";
    let (said, _) = brought_in("list.csv", text, &[]);
    let plain = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "write `milk; egg`; in brackets",
        "write `celery; mustard`; in brackets",
        "write `sesame`; and for \"nuts\" `tree-nuts`, `peanut`",
        "has more than one pair of brackets",
        "stands beside it, with a `;` between: write `lupin`",
    ] {
        assert!(plain.contains(words), "{words}\n{said}");
    }
}

#[test]
fn what_is_said_beside_the_column_for_it_is_told_and_a_first_name_finds_its_partner() {
    let text = "Name,Diet,Anything else?,Delivery,With\n\
                Gil Reed,none,I am allergic to sesame,,Ida\n\
                Ida Voss,,a wheelchair,leave it with the nut shop,\n\
                Jo Park,,,,my partner\n";
    let (said, roll) = brought_in("list.csv", text, &[]);
    let wanted = format!(
        "{HEAD}Gil Reed,coming,Ida Voss,,,I am allergic to sesame\n\
         Ida Voss,coming,,,,a wheelchair\nJo Park,coming,my partner,,,\n"
    );
    assert_eq!(roll, wanted, "{said}");
    let plain = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "row 2 of `list.csv`, Gil Reed: \"Anything else?\" says \"I am allergic to sesame\"",
        "row 3 of `list.csv`, Ida Voss: \"Delivery\" says \"leave it with the nut shop\"",
        "\"Ida\" was read as Ida Voss",
        "Jo Park: comes with \"my partner\", who is nobody of this list",
    ] {
        assert!(plain.contains(words), "{words}\n{said}");
    }
    // What stands among the needs is told at each check, and keeps nobody from anything.
    let sealed = Sealed::small().file("course/roll.csv", roll);
    let checked = sealed.run(&["check", "course"]);
    assert_eq!(checked.to_string().matches("warning[said-elsewhere]").count(), 1, "{checked}");
}

/// Who pays books for others: the place, the allergy and the partner are the guest's.
#[test]
fn a_guest_is_taken_for_the_guest_and_not_who_pays() {
    let text = "Order number;Billing name;Attendee name;Dietary requirements\n\
                1;Nia Fern;Nia Fern;egg\n2;Oskar Blythe;Oskar Blythe;none\n2;Oskar Blythe;Petra Blythe;milk\n";
    let wanted = format!(
        "{HEAD}Nia Fern,coming,,,egg,\nOskar Blythe,coming,Petra Blythe,,,\nPetra Blythe,coming,Oskar Blythe,,milk,\n"
    );
    let turned = text.replace("Billing name;Attendee name", "Name;Guest name");
    let halves = text
        .replace("Attendee name", "Attendee first name;Attendee last name")
        .replace(";Nia Fern;egg", ";Nia;Fern;egg")
        .replace(";Oskar Blythe;none", ";Oskar;Blythe;none")
        .replace(";Petra Blythe;", ";Petra;Blythe;");
    let holder = text.replace("Attendee name", "Ticket holder");
    for text in [text, &turned, &halves, &holder] {
        let (said, roll) = brought_in("list.csv", text, &[]);
        assert_eq!(roll, wanted, "{text}\n{said}");
        assert!(!said.contains("duplicate-row"), "{said}");
    }
    // As likely, and not the same: asked, and no roll is written.
    let unclear = text.replace("Billing name;Attendee name", "Name of adult;Name of cook");
    let (said, roll) = brought_in("list.csv", &unclear, &[]);
    assert!(roll.is_empty() && said.contains("error[unclear-column]"), "{said}");
    let plain = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(plain.contains("--column name=\"Name of cook\""), "{said}");
    let named = ["--column", "name=Name of cook"];
    assert_eq!(brought_in("list.csv", unclear, &named).1, wanted);
    // Only who pays: taken, with a warning.
    let (said, roll) = brought_in("list.csv", "Billing name,Allergies\nNia Fern,egg\n", &[]);
    assert_eq!(roll, format!("{HEAD}Nia Fern,coming,,,egg,\n"));
    assert!(said.contains("warning[unclear-column]"), "{said}");
    // The German pair: beside a first name, "Name" is the last one.
    let (said, roll) = brought_in("list.csv", "Vorname;Name\nNia;Fern\n", &[]);
    assert_eq!(roll, format!("{HEAD}Nia Fern,coming,,,,\n"), "{said}");
}

#[test]
fn a_column_is_named_or_asked_for() {
    let text = "Who are you?,What must we know?\nGil Reed,coeliac\n";
    let (said, roll) = brought_in("list.csv", text, &[]);
    assert!(roll.is_empty() && said.contains("nothing-to-import"), "{said}");
    let named = ["--column", "name=Who are you?", "--column", "avoids=what must we know?"];
    assert_eq!(brought_in("list.csv", text, &named).1, format!("{HEAD}Gil Reed,coming,,,coeliac,\n"));
    let (said, _) = brought_in("list.csv", text, &["--column", "name=Who are we?"]);
    assert!(said.contains("did you mean `Who are you?`"), "{said}");
    assert!(brought_in("list.csv", "", &[]).0.contains("nothing-to-import"));
    assert!(brought_in("list.bin", [0, 1, 2, 3], &[]).0.contains("not-text"));
    assert!(brought_in("list.xlsx", b"PK\x03\x04 broken", &[]).0.contains("not-a-workbook"));
}

#[test]
fn a_workbook_with_merged_cells_and_formulas() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet().set_name("Answers").unwrap();
    let plain = Format::new();
    sheet.merge_range(0, 0, 0, 3, "Bookings for April", &plain).unwrap();
    for (c, head) in ["First name", "Surname", "Order", "Allergies"].iter().enumerate() {
        sheet.write_string(2, c as u16, *head).unwrap();
    }
    for (r, (first, last, avoids)) in [("Zoë", "Müller", "egg"), ("Jo", "Müller", "No")].iter().enumerate()
    {
        let row = 3 + r as u32;
        sheet.write_string(row, 0, *first).unwrap();
        sheet.write_string(row, 1, *last).unwrap();
        sheet.write_string(row, 3, *avoids).unwrap();
    }
    // One booking over two rows, and a first name that is made by a formula.
    sheet.merge_range(3, 2, 4, 2, "A-17", &plain).unwrap();
    sheet.write_formula(5, 0, Formula::new("=PROPER(\"kim\")").set_result("Kim")).unwrap();
    sheet.write_string(5, 1, "Park").unwrap();
    sheet.write_number(5, 2, 18).unwrap();
    let bytes = book.save_to_buffer().unwrap();
    let (said, roll) = brought_in("list.xlsx", &bytes, &[]);
    let wanted = format!(
        "{HEAD}Zoë Müller,coming,Jo Müller,,egg,\nJo Müller,coming,Zoë Müller,,,\nKim Park,coming,,,,\n"
    );
    assert_eq!(roll, wanted, "{said}");
    let (said, _) = brought_in("list.xlsx", &bytes, &["--sheet", "Sheet9"]);
    assert!(said.contains("it has Answers"), "{said}");
}
