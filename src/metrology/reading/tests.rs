use super::*;

fn typed(texts: &[&str], unit: Unit, default_unit: Unit, half_width: f64) -> Option<Reading> {
    let values = texts.iter().map(|text| text.parse::<f64>().expect("a number"));
    let digits = texts.iter().copied();
    Reading::new(values, digits, unit, default_unit, half_width)
}

fn millimetres(texts: &[&str], half_width: f64) -> Reading {
    typed(texts, Unit::Millimetre, Unit::Millimetre, half_width).expect("a sound reading")
}

#[test]
fn what_cannot_be_a_reading_is_refused() {
    let mm = Unit::Millimetre;
    assert_eq!(Reading::new([], [""; 0], mm, mm, 1.0), None);
    assert_eq!(Reading::new([1.0], [""; 0], mm, mm, 1.0), None);
    assert_eq!(typed(&["1"], mm, Unit::Degree, 1.0), None);
    for half_width in [-0.1, f64::NAN, f64::INFINITY] {
        assert_eq!(typed(&["1"], mm, mm, half_width), None);
    }
    for value in ["NaN", "inf"] {
        assert_eq!(typed(&[value], mm, mm, 1.0), None);
    }
    // 1e308 m is 1e311 mm, beyond the largest double (about 1.8e308).
    assert_eq!(typed(&["1e308"], Unit::Metre, mm, 1.0), None);
}

#[test]
fn one_value_is_rectangular() {
    // GUM 4.3.7: u = a/sqrt 3; 1.5/1.7320508 = 0.8660254 by hand.
    let reading = millimetres(&["780"], 1.5);
    assert!((reading.standard_uncertainty() - 0.866_025_4).abs() < 1e-7);
    assert!((reading.expanded_uncertainty() - 1.732_050_8).abs() < 1e-7);
    assert!(!reading.is_optimistic());
}

#[test]
fn repeats_add_their_scatter_in_quadrature() {
    // By hand: mean 11; squares 1 + 0 + 1 = 2; s² = 2/2 = 1; s²/n = 1/3; a²/3 = 4/3; u = sqrt(5/3).
    let reading = millimetres(&["10", "11", "12"], 2.0);
    assert!((reading.value() - 11.0).abs() < 1e-12);
    assert!((reading.standard_uncertainty() - (5.0_f64 / 3.0).sqrt()).abs() < 1e-12);
}

#[test]
fn what_was_worked_out_is_rounded_where_it_is_written() {
    let written = |value, unit, default, tolerance| {
        let reading = Reading::worked_out(value, unit, default, tolerance, 0.0).expect("a reading");
        reading.in_words()
    };
    let (mm, degree) = (Unit::Millimetre, Unit::Degree);
    assert_eq!(written(19.936_412_7, mm, mm, 0.5), "19.936 mm");
    assert_eq!(written(-0.000_2, degree, degree, 0.5), "0°");
    assert_eq!(written(40.0, mm, mm, 0.5), "40 mm");
    // 780/25.4 = 30.70866 in; half of a thousandth is 0.0127 mm, within 0.5/20 = 0.025.
    assert_eq!(written(780.0, Unit::Inch, mm, 0.5), "30.709 in");
    // Half of a thousandth of a metre is 0.5 mm; 0.025 mm is had at five decimals: 0.000005 m = 0.005 mm.
    assert_eq!(written(168.543_21, Unit::Metre, mm, 0.5), "0.16854 m");
}

#[test]
fn two_or_three_repeats_are_optimistic() {
    let claims: Vec<bool> =
        (1..=5).map(|count| millimetres(&vec!["5"; count], 0.5).is_optimistic()).collect();
    assert_eq!(claims, [false, true, true, false, false]);
}

#[test]
fn the_half_width_is_in_the_default_unit() {
    // 31 in = 787.4 mm exactly; a = 0.5 mm whatever the unit of the value.
    let reading = typed(&["31"], Unit::Inch, Unit::Millimetre, 0.5).expect("inches are lengths");
    assert!((reading.value() - 787.4).abs() < 1e-9);
    assert!((reading.standard_uncertainty() - 0.5 / 3.0_f64.sqrt()).abs() < 1e-12);
}

#[test]
fn sameness_looks_at_the_number_and_not_at_its_zeros() {
    let day = NaiveDate::from_ymd_opt(2024, 5, 1).expect("a day");
    let reading = millimetres(&["7.5"], 0.5);
    assert!(reading.is_same_reading(&millimetres(&["7.50"], 0.5)));
    assert!(!reading.is_same_reading(&millimetres(&["7.6"], 0.5)));
    assert!(!reading.is_same_reading(&millimetres(&["7.5"], 0.4)));
    assert!(!reading.is_same_reading(&millimetres(&["7.5", "7.5"], 0.5)));
    assert!(!reading.is_same_reading(&reading.clone().with_instrument("calliper".into())));
    assert!(!reading.is_same_reading(&reading.clone().read_on(day)));
    let centimetres = typed(&["0.75"], Unit::Centimetre, Unit::Millimetre, 0.5).expect("a length");
    assert!(!reading.is_same_reading(&centimetres));
}

#[test]
fn decimals_are_those_that_were_typed() {
    for (text, places) in [
        ("7", 0),
        ("7.50", 2),
        ("-0.125", 3),
        ("1.5e-3", 4),
        ("1.25e1", 1),
        ("2e3", 0),
        ("1_000.2_5", 2),
        ("", 0),
    ] {
        assert_eq!(places_after_the_point(text), places, "{text:?}");
    }
    assert_eq!(millimetres(&["7", "7.25", "7.5"], 0.5).decimals(), 2);
    assert_eq!(Reading::exact(31.8, Unit::Millimetre).decimals(), 1);
}
