use super::*;

const FILE: &str = "// head\nsetup \"a\" {\n    floor 1 // level\n    (x)stem { length 50 }\n    /- bar { }\n    \
                    left { grip { hand 62 }; lever 3\n        to=4 }\n    note \"is \\\"so\\\"\"\n}\n// tail\n";

/// Every text read after the one before it, and by itself.
fn agrees(texts: &[&str]) {
    let mut parser = Parser::default();
    for text in texts {
        let parsed = parser.parse(text.as_bytes());
        let (alone, faults_alone) = parse(text.as_bytes());
        assert_eq!((parsed.document, &parsed.faults), (&alone, &faults_alone), "{text}");
    }
}

#[test]
fn a_text_read_after_another_reads_as_by_itself() {
    for (was, now) in [
        ("50", "7"),
        ("50", "50.25"),
        ("floor 1", "tilt 1; floor 1"),
        ("    floor 1 // level\n", ""),
        ("    note \"is \\\"so\\\"\"\n", ""),
        ("62", "63 }; x { y 1"),
        ("note", "part { note \"one\" }\n    note"),
        ("// tail", "// another\nb 2"),
        ("\"a\"", "\"b\" format=1"),
        ("// head\nsetup \"a\" {\n", "setup \"another\" {\n    rider { stature 1780 }\n"),
    ] {
        let edited = FILE.replace(was, now);
        assert_ne!(edited, FILE, "{was}");
        agrees(&[FILE, &edited, FILE, FILE]);
    }
}

#[test]
fn a_change_within_a_block_is_read_within_it() {
    for (was, now) in [
        ("hand 62", "hand 62; length 134"),
        ("hand 62", "length 134 ; hand 62"),
        ("hand 62", "hand 62 // within"),
        ("hand 62", "hand 62 /-"),
        ("hand 62", "hand 62;"),
        ("hand 62", "hand { x 1 }"),
        (" hand 62 ", ""),
        ("grip { hand 62 }; ", ""),
        ("grip { hand 62 }; ", "grip { hand 62 } // ;"),
        ("grip { hand 62 }; ", "grip { hand 63 }; /- "),
        ("lever 3", "lever 3; blade 2"),
        ("lever 3\n        to=4 }", "lever 3 }"),
        ("to=4 }", "to=5 // }"),
        ("to=4 }", "to=5 }; right { grip { hand 61 }; lever 3 }"),
        ("hand 62 }; lever 3", "hand 61 }; lever 2"),
    ] {
        let edited = FILE.replace(was, now);
        assert_ne!(edited, FILE, "{was}");
        agrees(&[FILE, &edited, FILE, &edited.replace("length 50", "length 5"), FILE]);
    }
}

#[test]
fn what_reaches_into_its_neighbours_is_read_with_them() {
    for (was, now) in [
        ("level\n", "level\n    /-\n"),
        ("level\n", "level\n    x \\\n"),
        ("level\n", "level\n    /* open\n"),
        ("level\n", "level\n    \"open\n"),
        ("level\n", "level\n    x {\n"),
        ("level\n", "level\n    }\n"),
        ("1 // level\n", "1 "),
        ("(x)", "(y)"),
        ("/- bar", "bar"),
        ("// level", "//"),
        ("62 }", "62"),
        ("\"a\" {", "\"b\" {} }"),
        ("\"a\" {", "\"b\" { x {"),
        ("\"a\" {", "\"b\"; y {"),
        ("\"a\" {", "\"b\" {}\nz {"),
        ("\"a\" {", "\"b\" { /*"),
        ("\"a\" {", "/- { } \"b\" {"),
    ] {
        let edited = FILE.replace(was, now);
        assert_ne!(edited, FILE, "{was}");
        agrees(&[FILE, &edited, FILE]);
    }
}

#[test]
fn a_block_closed_on_its_last_nodes_line_ends_that_node() {
    for (was, now) in [
        ("floor 1\n    note }\n", "floor 1\n    note \"hello\"\n}\n"),
        ("fork { rebound 7 } }\n", "fork { rebound 7 } shock { rebound 5 }\n}\n"),
        ("accept \"x\" }\n", "accept \"x\" \"why\"\n}\n"),
        ("floor unmeasured}\n", "floor unmeasuredx\n}\n"),
        ("floor unmeasured }\n", "floor unmeasured 5\n}\n"),
        ("a 1; b }\n", "a 1; b c; b }\n"),
        ("a 1; b }\n", "x; b }\n"),
        ("a }\n", "a; }\n"),
        ("a;}\n", "a;b\n}\n"),
    ] {
        let (was, now) = (format!("setup \"a\" {{ {was}"), format!("setup \"a\" {{ {now}"));
        agrees(&[&was, &now, &was, &now]);
    }
}

#[test]
fn a_byte_order_mark_within_the_text_is_not_passed_over() {
    for (was, now) in [
        ("floor 1", "\u{feff}floor 2"),
        ("    floor 1 // level\n", "\u{feff}    floor 1 // level\n    x 1\n"),
        ("    floor 1 // level\n", "\u{feff}\n    floor 1 // level\n"),
        ("// head\n", "\u{feff}// head\n"),
        ("\n}\n// tail", "\n\u{feff}\n}\n// tail"),
    ] {
        let edited = FILE.replace(was, now);
        assert_ne!(edited, FILE, "{was}");
        agrees(&[FILE, &edited, FILE, &edited]);
    }
}
