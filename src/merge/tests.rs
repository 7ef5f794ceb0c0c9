use super::*;
use crate::setup::read::read;

const BASE: &str = r#"setup "rowan/race" format=1 {
    measured "2031-05-02" by="own stand"
    // The wide one.
    bar { width 780 tol=1; roll -1.5 }   // as bought
    left {
        brake-lever { from-tip 168 tol=0.5; angle 32 tol=0.2; reach 62 }
    }
    torque "stem-face" 4 5 tool="4 mm hex" {
        caution "Even gap."
    }
    note "Dry tyres."
}
"#;

fn merged(ours: &str, theirs: &str) -> Merged {
    merge(Catalogue::standard(), BASE.as_bytes(), ours.as_bytes(), theirs.as_bytes(), &Labels::default())
        .expect("sound versions")
}

fn changed(changes: &[(&str, &str)]) -> String {
    changes.iter().fold(BASE.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replace(from, to)
    })
}

#[test]
fn different_measures_merge_and_the_text_around_stays() {
    let ours = changed(&[("width 780", "width 760")]);
    let theirs = changed(&[("angle 32", "angle 28"), ("// The wide one.\n", "")]);
    let result = merged(&ours, &theirs);
    assert!(result.conflicts.is_empty());
    assert_eq!(result.text, changed(&[("width 780", "width 760"), ("angle 32", "angle 28")]));
}

#[test]
fn one_code_accepted_on_two_measures_is_no_conflict() {
    let accept = |on: &str| {
        let accepted = format!("    accept sides-differ \"meant\" on=\"{on}\"\n    note");
        changed(&[("    note", &accepted)])
    };
    let result = merged(&accept("brake-lever.angle"), &accept("grip.hand"));
    assert!(result.conflicts.is_empty(), "{}", result.text);
    let read = read(Catalogue::standard(), result.text.as_bytes(), None).setup.expect("a setup");
    assert_eq!(read.accepted.len(), 2, "{}", result.text);
}

#[test]
fn nothing_new_on_one_side_leaves_the_other_as_it_is() {
    let ours = changed(&[("width 780 tol=1; roll -1.5", "roll 2"), ("4 5 tool", "4 6 tool")]);
    assert_eq!(merged(&ours, BASE).text, ours);
    assert_eq!(merged(&ours, &ours).text, ours);
    // The other way round the comment stays, the rest is theirs.
    assert_eq!(merged(BASE, &ours).text, ours);
}

#[test]
fn their_new_and_changed_comments_come_over() {
    let ours = changed(&[("width 780", "width 760")]);
    let edits = [
        ("// The wide one.", "// The one from the spare bike."),
        ("    left {", "    // Both levers were moved.\n    // Again.\n    left {"),
        ("angle 32", "angle 28"),
        ("note \"Dry tyres.\"", "note \"Dry tyres.\" // and cold"),
    ];
    let result = merged(&ours, &changed(&edits));
    let expected = edits.iter().fold(ours.clone(), |text, (from, to)| text.replace(from, to));
    assert_eq!(result.text, expected);
    assert!(result.said.is_empty(), "{:?}", result.said);
    let result = merged(&ours.replace('\n', "\r\n"), &changed(&edits));
    assert_eq!(result.text, expected.replace('\n', "\r\n"));
}

#[test]
fn a_comment_that_finds_no_place_is_told() {
    let ours = changed(&[("// as bought", "// cut"), ("width 780", "width 760")]);
    let theirs = changed(&[("// as bought", "// as lent"), ("roll -1.5", "roll 2")]);
    let result = merged(&ours, &theirs);
    assert_eq!(result.text, ours.replace("roll -1.5", "roll 2"));
    let ours_stays = "`bar.roll` is taken as theirs has it; our comment beside it stays: // cut";
    assert_eq!(result.said, [ours_stays, "Their comment is not taken over: // as lent"]);
    // Marks of a comment inside a quoted text are none.
    let theirs = changed(&[("Dry tyres.", "Dry tyres. // or not")]);
    assert!(merged(&ours, &theirs).said.is_empty());
}

#[test]
fn the_same_measure_moved_two_ways_is_a_conflict_that_reads_as_one() {
    let result = merged(&changed(&[("angle 32", "angle 36")]), &changed(&[("angle 32", "angle 28")]));
    let own = Source { read: chrono::NaiveDate::from_ymd_opt(2031, 5, 2), by: Some("own stand".to_owned()) };
    let conflict = Conflict {
        about: "left.brake-lever.angle".to_owned(),
        ours: Some("angle 36 tol=0.2".to_owned()),
        theirs: Some("angle 28 tol=0.2".to_owned()),
        sources: [own.clone(), own],
        one_sided: None,
        floors: None,
        seen_on: None,
        sheet_of: None,
        together: Vec::new(),
    };
    assert_eq!(result.conflicts, [conflict]);
    let read = read(Catalogue::standard(), result.text.as_bytes(), None);
    let [finding] = read.findings.as_slice() else { panic!("{:?}", read.findings) };
    assert_eq!(finding.code, &code::UNRESOLVED_CONFLICT);
    let said = "Two versions of `left.brake-lever.angle`: ours `angle 36 tol=0.2` (2031-05-02, own stand); \
                theirs `angle 28 tol=0.2` (2031-05-02, own stand).";
    assert_eq!(finding.message, said);
}

#[test]
fn within_reading_the_newer_one_stays_under_its_own_day() {
    // U = √2·2·0.2/√3 = 0.327 (GUM 5.1.2): 0.1 apart is within reading.
    let ours = changed(&[("angle 32 tol=0.2", "angle 32.1 tol=0.2")]);
    let theirs = changed(&[("angle 32 tol=0.2", "angle 32.2 tol=0.2"), ("05-02", "05-09")]);
    let result = merged(&ours, &theirs);
    assert!(result.conflicts.is_empty(), "{:?}", result.conflicts);
    assert_eq!(result.said.len(), 1);
    assert_eq!(result.text, theirs);
    assert_eq!(merged(&theirs, &ours).text, theirs);
}

#[test]
fn a_reading_under_another_day_keeps_its_own() {
    let ours = changed(&[("roll -1.5 }", "roll -1.5; rise 25 tol=1 }")]);
    let theirs = changed(&[("reach 62", "reach 64"), ("05-02", "05-09")]);
    let both = |ours_first: bool| {
        let result = if ours_first { merged(&ours, &theirs) } else { merged(&theirs, &ours) };
        assert!(result.conflicts.is_empty());
        result.text
    };
    let expected = changed(&[
        ("roll -1.5 }", "roll -1.5; rise 25 tol=1 read=\"2031-05-02\" }"),
        ("reach 62", "reach 64"),
        ("05-02\" by", "05-09\" by"),
    ]);
    assert_eq!(both(true), expected);
    assert_eq!(both(false), expected);
}

#[test]
fn an_angle_is_never_put_on_another_floor() {
    let ours = changed(&[("    // The", "    floor 2 tol=0.2\n    // The"), ("05-02", "05-09")]);
    let theirs = changed(&[("angle 32", "angle 28")]);
    let result = merged(&ours, &theirs);
    let about: Vec<&str> = result.conflicts.iter().map(|conflict| conflict.about.as_str()).collect();
    assert_eq!(about, ["left.brake-lever.angle"]);
}

#[test]
fn torque_is_never_decided_between_two() {
    // A quarter newton metre apart, as any figure apart.
    let result = merged(&changed(&[("4 5 tool", "4 5.25 tool")]), &changed(&[("4 5 tool", "4 5.5 tool")]));
    assert_eq!(result.conflicts.len(), 1);
    assert_eq!(result.conflicts[0].about, "torque.stem-face");
    // From one side only it is taken, and said.
    let result = merged(BASE, &changed(&[("4 5 tool", "4 6 tool")]));
    assert_eq!(result.text, changed(&[("4 5 tool", "4 6 tool")]));
    assert_eq!(result.said.len(), 1);
    // A range and a ceiling make one limit together.
    let ceiling = changed(&[("caution \"Even", "ceiling \"bar\" 4.5; caution \"Even")]);
    assert_eq!(merged(&ceiling, &changed(&[("4 5 tool", "4 6 tool")])).conflicts.len(), 1);
}

#[test]
fn taken_out_here_and_changed_there_is_a_conflict() {
    let without = changed(&[("; reach 62", "")]);
    let result = merged(&without, &changed(&[("reach 62", "reach 66")]));
    assert_eq!(result.conflicts[0].ours, None);
    assert_eq!(result.conflicts[0].theirs.as_deref(), Some("reach 66"));
    assert_eq!(merged(BASE, &without).text, without);
}

#[test]
fn what_they_add_stands_at_the_end_of_its_group() {
    let theirs = changed(&[
        ("reach 62 }", "reach 62; bite 34 }\n        grip { length 134 }"),
        ("    note", "    saddle { height 742 }\n    note"),
    ]);
    let result = merged(&changed(&[("width 780", "width 760")]), &theirs);
    let expected = changed(&[
        ("width 780", "width 760"),
        ("reach 62 }", "reach 62; bite 34 }\n        grip { length 134 }"),
        ("    note \"Dry tyres.\"", "    note \"Dry tyres.\"\n    saddle { height 742 }"),
    ]);
    assert_eq!(result.text, expected);
}

#[test]
fn notes_merge_by_paragraph() {
    let base = BASE.replace("\"Dry tyres.\"", "\"\"\"\n    Dry tyres.\n\n    New grips.\n    \"\"\"");
    let ours = base.replace("Dry tyres.", "Wet tyres.");
    let theirs = base.replace("New grips.", "Old grips.");
    let catalogue = Catalogue::standard();
    let merge = |ours: &str, theirs: &str| {
        merge(catalogue, base.as_bytes(), ours.as_bytes(), theirs.as_bytes(), &Labels::default())
    };
    let result = merge(&ours, &theirs).expect("sound versions");
    assert_eq!(result.text, base.replace("Dry tyres.", "Wet tyres.").replace("New grips.", "Old grips."));
    let apart = merge(&ours, &base.replace("Dry tyres.", "No tyres.")).expect("sound versions");
    assert_eq!(apart.conflicts[0].about, "note");
}

#[test]
fn line_ends_of_ours_stay() {
    let ours = changed(&[("width 780", "width 760")]).replace('\n', "\r\n");
    let theirs = changed(&[("    note", "    hose \"rear\" {\n        free 420\n    }\n    note")]);
    let text = merged(&ours, &theirs).text;
    assert!(text.contains("free 420\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
}

#[test]
fn what_cannot_be_read_is_refused() {
    let broken = changed(&[("width", "widht")]);
    let refusal =
        merge(Catalogue::standard(), BASE.as_bytes(), BASE.as_bytes(), broken.as_bytes(), &Labels::default());
    assert!(refusal.is_err_and(|refusal| refusal.message.starts_with("Their version")));
    // Without a common beginning what is alike merges.
    let result = merge(Catalogue::standard(), b"", BASE.as_bytes(), BASE.as_bytes(), &Labels::default())
        .expect("the same");
    assert_eq!(result.text, BASE);
}

#[test]
fn of_two_new_sessions_the_later_dates_the_file_and_it_is_said() {
    let ours = changed(&[
        ("2031-05-02\" by=\"own stand", "2031-05-09\" by=\"own stand"),
        ("roll -1.5 }", "roll -1.5; rise 25 }"),
    ]);
    let theirs =
        changed(&[("2031-05-02\" by=\"own stand", "2031-05-16\" by=\"car park"), ("angle 32", "angle 28")]);
    for result in [merged(&ours, &theirs), merged(&theirs, &ours)] {
        assert!(result.conflicts.is_empty());
        assert!(result.text.contains("measured \"2031-05-16\" by=\"car park\""), "{}", result.text);
        assert!(
            result.said.iter().any(|said| said.contains("the session of 2031-05-16")),
            "{:?}",
            result.said
        );
    }
    // Where only one side measured anew there was no choice.
    assert!(merged(&ours, BASE).said.is_empty());
}

const WITH_A_RULE: &str = r#"setup "rowan/race" format=1 {
    measured "2031-05-02"
    instruments { rule tol=0.5 }
    stem { length 50 with=rule }
    bar { rise 25 tol=1 }
}
"#;

fn merged_by_rule(ours: &[(&str, &str)], theirs: &[(&str, &str)]) -> Merged {
    let changed = |changes: &[(&str, &str)]| {
        changes.iter().fold(WITH_A_RULE.to_owned(), |text, (from, to)| {
            assert!(text.contains(from), "{from}");
            text.replace(from, to)
        })
    };
    let (ours, theirs) = (changed(ours), changed(theirs));
    let catalogue = Catalogue::standard();
    merge(catalogue, WITH_A_RULE.as_bytes(), ours.as_bytes(), theirs.as_bytes(), &Labels::default())
        .expect("sound versions")
}

#[test]
fn a_reading_keeps_the_tolerance_it_was_taken_with() {
    let coarse = [("rule tol=0.5", "rule tol=5")];
    for (new, settled) in [
        ("width 783 with=rule", "width 783 with=rule tol=0.5"),
        // A plain tolerance beside a value in inches would be inches; that of the rule was millimetres.
        ("width (in)30.8 with=rule", "width (in)30.8 with=rule tol=(mm)0.5"),
    ] {
        let added = format!("rise 25 tol=1; {new}");
        for result in [
            merged_by_rule(&coarse, &[("rise 25 tol=1", &added)]),
            merged_by_rule(&[("rise 25 tol=1", &added)], &coarse),
        ] {
            assert!(result.conflicts.is_empty(), "{:?}", result.conflicts);
            assert!(result.text.contains("rule tol=5"), "{}", result.text);
            assert!(
                result.text.contains(&format!("{settled} }}"))
                    || result.text.contains(&format!("{settled}\n")),
                "{}",
                result.text
            );
        }
    }
}

#[test]
fn a_reading_in_conflict_is_shown_with_the_tolerance_it_was_taken_with() {
    let result = merged_by_rule(&[("rule tol=0.5", "rule tol=5")], &[("length 50", "length 40")]);
    let [conflict] = result.conflicts.as_slice() else { panic!("{:?}", result.conflicts) };
    assert_eq!(conflict.ours.as_deref(), Some("length 50 with=rule"));
    assert_eq!(conflict.theirs.as_deref(), Some("length 40 with=rule tol=0.5"));
}

#[test]
fn an_instrument_changed_on_one_side_alone_changes_what_was_read_with_it_and_nothing_else() {
    let result = merged_by_rule(&[("rise 25", "rise 30")], &[("rule tol=0.5", "rule tol=5")]);
    let expected = WITH_A_RULE.replace("rise 25", "rise 30").replace("rule tol=0.5", "rule tol=5");
    assert_eq!(result.text, expected);
}

#[test]
fn while_an_instrument_is_undecided_nothing_read_with_it_is_pinned() {
    let result = merged_by_rule(&[("rule tol=0.5", "rule tol=5")], &[("rule tol=0.5", "rule tol=0.05")]);
    let about: Vec<&str> = result.conflicts.iter().map(|conflict| conflict.about.as_str()).collect();
    assert_eq!(about, ["instruments.rule"]);
    assert!(result.text.contains("stem { length 50 with=rule }"), "{}", result.text);
    assert!(result.said.is_empty(), "{:?}", result.said);
}

#[test]
fn of_a_torque_with_a_caution_in_conflict_nothing_is_said_to_be_taken() {
    let result =
        merged(&changed(&[("Even gap.", "Even gaps.")]), &changed(&[("Even gap.", "No gap above.")]));
    assert_eq!(result.conflicts.len(), 1);
    assert!(result.said.is_empty(), "{:?}", result.said);
    let read = read(Catalogue::standard(), result.text.as_bytes(), None);
    let faults: Vec<&str> = read.findings.iter().map(|finding| finding.code.name).collect();
    assert_eq!(faults, ["unresolved-conflict"]);
}

#[test]
fn an_older_reading_against_a_later_session_is_not_decided() {
    let angle = "angle 32 tol=0.2";
    let older = changed(&[(angle, "angle 36 tol=0.2 read=\"2031-05-10\"")]);
    let later = changed(&[("2031-05-02\" by=\"own stand", "2031-05-20\" by=\"whole bike")]);
    for (ours, theirs) in [(&later, &older), (&older, &later)] {
        let result = merged(ours, theirs);
        let about: Vec<&str> = result.conflicts.iter().map(|conflict| conflict.about.as_str()).collect();
        assert_eq!(about, ["left.brake-lever.angle"], "{}", result.text);
        assert!(result.said.is_empty(), "{:?}", result.said);
        // The later session has a name; of the 10th the file, measured on the 2nd, does not know who read.
        let stood = "read=\"2031-05-20\" by=\"whole bike\" { angle 32 tol=0.2";
        let read = "read=\"2031-05-10\" { angle 36 tol=0.2 read=\"2031-05-10\"";
        assert!(result.text.contains(stood) && result.text.contains(read), "{}", result.text);
    }
    // U = √2·2·0.2/√3 = 0.327 (GUM 5.1.2): 0.1 apart the two agree, and one read after the session is the newer one.
    let near = changed(&[(angle, "angle 32.1 tol=0.2 read=\"2031-05-10\"")]);
    let after = changed(&[(angle, "angle 36 tol=0.2 read=\"2031-05-21\"")]);
    for (one, number) in [(&near, "angle 32.1"), (&after, "angle 36")] {
        let result = merged(&later, one);
        assert!(result.conflicts.is_empty() && result.text.contains(number), "{}", result.text);
    }
}

#[test]
fn a_floor_read_with_another_doubt_is_the_same_floor_and_what_is_undecided_is_said_once() {
    let floor = |slope: &str, angle: &str| {
        changed(&[
            ("    // The", &format!("    floor {slope}\n    // The")),
            ("angle 32 tol=0.2", &format!("angle {angle} tol=0.2")),
        ])
    };
    // The same slope read finer moves no angle.
    let result = merged(&floor("0 tol=0.2", "32"), &floor("0 tol=0.1", "28"));
    assert!(result.conflicts.is_empty(), "{:?}", result.conflicts);
    // On floors 2 degrees apart 32.1 and 34.1 are one angle to the level; which stands by which is not decided.
    let result = merged(&floor("0 tol=0.2", "32.1"), &floor("2 tol=0.2", "34.1"));
    let about: Vec<&str> = result.conflicts.iter().map(|conflict| conflict.about.as_str()).collect();
    assert_eq!(about, ["floor", "left.brake-lever.angle"]);
    assert!(result.said.is_empty(), "{:?}", result.said);
}

#[test]
fn a_note_by_which_nobody_rides_goes_only_with_a_word() {
    let base = changed(&[(
        "note \"Dry tyres.\"",
        "note \"2031-05-01 damage on bar: scored\"\n    note \"Dry tyres.\"",
    )]);
    let ours = base.replace("width 780", "width 760");
    let note = "    note \"2031-05-01 damage on bar: scored\"\n";
    let merge = |ours: &str, theirs: &str| {
        let labels = Labels::default();
        merge(Catalogue::standard(), base.as_bytes(), ours.as_bytes(), theirs.as_bytes(), &labels)
            .expect("sound versions")
    };
    let without = base.replace(note, "");
    for (result, who) in [(merge(&ours, &without), "theirs"), (merge(&without, &ours), "ours")] {
        assert!(!result.text.contains("scored"), "{}", result.text);
        let expected = format!(
            "`note`: \"2031-05-01 damage on bar: scored\" is no longer there, as {who} has it: make sure that it is \
             put right before anybody rides."
        );
        assert_eq!(result.said, [expected]);
    }
    // Any other note goes without.
    assert!(merge(&ours, &base.replace("    note \"Dry tyres.\"\n", "")).said.is_empty());
}

/// The later session does not tell its ground: a slope that the earlier one is given afterwards is none of its own.
#[test]
fn a_floor_put_in_later_does_not_come_under_a_later_session() {
    let floor = ("    // The", "    floor 2 tol=0.2\n    // The");
    let (floored, anew) = (changed(&[floor]), changed(&[("05-02", "05-20")]));
    for (ours, theirs) in [(&floored, &anew), (&anew, &floored)] {
        let result = merged(ours, theirs);
        let about: Vec<&str> = result.conflicts.iter().map(|conflict| conflict.about.as_str()).collect();
        assert_eq!(about, ["floor"], "{}", result.text);
    }
    // One that the later session read is its own.
    let both = changed(&[floor, ("05-02", "05-20")]);
    let result = merged(&both, &changed(&[("// as bought", "// as lent")]));
    assert!(result.conflicts.is_empty() && result.text.contains("floor 2"), "{}", result.text);
    // On the same day it is the same session.
    let result = merged(&floored, &changed(&[("// as bought", "// as lent")]));
    assert!(result.conflicts.is_empty() && result.text.contains("floor 2"), "{}", result.text);
}
